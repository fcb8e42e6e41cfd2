"""A home's dated story. Each app tells its own part: it registers a source when Django is ready."""

from collections.abc import Callable, Iterable
from datetime import datetime, time
from typing import NamedTuple

from django.utils.translation import gettext as _

from customers.models import Home


class StoryEntry(NamedTuple):
    """One thing that happened; `address` leads to it, "" to nowhere."""

    at: datetime
    text: str
    address: str = ""
    kind: str = ""


Source = Callable[[Home], Iterable[StoryEntry]]
_sources: list[Source] = []


def register(source: Source) -> Source:
    """Let this source tell its part of every home's story. Registering twice changes nothing."""
    if source not in _sources:
        _sources.append(source)
    return source


def story(home: Home) -> list[StoryEntry]:
    """Return everything that happened at the home, newest first. A query or two a source.

    Of one moment, what a source tells later stands above.
    """
    entries = [entry for source in _sources for entry in source(home)]
    return sorted(entries, key=lambda entry: entry.at)[::-1]


@register
def opened(home: Home) -> Iterable[StoryEntry]:
    yield StoryEntry(home.created_at, _("Entered in our books."), kind="home")


@register
def owners(home: Home) -> Iterable[StoryEntry]:
    """Who moved in after we knew the home. No query where ownerships are loaded."""
    by_day = sorted(home.ownerships.all(), key=lambda each: each.since)
    for ownership in by_day[1:]:
        at = datetime.combine(ownership.since, time(), home.tz)
        yield StoryEntry(
            at, _("Now held by {household}.").format(household=ownership.household), kind="owner"
        )
