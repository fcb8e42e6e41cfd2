"""How the plants of a home stand today, and when they are likely to open its ring."""

from dataclasses import dataclass
from datetime import date

from django.conf import settings
from django.utils.translation import get_language

from customers.models import Home, Plant
from customers.outlooks import Growing
from customers.plan.contacts import OWN_LEG
from customers.plan.document import in_words
from shared.length import Length, System, length_text
from warranties import growth, trimming
from warranties.models import Reading, Watch

COLUMNS = (
    "clearance_mm",
    "rate_mm",
    "clearance_var",
    "rate_var",
    "covariance",
    "scatter_mm",
)
OWN_WALL = "building"


def estimate_of(watch: Watch) -> growth.Estimate:
    """What is known of the plant, as growth takes it. No query where the plant is loaded."""
    return growth.Estimate(
        on=watch.read_on,
        season=trimming.season_of(watch.plant.kind),
        **{name: getattr(watch, name) for name in COLUMNS},
    )


def growing_at(home: Home, today: date) -> list[Growing]:
    """Return the standing plants that were read, what opens first first. One query."""
    standing = Watch.objects.growing().filter(plant__home=home).select_related("plant")
    return [_growing(watch, today) for watch in standing]


def _growing(watch: Watch, today: date) -> Growing:
    plant, estimate = watch.plant, estimate_of(watch)
    found = growth.outlook(watch.earliest_on, watch.latest_on, today=today, touching=watch.touching)
    at_wall = plant.touches == OWN_WALL
    return Growing(
        mark=plant.mark,
        ref=f"{plant.mark}/{OWN_LEG if at_wall else plant.touches}",
        clearance_mm=growth.clearance_on(estimate, max(today, estimate.on)),
        opens_on=watch.opens_on,
        opens=_said(found, plant, opens=True, today=today),
        touches=_said(found, plant, today=today),
        touching=watch.touching,
    )


def _said(found: growth.Outlook, plant: Plant, *, opens: bool = False, today: date) -> str:
    """The outlook of a plant, named with its place, in the reader's language."""
    place = f" {plant.place_said}" if plant.place else ""
    at_wall = plant.touches == OWN_WALL
    if _reads_spanish():
        name, surface = (
            f"La planta ({plant.said}){place}",
            "la pared" if at_wall else "lo de al lado",
        )
        return growth.oracion(found, plant=name, surface=surface, opens=opens, today=today)
    name, surface = f"The {plant.said}{place}", "wall" if at_wall else in_words(plant.touches)
    return growth.sentence(found, plant=name, surface=surface, opens=opens, today=today)


def _reads_spanish() -> bool:
    return (get_language() or "en").startswith("es")


@dataclass(frozen=True, slots=True)
class Read:
    """A plant that stands, its newest reading and what is made of all of them; None if unread."""

    plant: Plant
    last: Reading | None
    forecast: str

    @property
    def stood(self) -> str:
        """How far it stood clear at the last reading, after a cut if there was one."""
        if self.last is None:
            return ""
        cut = self.last.trimmed_to_mm
        mm = self.last.clearance_mm if cut is None else cut
        system: System = "imperial" if settings.FIRM_UNITS == "imperial" else "metric"
        return length_text(Length(mm), system) if mm is not None else ""


def read_at(home: Home, today: date) -> list[Read]:
    """Return the standing plants of a home by their marks. Three queries."""
    standing = home.plants.filter(removed_on=None).order_by("pk")
    rows = standing.select_related("watch").prefetch_related("readings")
    return [_read(plant, today) for plant in rows]


def _read(plant: Plant, today: date) -> Read:
    readings = list(plant.readings.all())
    watch: Watch | None = getattr(plant, "watch", None)
    if watch is None:
        return Read(plant, readings[-1] if readings else None, "")
    found = growth.outlook(watch.earliest_on, watch.latest_on, today=today, touching=watch.touching)
    said = (
        growth.oracion(found, today=today)
        if _reads_spanish()
        else growth.sentence(found, plant="It", today=today)
    )
    return Read(plant, readings[-1] if readings else None, said)


def kinds() -> list[str]:
    return list(growth.KINDS)
