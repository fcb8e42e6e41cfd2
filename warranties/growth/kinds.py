"""How fast kinds of plants grow: growth classes and common kinds of hot, dry places.

Definition. A growth class is a range of inches a year on one named scale. Scales disagree at their
edges, so the edges are data. USDA's Slow, Moderate and Rapid are relative to plants of the same
habit and are no classes of inches: a Rapid shrub grew about 8 in a year, not 25.

Sources: ../shared/standards/engineering.md 4.2 names the page behind each scale; kinds are derived
from USDA PLANTS (height at base age over 10 years for shrubs, 20 for trees; both where a plant is
either). Such a rate is a floor, because many of those heights are the mature height.
"""

from __future__ import annotations

from typing import NamedTuple


class GrowthClass(NamedTuple):
    """From low_in to high_in inches a year, with the edges that belong to it."""

    name: str
    low_in: float
    high_in: float | None = None
    holds_high: bool = True
    usual_high_in: float = 0.0  # Where the class is open above or its range is not its own.

    def holds(self, rate_in: float) -> bool:
        if self.high_in is None or rate_in < self.high_in:
            return rate_in >= self.low_in
        return self.holds_high and rate_in == self.high_in


def _bounded(name: str, low_in: float, high_in: float, *, holds_high: bool = True) -> GrowthClass:
    return GrowthClass(name, low_in, high_in, holds_high, high_in)


def _open(name: str, low_in: float, usual_high_in: float) -> GrowthClass:
    return GrowthClass(name, low_in, None, True, usual_high_in)


SCALES: dict[str, tuple[GrowthClass, ...]] = {
    # Missouri Department of Conservation, Growth Key; open end from the gardening scale below.
    "missouri": (
        _bounded("slow", 0, 12),
        _bounded("medium", 12, 24, holds_high=False),
        _open("fast", 24, 36),
    ),
    # Myers, Tree and Shrub Growth Rates, the Arbor Day wording: whole inches, gaps between.
    "arbor": (_bounded("slow", 0, 12), _bounded("medium", 13, 24), _open("fast", 25, 36)),
    # National Gardening Association, answer of 2004.
    "gardening": (
        _bounded("slow", 1, 12),
        _bounded("slow to moderate", 12, 24),
        _bounded("moderate", 24, 24),
        _bounded("moderate to fast", 24, 36),
        _open("fast", 36, 36),
    ),
    # American Conifer Society, sizes of conifers, by way of Myers.
    "conifer": (
        _bounded("miniature", 0, 1, holds_high=False),
        _bounded("dwarf", 1, 6),
        _bounded("intermediate", 6, 12),
        _open("large", 12, 24),
    ),
}

# Mean inches a year of USDA's rates, from its 2,085 taxa (engineering.md 4.2): plants that are
# nothing but shrubs and subshrubs, and plants that are nothing but trees.
USDA_MEAN_IN = {
    ("shrub", "slow"): 5.5,
    ("shrub", "moderate"): 7.6,
    ("shrub", "rapid"): 8.3,
    ("tree", "slow"): 16.5,
    ("tree", "moderate"): 20.9,
    ("tree", "rapid"): 27.7,
}
USDA_BASE_AGE = {"shrub": 10, "subshrub": 10, "tree": 20}


def classes_of(rate_in: float, scale: str = "missouri") -> list[str]:
    """Return the classes that a rate in inches a year falls in: two at a shared edge, or none."""
    return [growth_class.name for growth_class in SCALES[scale] if growth_class.holds(rate_in)]


def usda_range_in(height_at_base_age_ft: float, growth_habit: str) -> tuple[float, float]:
    """Return inches a year from USDA's height at base age and its habit ("Shrub, Tree")."""
    habits = (habit.strip().lower() for habit in growth_habit.split(","))
    ages = [USDA_BASE_AGE[habit] for habit in habits if habit in USDA_BASE_AGE]
    if not ages:
        raise ValueError(f"no base age is known for {growth_habit!r}")
    return height_at_base_age_ft * 12 / max(ages), height_at_base_age_ft * 12 / min(ages)


class Kind(NamedTuple):
    """One kind of plant: inches a year, the seasons it grows in, and who says so."""

    name: str
    scientific: str
    low_in: float
    high_in: float
    active: str
    source: str
    floor: bool = False


def _usda(name: str, scientific: str, low: float, high: float, active: str, symbol: str) -> Kind:
    return Kind(name, scientific, low, high, active, f"USDA PLANTS {symbol}", floor=True)


WARM = "Spring and Summer"
LATE = "Summer and Fall"
LONG = "Spring, Summer, Fall"
BY_HAND = "classed by hand; not in USDA's characteristics"

KINDS: dict[str, Kind] = {
    kind.name: kind
    for kind in (
        Kind("oleander", "Nerium oleander", 12, 24, LONG, "Clemson as quoted; USDA PLANTS NEOL"),
        Kind("lantana", "Lantana camara", 24, 36, LONG, BY_HAND),
        Kind("bougainvillea", "Bougainvillea", 24, 36, LONG, BY_HAND),
        Kind("star jasmine", "Trachelospermum jasminoides", 12, 24, LONG, BY_HAND),
        Kind("texas sage", "Leucophyllum frutescens", 12, 24, LONG, BY_HAND),
        _usda("desertbroom", "Baccharis sarothroides", 14.4, 14.4, WARM, "BASA2"),
        _usda("mule-fat", "Baccharis salicifolia", 12, 12, "Summer", "BASA4"),
        _usda("big saltbush", "Atriplex lentiformis", 12, 12, WARM, "ATLE"),
        _usda("fourwing saltbush", "Atriplex canescens", 9.6, 9.6, WARM, "ATCA2"),
        _usda("cattle saltbush", "Atriplex polycarpa", 7.2, 7.2, LATE, "ATPO"),
        _usda("jojoba", "Simmondsia chinensis", 8.4, 8.4, LATE, "SICH"),
        _usda("apache plume", "Fallugia paradoxa", 7.2, 7.2, WARM, "FAPA"),
        _usda("creosote bush", "Larrea tridentata", 6, 6, WARM, "LATRA"),
        _usda("rosemary", "Rosmarinus officinalis", 6, 6, WARM, "ROOF"),
        _usda("skunkbush sumac", "Rhus trilobata", 4.8, 4.8, WARM, "RHTR"),
        _usda("sugar sumac", "Rhus ovata", 7.2, 14.4, WARM, "RHOV"),
        _usda("florida hopbush", "Dodonaea viscosa", 9, 18, LONG, "DOVI"),
        _usda("yellow trumpetbush", "Tecoma stans", 12, 24, WARM, "TEST"),
        _usda("desert willow", "Chilopsis linearis", 9, 18, LONG, "CHLI2"),
        _usda("honey mesquite", "Prosopis glandulosa", 12, 24, WARM, "PRGLG"),
        _usda("screwbean mesquite", "Prosopis pubescens", 6, 12, LONG, "PRPU"),
        _usda("netleaf hackberry", "Celtis laevigata", 4.8, 9.6, WARM, "CELAR"),
        _usda("japanese privet", "Ligustrum japonicum", 6, 12, WARM, "LIJA"),
        _usda("sacred bamboo", "Nandina domestica", 9.6, 9.6, WARM, "NADO"),
        _usda("scarlet firethorn", "Pyracantha coccinea", 10.8, 10.8, WARM, "PYCO2"),
        _usda("crapemyrtle", "Lagerstroemia indica", 15, 30, "Spring", "LAIN"),
        _usda("yaupon", "Ilex vomitoria", 12, 24, WARM, "ILVO"),
    )
}
