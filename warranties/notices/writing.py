"""A notice written: the words that stand, their fields filled, and the text that carries them.

The words are in the marks of warranties/markup.py: plain text, HTML and letter come from the same.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import NamedTuple

from django.conf import settings
from django.utils.translation import gettext, override

from jobs.invitation import invitation
from shared.firm import the_firm
from warranties import markup, segments
from warranties.clauses import fill
from warranties.models import Notice
from warranties.notices.enclosing import ENCLOSING, enclosure, receipt_file
from warranties.notices.entrance import token_of
from warranties.notices.fields import Case, one_line, values_of
from warranties.notices.joining import parts_of
from warranties.notices.pictures import Picture, pictures_of
from warranties.notices.texting import Text
from warranties.notices.words import occasion_of, standing_words
from warranties.phrasing import WHOLE, Words
from warranties.weaving import Paragraph, Part, woven


class Attached(NamedTuple):
    name: str
    content: bytes
    kind: str


@dataclass(frozen=True, slots=True)
class Written:
    """`kinds` are those of its parts, `streets` those of the homes that it is about."""

    subject: str
    blocks: list[markup.Block]
    text: str
    attached: list[Attached]
    pictures: list[Picture]
    kinds: frozenset[str]
    streets: str


def write(
    notice: Notice, *, at: datetime, parts: Sequence[Notice] | None = None, token: str = ""
) -> Written:
    """Write the notice with what joined it, in its household's language.

    Its rows are read here, not when planned, but for the parts that the caller has.
    """
    groups = _together(parts_of(notice) if parts is None else parts)
    said = [(each, standing_words(occasion_of(each[0]), notice.language)) for each in groups]
    return _written(said, token or token_of(notice, at), at)


def compose(notice: Notice, words: Words, *, token: str, at: datetime) -> Written:
    """Write the notice alone, in these words; the token is the household's way in."""
    return _written([([notice], words)], token, at)


def _together(parts: Sequence[Notice]) -> list[list[Notice]]:
    """The plants of one home are told of together; all else by itself."""
    groups: dict[tuple[str, int], list[Notice]] = {}
    for each in parts:
        plants = each.kind == "trim-back"
        groups.setdefault((each.kind, each.home_id if plants else each.pk), []).append(each)
    return list(groups.values())


def _written(said: Sequence[tuple[Sequence[Notice], Words]], token: str, at: datetime) -> Written:
    pictures: dict[int, Picture] = {}
    parts, filled = [], []
    for told, words in said:
        drawn = _drawn(told)
        pictures |= drawn
        filled.append(values_of(Case(told[0], token, at, told, drawn)))
        parts.append(_part(words, filled[-1]))
    notices = [each for told, _words in said for each in told]
    with override(notices[0].language):
        opening = gettext("Several things at once, the most urgent first:")
        subject, text = _subject(parts), said[0][1].text
        values = {**filled[0], "subject": subject}
        if len(parts) > 1:
            # What is most urgent, how much more there is, and the way to all of it.
            text = gettext("{firm}: {subject}. {my_home} Reply STOP to end.")
            values["subject"] = _subject(parts, values.get("when", ""))
    return Written(
        subject=subject,
        blocks=markup.blocks(woven(parts, opening=opening), ours=settings.BASE_URL),
        text=fill(text, values).strip(),
        attached=list(_attached(notices)),
        pictures=list(pictures.values()),
        kinds=frozenset(each.kind for each in notices),
        streets=", ".join(dict.fromkeys(one_line(each.home.street) for each in notices)),
    )


def _subject(parts: Sequence[Part], when: str = "") -> str:
    first = f"{parts[0].subject} {when}".strip()
    if len(parts) == 1:
        return first
    return gettext("%(first)s, and %(count)d more") % {"first": first, "count": len(parts) - 1}


def _drawn(told: Sequence[Notice]) -> dict[int, Picture]:
    plants = [each.plant for each in told if each.plant] if told[0].kind == "trim-back" else []
    return pictures_of(told[0].home, plants, told[0].language)


def _part(words: Words, values: Mapping[str, str]) -> Part:
    paragraphs = [
        Paragraph(fill(each, values).strip(), own=any(f"{{{name}}}" in each for name in WHOLE))
        for each in re.split(r"\n[ \t]*\n", words.body)
        if each.strip()
    ]
    return Part(" ".join(fill(words.subject, values).split()), paragraphs)


def _attached(notices: Sequence[Notice]) -> Iterator[Attached]:
    kept = [each for each in notices if each.pk]
    visits = [each for each in kept if each.booking]
    for number, notice in enumerate(visits, start=1):
        assert notice.booking is not None  # noqa: S101  # they were chosen so
        calendar = invitation(
            notice.booking, firm=the_firm(), language=notice.language, at=notice.planned_at
        )
        name = "visit.ics" if number == 1 else f"visit-{number}.ics"
        yield Attached(name, calendar, "text/calendar")
    for notice in kept:
        if notice.kind in ENCLOSING and notice.channel == "mail":
            yield Attached(*enclosure(notice), "application/pdf")
        if notice.kind == "receipt" and notice.channel == "mail" and (file := receipt_file(notice)):
            yield Attached(*file, "application/pdf")


def text_of(notice: Notice, written: Written) -> Text:
    """The text as the gateway gets it, with its parts counted."""
    to, parts = str(notice.household.phone), segments.count(written.text).parts
    return Text(notice.message_id.strip("<>"), to, written.text, parts)
