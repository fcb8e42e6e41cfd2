"""Terms: the shipped draft, new versions, counsel's name."""

from datetime import datetime
from pathlib import Path

from django.conf import settings
from django.db import transaction

from warranties.clauses import read_draft
from warranties.models import Terms

DRAFTS = Path(settings.BASE_DIR) / "fixtures" / "terms"


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
        years=head.get("years"),
        suspend_after_notices=head.get("suspend_after_notices"),
        body=body,
        made_at=at,
    )


def _paper_and_language(path: Path) -> dict[str, str]:
    paper, language = path.stem.split(".")
    return {"paper": paper, "language": language}
