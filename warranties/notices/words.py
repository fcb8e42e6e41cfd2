"""Which words a notice goes out in: the firm's own, else those that ship with this program."""

from functools import cache
from pathlib import Path

from django.conf import settings

from warranties.models import Notice, NoticeWords
from warranties.phrasing import Words, read_words

SHIPPED = Path(settings.BASE_DIR) / "fixtures" / "notices"


def occasion_of(notice: Notice) -> str:
    """Return the name of what it is about, finer than its kind where the words differ."""
    if notice.kind == "transfer":
        return f"transfer-{notice.facts['side']}"
    if notice.kind == "visit-booked" and notice.booking and notice.booking.sequence:
        return "visit-moved"
    return notice.kind


def standing_words(occasion: str, language: str) -> Words:
    """Return the words in which this goes out today. One query."""
    newest = NoticeWords.objects.of(occasion, language).first()
    return newest.words if newest and not newest.shipped else shipped_words(occasion, language)


@cache
def shipped_words(occasion: str, language: str) -> Words:
    return read_words((SHIPPED / f"{occasion}.{language}.txt").read_text(encoding="utf-8"))


@cache
def plant_words(language: str) -> str:
    """Return what is said of each plant: a part that firms do not change, for it must be right."""
    return (SHIPPED / f"_plant.{language}.txt").read_text(encoding="utf-8")
