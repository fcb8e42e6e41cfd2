"""Whether our forecasts keep their word, from the firm's own readings."""

from collections.abc import Iterator
from itertools import chain, groupby

from django.conf import settings
from django.core.cache import cache
from django.http import HttpResponse
from django.shortcuts import render
from django.utils.safestring import SafeString, mark_safe
from django.views.decorators.http import require_GET

from shared.charts import Point, against_the_line
from shared.requests import StaffRequest
from shared.roles import allowed
from warranties import growth, hindsight
from warranties.actions.watching import as_read
from warranties.calibration import Calibration, calibration
from warranties.models import Reading

PLANTS = 2_000  # The newest are looked at: older ones say little of how we forecast today.
KEPT_S = 24 * 3600
ENOUGH = 30  # Our own choice: below it the exact interval of 3 in 30 spans 2 to 27 in 100.


@allowed("keep_firm")
@require_GET
def forecasts(request: StaffRequest) -> HttpResponse:
    """Both questions of warranties/hindsight.py, judged. Two queries where nothing was kept."""
    newest = Reading.objects.order_by("-pk").values_list("pk", flat=True).first()
    key = f"hindsight:{newest}:{settings.CONTACT_CHANCE}"
    by_day, by_reading = cache.get_or_set(key, _judged, KEPT_S) or _judged()
    facts = {
        "chance": settings.CONTACT_CHANCE,
        "by_day": by_day,
        "by_reading": by_reading,
        "enough": ENOUGH,
        "plants": PLANTS,
        "chart": _chart(by_reading),
    }
    return render(request, "warranties/forecasts.html", facts)


def _chart(judged: Calibration) -> SafeString:
    """What came true against the chance given, the numbers of the table beside it."""
    points = [
        Point(
            said=each.chance,
            found=found.share,
            low=found.low,
            high=found.high,
            words=f"{each.chance:.0%} said: {found.hits} of {found.of} touched",
        )
        for each in judged.bins
        if (found := each.came_true).share is not None
    ]
    svg = against_the_line(
        points,
        title="What came true against the chance given",
        across="we would have said, in 100",
        up="touched, in 100",
    )
    return mark_safe(svg)  # noqa: S308  # escaped


def _judged() -> tuple[Calibration, Calibration]:
    plants = list(_newest_plants())
    days = (hindsight.foretold_by_day(kind, each, settings.CONTACT_CHANCE) for kind, each in plants)
    readings = (hindsight.foretold_by_reading(kind, each) for kind, each in plants)
    return (
        calibration(chain.from_iterable(days)),
        calibration(chain.from_iterable(readings)),
    )


def _newest_plants() -> Iterator[tuple[str, list[growth.Reading]]]:
    """The kind and the readings of each plant that was read last, oldest reading first."""
    newest = Reading.objects.order_by("-pk").values_list("plant", flat=True)[: PLANTS * 4]
    keys = list(dict.fromkeys(newest))[:PLANTS]
    rows = Reading.objects.filter(plant__in=keys).select_related("plant")
    for _plant, group in groupby(rows.order_by("plant", "on", "pk"), lambda each: each.plant_id):
        readings = list(group)
        yield readings[0].plant.kind, [as_read(each) for each in readings]
