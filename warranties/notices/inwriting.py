"""Papers that the law wants in writing: by mail only to who chose files, else by letter.

16 CFR 429.1 and 701.3 ask for writing; 15 USC 7001(c) lets a file stand for it only with the
household's consent. Whether they let us use letters for anything else does not matter here.
"""

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any

from django.db.models import Case, CharField, Exists, F, OuterRef, Q, Value, When

from customers.models import Paperless
from jobs.models import AgreedPaper, Offer
from warranties.models import Notice
from warranties.notices.hours import next_hour
from warranties.notices.inserting import may_mail, untold

IN_WRITING = ("agreement", "offer-paper", "certificate")
FRESH = timedelta(days=14)  # Agreements that are older were brought in, or told of by hand.


def written_channel_of(household: str = "", *, tried: str = "") -> Case:
    """Mail where the household chose files and lets us write to it, else a letter.

    `household` and `tried` are as for channel_of.
    """
    to = f"{household}__" if household else ""
    chose = Paperless.objects.standing().filter(household=OuterRef(f"{to}pk"))
    use: Any = Exists(chose) & may_mail(household)
    if tried:
        use &= ~Q(**{f"{tried}__contains": "mail"})
    return Case(When(use, then=Value("mail")), default=Value("letter"), output_field=CharField())


def plan_agreements(now: datetime) -> int:
    """Send each household the paper that it agreed to, once it is printed. Two queries.

    Who agreed on paper has it in hand: they get the file too where they chose files.
    """
    lately = AgreedPaper.objects.exclude(sha256="").filter(offer__agreed_at__gt=now - FRESH)
    due = list(
        untold(lately, "agreement:", F("pk"))
        .annotate(channel=written_channel_of("offer__job__household"))
        .filter(Q(channel="mail") | Q(offer__agreed_how="online"))
        .select_related("offer__job__home", "offer__job__household")
    )
    _keep(_notice(each.offer, "agreement", each.occasion, each.channel, now) for each in due)
    return len(due)


def plan_offer_paper(offer: Offer, at: datetime) -> None:
    """Send an offer by letter, to be signed and returned."""
    occasion = f"offer-paper:{offer.pk}:{offer.paper_sign_by}"
    _keep([_notice(offer, "offer-paper", occasion, "letter", at)])


def _keep(notices: Iterable[Notice]) -> None:
    """Keep those whose occasion nobody else kept meanwhile."""
    Notice.objects.bulk_create(notices, ignore_conflicts=True, batch_size=1_000)


def _notice(offer: Offer, kind: str, occasion: str, channel: str, at: datetime) -> Notice:
    home = offer.job.home
    return Notice(
        household=offer.job.household,
        home=home,
        kind=kind,
        occasion=occasion,
        channel=channel,
        language=offer.language,
        facts={"offer": offer.pk},
        send_at=next_hour(at, home.tz),
    )
