"""What is believed of a plant's rate before it was ever measured.

Definition. A kind's range of yearly growth is read as the middle 80 % of its plants. Growth
classes are coarse and meant for height, not for a branch on its way to a wall, so the spread is
never taken for less than 40 % of the mean. Scatter is how far one growing year strays from the
plant's own rate; tape is how far a reading of a leafy edge strays from the truth. These three
figures are our assumptions; warranties/calibration.py tells whether they hold.
"""

from __future__ import annotations

from dataclasses import dataclass

from warranties.growth.kinds import SCALES, Kind

INCH_MM = 25.4
HALF_OF_80_PERCENT = 1.2815515655446004  # Standard deviations from the middle to the edge.
LEAST_SPREAD = 0.4
SCATTER = 0.25
TAPE_MM = 13.0
FLOOR_REACH = 1.5  # A rate that is only a floor may be half as much again.


@dataclass(frozen=True, slots=True)
class Prior:
    """Growth in mm of a growing year: mean, spread among plants, scatter among years, tape."""

    rate_mm: float
    sd_mm: float
    scatter_mm: float = 0.0
    tape_mm: float = 0.0

    def __post_init__(self) -> None:
        if min(self.rate_mm, self.sd_mm, self.scatter_mm, self.tape_mm) < 0:
            raise ValueError("a rate and its spreads cannot be below zero")


def prior_of_range(low_in: float, high_in: float) -> Prior:
    """Return the prior for a kind that grows low_in to high_in inches a year."""
    if not 0 <= low_in <= high_in:
        raise ValueError(f"{low_in} to {high_in} in is no range of growth")
    middle = (low_in + high_in) / 2 * INCH_MM
    spread = (high_in - low_in) / 2 * INCH_MM / HALF_OF_80_PERCENT
    return Prior(middle, max(spread, LEAST_SPREAD * middle), SCATTER * middle, TAPE_MM)


def prior_of_class(name: str, scale: str = "missouri") -> Prior:
    """Return the prior of a growth class, such as "slow", on one of the SCALES."""
    for growth_class in SCALES[scale]:
        if growth_class.name == name:
            return prior_of_range(growth_class.low_in, growth_class.usual_high_in)
    raise ValueError(f"{name!r} is no class of the scale {scale!r}")


def prior_of_kind(kind: Kind) -> Prior:
    """Return the prior of a kind of plant. A rate that is only a floor is stretched upwards."""
    return prior_of_range(kind.low_in, kind.high_in * (FLOOR_REACH if kind.floor else 1))
