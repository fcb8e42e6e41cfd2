"""Callbacks on the pages of promises and of the round."""

from collections import defaultdict
from collections.abc import Iterable
from typing import Any

from django import template

from jobs.models import Booking
from warranties.models import Callback, Promise

register = template.Library()


@register.inclusion_tag("warranties/_callbacks_of.html")
def callbacks_of(promise: Promise) -> dict[str, Any]:
    """The promise's callbacks, newest first. One query."""
    return {"callbacks": Callback.objects.filter(promise=promise), "promise": promise}


@register.simple_tag
def callbacks_at(stops: Iterable[Booking]) -> dict[int, list[Callback]]:
    """Return the open callbacks at the stops that are for one, by home. One query or none."""
    homes = [stop.home_id for stop in stops if stop.purpose == "callback"]
    found: dict[int, list[Callback]] = defaultdict(list)
    if homes:
        for each in Callback.objects.open().filter(promise__home__in=homes).for_a_page():
            found[each.promise.home_id].append(each)
    return dict(found)


@register.filter
def of_stop(found: dict[int, list[Callback]] | str, stop: Booking) -> list[Callback]:
    """Return what callbacks_at found for a stop; none for one that is for something else."""
    if stop.purpose != "callback" or not isinstance(found, dict):
        return []
    return found.get(stop.home_id, [])
