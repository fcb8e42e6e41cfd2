"""All that a certificate says, as plain values. From the record alone its pages are made."""

from datetime import date, datetime
from itertools import groupby
from typing import Any

from django.urls import reverse

from customers.models import Home
from jobs.models import FittedDetail, Proof
from shared.firm import the_firm
from shared.length import Length, length_text
from warranties.clauses import fill
from warranties.models import Promise, Terms
from warranties.models.promise import named_holders
from warranties.wording import words

# The shape of the attachment "certificate.json", as schema.py beside this describes it. The number
# grows with every change that a reader must know of.
SCHEMA = "ringkeep-certificate/1"
ATTACHMENT = "certificate.json"


def certificate_record(*, promise: Promise, edition: int, at: datetime) -> dict[str, Any]:
    """Return what the certificate says at that moment. Nine queries."""
    home, terms = promise.home, promise.terms
    proof = Proof.objects.filter(job=promise.job_id).select_related("proved_by").first()
    return {
        "schema": SCHEMA,
        "number": promise.number,
        "edition": edition,
        "language": terms.language,
        "issued_at": at.isoformat(),
        "issued_on": at.astimezone(home.tz).date().isoformat(),
        "check_address": the_firm().base_url + reverse("check", args=[promise.number]),
        "firm": firm_record(),
        "home": {"lines": home.address_lines, "country": home.country},
        "holder": named_holders(promise),
        "basis": promise.basis,
        "starts_on": promise.starts_on.isoformat(),
        "clearance": clearance_text(home),
        "fitted": fitted_record(promise),
        "proof": _proof_record(proof, home),
        "exceptions": [line for line in promise.exceptions.splitlines() if line.strip()],
        "plants": [
            {
                "name": plant.name,
                "place": plant.place,
                "keep": length_text(Length(plant.needs_mm), _system()),
            }
            for plant in home.plants.filter(removed_on=None).order_by("mark")
        ],
        "plan": proof.plan if proof else {},
        "terms": terms_record(terms, home, life=words(terms.language)[f"life-{promise.basis}"]),
    }


def firm_record() -> dict[str, str]:
    firm = the_firm()
    return {
        "name": firm.name,
        "address": firm.address,
        "phone": firm.phone_shown,
        "email": firm.email,
    }


def terms_record(terms: Terms, home: Home, *, life: str = "") -> dict[str, Any]:
    """Return the terms as they are printed, every {name} filled in."""
    return {
        "paper": terms.paper,
        "version": terms.version,
        "title": terms.title,
        "body": fill(terms.body, terms_values(terms, home, life)),
        "counsel": terms.counsel_name,
        "counsel_on": terms.counsel_on.isoformat() if terms.counsel_on else "",
    }


def terms_values(terms: Terms, home: Home, life: str) -> dict[str, str]:
    """What may stand in braces in the terms."""
    return {**common_values(terms), "life": life, "clearance": clearance_text(home)}


def common_values(terms: Terms) -> dict[str, str]:
    """What stands in braces in these terms, whatever the home: to be read before a promise."""
    firm = firm_record()
    return {
        "firm": firm["name"],
        "address": firm["address"],
        "phone": firm["phone"],
        "email": firm["email"],
        "life": words(terms.language).get(f"life-{terms.basis}", ""),
        "clearance": clearance_text(Home()),
        "notices": str(terms.suspend_after_notices or ""),
        "years": str(terms.years or ""),
    }


def readable_terms(language: str, at: datetime) -> dict[str, Any] | None:
    """The warranty that a household could read at that moment, whatever its home. Two queries."""
    terms = Terms.objects.shown(language, at)
    if terms is None:
        return None
    return {
        "title": terms.title,
        "version": terms.version,
        "language": terms.language,
        "body": fill(terms.body, common_values(terms)),
    }


def clearance_text(home: Home) -> str:
    return length_text(Length(home.clearance_mm), _system())


def fitted_record(promise: Promise) -> list[dict[str, str]]:
    """What stands at the home by its proved jobs: each detail once, with all its places."""
    details = FittedDetail.objects.filter(
        job__home=promise.home_id, job__proof__isnull=False
    ).order_by("code", "job_id", "pk")
    return [
        {"code": code, "places": "; ".join(dict.fromkeys(each.place for each in group))}
        for code, group in groupby(details, key=lambda each: each.code)
    ]


def _proof_record(proof: Proof | None, home: Home) -> dict[str, str]:
    if proof is None:
        return {"on": "", "by": ""}
    day: date = proof.proved_at.astimezone(home.tz).date()
    return {"on": day.isoformat(), "by": str(proof.proved_by or "")}


def _system() -> Any:
    return the_firm().units
