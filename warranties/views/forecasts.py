"""Whether our forecasts keep their word, from the firm's own readings."""

from collections.abc import Iterator
from itertools import chain, groupby

from django.conf import settings
from django.core.cache import cache
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

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
    }
    return render(request, "warranties/forecasts.html", facts)


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
