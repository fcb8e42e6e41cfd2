"""The words of notices: a new version of the firm's own, or back to the shipped ones."""

from collections.abc import Sequence
from datetime import datetime

from django.conf import settings
from django.db import transaction

from shared.models import User
from shared.refusals import Refused
from warranties.models import NoticeWords
from warranties.phrasing import Words, faults


class WordsRefused(Refused):
    """The words lack what they must say, or say what they must not: `faults`."""

    def __init__(self, found: Sequence[str]) -> None:
        super().__init__(" ".join(found))
        self.faults = found


@transaction.atomic
def keep_words(
    *, occasion: str, language: str, words: Words, by: User, at: datetime
) -> NoticeWords:
    """Keep a new version: what goes out from now on is written in it. Raises WordsRefused."""
    if found := words_faults(occasion, words):
        raise WordsRefused(found)
    subject, body, text = words.subject.strip(), words.body.strip() + "\n", words.text.strip()
    new = NoticeWords(subject=subject, body=body, text=text, made_by=by, made_at=at)
    return _keep(new, occasion, language)


@transaction.atomic
def ship_words(*, occasion: str, language: str, by: User, at: datetime) -> NoticeWords:
    """Go back to the words that ship with this program; our own versions are kept."""
    return _keep(NoticeWords(shipped=True, made_by=by, made_at=at), occasion, language)


def words_faults(occasion: str, words: Words) -> list[str]:
    """Return what keeps these words from going out.

    The way to leave stands in the frame of every mail; so does the firm's postal address, where
    the settings have one (15 USC 7704(a)(5); FIRM_ADDRESS).
    """
    found = faults(occasion, words)
    if not settings.FIRM_ADDRESS.strip():
        found.append("The firm has no postal address (FIRM_ADDRESS), and no mail goes without one.")
    return found


def _keep(new: NoticeWords, occasion: str, language: str) -> NoticeWords:
    newest = NoticeWords.objects.of(occasion, language).select_for_update().first()
    new.occasion, new.language = occasion, language
    new.version = newest.version + 1 if newest else 1
    new.save()
    return new
