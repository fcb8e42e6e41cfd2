"""Terms: the shipped draft, new versions, counsel's name."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from django.conf import settings
from django.db import transaction

from shared.firm import the_firm
from shared.refusals import Refused
from warranties.clauses import fill, read_clauses, read_draft
from warranties.disclosures import Fault, Paper, faults
from warranties.models import Terms
from warranties.wording import words

DRAFTS = Path(settings.BASE_DIR) / "fixtures" / "terms"


class TermsIncomplete(Refused):
    """The text lacks what the law wants, or has what it forbids: `faults`."""

    def __init__(self, found: Sequence[Fault]) -> None:
        super().__init__(" ".join(f"{fault.rule}: {fault.says}" for fault in found))
        self.faults = found


@dataclass(frozen=True, kw_only=True)
class Wording:
    """What somebody writes as new terms. Counsel's name and day, where counsel approved them."""

    title: str
    body: str
    basis: str = ""
    years: int | None = None
    suspend_after_notices: int | None = None
    counsel_name: str = ""
    counsel_on: date | None = None


@transaction.atomic
def save_terms(*, paper: str, language: str, wording: Wording, at: datetime) -> Terms:
    """Keep a new version; promises that were given keep the one they have.

    Raises TermsIncomplete, unless counsel has approved the text: then counsel's word goes.
    """
    found = wording_faults(paper, language, wording)
    if found and not wording.counsel_name:
        raise TermsIncomplete(found)
    newest = Terms.objects.filter(paper=paper, language=language).first()
    return Terms.objects.create(
        paper=paper,
        language=language,
        version=newest.version + 1 if newest else 1,
        made_at=at,
        **vars(wording),
    )


@transaction.atomic
def record_counsel(*, terms: Terms, name: str, on: date) -> None:
    """Note that counsel has read this version: certificates issued from now on say so."""
    if not name.strip():
        raise Refused("Name the counsel who has read them.")
    terms.counsel_name, terms.counsel_on = name.strip(), on
    terms.save()


def wording_faults(paper: str, language: str, wording: Wording) -> list[Fault]:
    """Return what the text lacks or should not say. Check plans are no warranty: none there."""
    if paper != "promise":
        return []
    firm, says = the_firm(), words(language)
    values = {
        "firm": firm.name,
        "address": firm.address,
        "phone": firm.phone_shown,
        "email": firm.email,
        "life": says.get(f"life-{wording.basis}", ""),
    }
    clauses = read_clauses(fill(wording.body, values))
    return faults(
        Paper(
            title=wording.title,
            text="\n".join(clause.as_read for clause in clauses),
            firm=firm.name,
            contact=(firm.address, firm.phone_shown),
            basis=wording.basis,
            headings=tuple(clause.title for clause in clauses if clause.title),
            bare=tuple(clause.title for clause in clauses if not clause.blocks),
        )
    )


@transaction.atomic
def load_drafts(*, at: datetime) -> list[Terms]:
    """Bring in the shipped drafts as version 1 of papers that have no terms yet.

    They are drafts: a firm has its own counsel read them, and says so on the terms page.
    """
    return [
        _load(path, at)
        for path in sorted(DRAFTS.glob("*.md"))
        if not Terms.objects.filter(**_paper_and_language(path)).exists()
    ]


@transaction.atomic
def terms_for(*, paper: str, language: str, shown_at: datetime, at: datetime) -> Terms:
    """Return the terms that a household could read when it agreed.

    A firm that never touched its terms has the shipped drafts: they are brought in here.
    """
    if found := Terms.objects.shown(language, shown_at, paper):
        return found
    drafts = [terms for terms in load_drafts(at=at) if terms.paper == paper]
    return min(drafts, key=lambda terms: terms.language != language)


def _load(path: Path, at: datetime) -> Terms:
    head, body = read_draft(path.read_text(encoding="utf-8"))
    return Terms.objects.create(
        **_paper_and_language(path),
        version=1,
        title=head["title"],
        basis=head.get("basis", ""),
        years=_number(head.get("years")),
        suspend_after_notices=_number(head.get("suspend_after_notices")),
        body=body,
        made_at=at,
    )


def _number(text: str | None) -> int | None:
    return int(text) if text else None


def _paper_and_language(path: Path) -> dict[str, str]:
    paper, language = path.stem.split(".")
    return {"paper": paper, "language": language}
