"""A notice written: the words that stand, their fields filled, and the text that carries them.

The words are in the marks of warranties/markup.py: plain text, HTML and letter come from the same.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime
from typing import NamedTuple

from django.conf import settings

from jobs.invitation import invitation
from shared.firm import the_firm
from warranties import markup, segments
from warranties.clauses import fill
from warranties.models import Notice
from warranties.notices.enclosing import ENCLOSING, enclosure, receipt_file
from warranties.notices.entrance import token_of
from warranties.notices.fields import Case, told_with, values_of
from warranties.notices.pictures import Picture, pictures_of
from warranties.notices.texting import Text
from warranties.notices.words import occasion_of, standing_words
from warranties.phrasing import Words


class Attached(NamedTuple):
    name: str
    content: bytes
    kind: str


@dataclass(frozen=True, slots=True)
class Written:
    subject: str
    blocks: list[markup.Block]
    text: str
    attached: list[Attached]
    pictures: list[Picture] = field(default_factory=list)


def write(notice: Notice, *, at: datetime) -> Written:
    """Write the notice in its household's language. Its rows are read here, not when planned."""
    words = standing_words(occasion_of(notice), notice.language)
    return compose(notice, words, token=token_of(notice, at), at=at)


def compose(notice: Notice, words: Words, *, token: str, at: datetime) -> Written:
    """Write the notice in these words; the token is the household's way in."""
    told = told_with(notice) if notice.kind == "trim-back" else []
    plants = [each.plant for each in told if each.plant]
    pictures = pictures_of(notice.home, plants, notice.language)
    values = values_of(Case(notice, token, at, told, pictures))
    subject = " ".join(fill(words.subject, values).split())
    return Written(
        subject=subject,
        text=fill(words.text, {**values, "subject": subject}).strip(),
        blocks=markup.blocks(fill(words.body, values), ours=settings.BASE_URL),
        attached=list(_attached(notice)) if notice.pk else [],
        pictures=list(pictures.values()),
    )


def _attached(notice: Notice) -> Iterator[Attached]:
    if notice.booking:
        calendar = invitation(
            notice.booking, firm=the_firm(), language=notice.language, at=notice.planned_at
        )
        yield Attached("visit.ics", calendar, "text/calendar")
    if notice.kind in ENCLOSING and notice.channel == "mail":
        yield Attached(*enclosure(notice), "application/pdf")
    if notice.kind == "receipt" and notice.channel == "mail" and (file := receipt_file(notice)):
        yield Attached(*file, "application/pdf")


def text_of(notice: Notice, written: Written) -> Text:
    """The text as the gateway gets it, with its parts counted."""
    to, parts = str(notice.household.phone), segments.count(written.text).parts
    return Text(notice.message_id.strip("<>"), to, written.text, parts)
