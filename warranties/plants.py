"""How the plants of a home stand today, and when they are likely to open its ring."""

from datetime import date

from customers.models import Home
from customers.outlooks import Growing
from customers.plan.contacts import OWN_LEG
from customers.plan.document import in_words
from warranties import growth, trimming
from warranties.models import Watch

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
    name = f"The {plant.name}{f' {plant.place}' if plant.place else ''}"
    at_wall = plant.touches == OWN_WALL
    surface = "wall" if at_wall else in_words(plant.touches)
    return Growing(
        mark=plant.mark,
        ref=f"{plant.mark}/{OWN_LEG if at_wall else plant.touches}",
        clearance_mm=growth.clearance_on(estimate, max(today, estimate.on)),
        opens_on=watch.opens_on,
        opens=growth.sentence(found, plant=name, opens=True, today=today),
        touches=growth.sentence(found, plant=name, surface=surface, today=today),
    )


def kinds() -> list[str]:
    return list(growth.KINDS)
