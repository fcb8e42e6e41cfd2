"""What an offer says to a household, as plain values: from them alone its paper is printed.

`offer_facts` is what is agreed to: lines, sums, days, the warranty in full. Their code is short
enough to be read off a paper and cannot be reckoned without our key, so who names it has seen that
paper. A record is the facts with what the day of signing adds.
"""

import json
from collections.abc import Callable
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from django.conf import settings
from django.utils.crypto import salted_hmac
from django.utils.timezone import localdate

from jobs.holds import COOLING_OFF_DAYS, business_day_after
from jobs.models import Offer, OfferLine
from shared.firm import the_firm
from shared.money import rounded

SCHEMA = "ringkeep-agreement/1"
LETTERS = "ABCDEFGHJKMNPQRSTVWXYZ23456789"  # None that can be taken for another.
CODE_LENGTH = 6

Facts = dict[str, Any]
TermsSource = Callable[[str, datetime], dict[str, Any] | None]


class _Sources:
    terms: TermsSource | None = None


def register_terms(source: TermsSource) -> None:
    """Say where the warranty that a household can read in a language at a moment comes from.

    Its title, version and body; None where there is none.
    """
    _Sources.terms = source


def offer_facts(offer: Offer, *, at: datetime) -> Facts:
    """Return what the offer says at that moment. Its own lines' query and the terms'."""
    firm, job = the_firm(), offer.job
    lines = list(OfferLine.objects.filter(offer=offer))
    totals = offer.totals_of(lines)
    return {
        "schema": SCHEMA,
        "number": offer.number,
        "language": offer.language,
        "firm": {
            "name": firm.name,
            "address": firm.address,
            "phone": firm.phone_shown,
            "email": firm.email,
        },
        "household": job.household.name,
        "home": job.home.address_lines,
        "made_on": offer.made_on.isoformat(),
        "valid_until": offer.valid_until.isoformat(),
        "note": offer.note,
        "lines": [
            {"text": line.text, "measure": line.measure_text, "amount": _sum(line.amount)}
            for line in lines
        ],
        "tax_percent": offer.tax_percent,
        "tax": _sum(totals.tax),
        "total": _sum(totals.total),
        "deposit": _sum(totals.deposit),
        "rest": _sum(totals.rest),
        "terms": _Sources.terms(offer.language, at) if _Sources.terms else None,
    }


def _sum(amount: Decimal) -> str:
    """The same however many places it was kept with."""
    return str(rounded(Decimal(amount), settings.FIRM_CURRENCY))


def code_of(facts: Facts) -> str:
    """The code at the foot of the paper: the same facts, the same code."""
    told = json.dumps(facts, sort_keys=True, ensure_ascii=False)
    digest = salted_hmac("jobs.papers", told, algorithm="sha256").digest()
    return "".join(LETTERS[byte % len(LETTERS)] for byte in digest[:CODE_LENGTH])


def shown_record(facts: Facts, *, signed_on: date, latest: bool = False) -> dict[str, Any]:
    """Return the record of a paper that is not signed yet, to be signed on that day.

    `latest`: or before, for we do not know when.
    """
    return {
        **facts,
        "code": code_of(facts),
        "signed_on": signed_on.isoformat(),
        "latest": latest,
        "cancel_until": business_day_after(signed_on, COOLING_OFF_DAYS).isoformat(),
        "agreed": None,
    }


def agreed_record(facts: Facts, offer: Offer) -> dict[str, Any]:
    """Return the record of the paper that was agreed to."""
    if offer.agreed_at is None:
        raise ValueError("The offer is not agreed.")
    zone = offer.job.home.tz
    agreed = {
        "by": offer.agreed_by,
        "how": offer.agreed_how,
        "at": offer.agreed_at.astimezone(zone).isoformat(timespec="seconds"),
    }
    record = shown_record(facts, signed_on=localdate(offer.agreed_at, zone))
    if offer.cooling_off_ends_at:
        last = localdate(offer.cooling_off_ends_at, zone) - timedelta(days=1)
        record["cancel_until"] = last.isoformat()
    return {**record, "agreed": agreed}
