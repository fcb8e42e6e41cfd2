"""What the readings tell of one plant: its clearance and its own rate, both with uncertainty.

Definition. Clearance and rate are jointly normal. Over g growing years the clearance falls by rate
times g, give or take scatter times the root of g; a reading gives the clearance, give or take the
tape. Each reading updates both by the conjugate rule for a normal mean (Kalman's filter, exact). A
plant found touching may have grown further than its gap: its clearance is then known only to be
zero or less, and the first two moments of that are taken. A trim-back sets the clearance anew and
leaves the rate as it was learned.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date

from warranties.growth.prior import INCH_MM, Prior
from warranties.growth.season import Season

TOUCHING_MM = 1e-6  # Less than this is nothing, be it a clearance or a doubt about one.
ODD_SPREADS = 6.0  # So many standard deviations off what was expected, ...
ODD_MM = 50.0  # ... and this much more, is worth a question.
BACK_SPREADS = 3.0  # Plants do not shrink: less is needed to ask about a clearance that rose.
SEEN_CLEAR_MM = 1.0  # A gap that a person saw is never reckoned away entirely.
SURELY_TOUCHING = 30.0
SURELY_CLEAR = 8.0  # Standard deviations beyond which "zero or less" is as good as zero.


class OddReading(Exception):
    """The reading can hardly be right. The message is a question fit to show a person."""


@dataclass(frozen=True, slots=True)
class Reading:
    """What was found on a day, and to what clearance the plant was then cut, if it was.

    clearance_mm is None where nobody measured before the cut: nothing is learned of the rate.
    confirmed: a person was asked about an odd reading and stands by it.
    """

    on: date
    clearance_mm: float | None
    trimmed_to_mm: float | None = None
    confirmed: bool = False


@dataclass(frozen=True, slots=True)
class Estimate:
    """What is known of a plant after its last reading. Variances in mm squared."""

    on: date
    clearance_mm: float
    rate_mm: float
    clearance_var: float
    rate_var: float
    covariance: float
    scatter_mm: float
    season: Season

    @property
    def rate_sd_mm(self) -> float:
        return math.sqrt(self.rate_var)

    @property
    def touching(self) -> bool:
        return self.clearance_mm <= TOUCHING_MM

    def at(self, day: date) -> Estimate:
        """Return the same knowledge carried to another day without a reading."""
        grown = self.season.between(self.on, day)
        return replace(
            self,
            on=day,
            clearance_mm=self.clearance_mm - self.rate_mm * grown,
            clearance_var=max(
                0.0,
                self.clearance_var
                - 2 * grown * self.covariance
                + grown**2 * self.rate_var
                + grown * self.scatter_mm**2,
            ),
            covariance=self.covariance - grown * self.rate_var,
        )


def learn(readings: Iterable[Reading], prior: Prior, season: Season) -> Estimate:
    """Return what the readings, in any order, tell of the plant.

    Raises OddReading where there is none, or where one can hardly be right and is not confirmed.
    """
    estimate: Estimate | None = None
    for reading in sorted(readings, key=lambda reading: reading.on):
        _refuse_impossible(reading)
        if estimate is None:
            estimate = _first(reading, prior, season)
        elif reading.clearance_mm is None:
            estimate = estimate.at(reading.on)
        else:
            estimate = _after(estimate, reading, reading.clearance_mm, prior)
        if reading.trimmed_to_mm is not None:
            estimate = _level(estimate, reading.trimmed_to_mm, prior)
    if estimate is None:
        raise OddReading("There is no reading yet. How far from the wall is the plant?")
    return estimate


def check_reading(
    reading: Reading, earlier: Iterable[Reading], prior: Prior, season: Season, *, today: date
) -> None:
    """Raise OddReading where a new reading should be asked about before it is kept."""
    if reading.on > today:
        raise OddReading(f"{_day(reading.on)} is still to come. On what day was it measured?")
    before = [known for known in earlier if known.on <= reading.on]
    learn([*before, reading], prior, season)


def _first(reading: Reading, prior: Prior, season: Season) -> Estimate:
    stood = reading.trimmed_to_mm if reading.clearance_mm is None else reading.clearance_mm
    return Estimate(
        on=reading.on,
        clearance_mm=float(stood or 0),
        rate_mm=prior.rate_mm,
        clearance_var=prior.tape_mm**2,
        rate_var=prior.sd_mm**2,
        covariance=0.0,
        scatter_mm=prior.scatter_mm,
        season=season,
    )


def _level(estimate: Estimate, clearance_mm: float, prior: Prior) -> Estimate:
    """Return the estimate with its clearance set anew and its rate kept."""
    return replace(
        estimate,
        clearance_mm=float(clearance_mm),
        clearance_var=prior.tape_mm**2,
        covariance=0.0,
    )


def _after(estimate: Estimate, reading: Reading, clear: float, prior: Prior) -> Estimate:
    expected = estimate.at(reading.on)
    spread = math.sqrt(expected.clearance_var + prior.tape_mm**2)
    if clear > _most_clear(estimate, prior):
        if reading.confirmed:  # Cut back unseen: nothing is learned of the rate.
            return _level(expected, clear, prior)
        raise OddReading(_grew_back(estimate, clear, reading.on))
    least = expected.clearance_mm - ODD_SPREADS * spread - ODD_MM
    odd = clear < least
    if odd and not reading.confirmed:
        raise OddReading(_grew_fast(estimate, clear, reading.on))
    if (
        spread <= TOUCHING_MM
    ):  # Nothing is in doubt, so there is nothing to learn but where it stands.
        return _level(expected, clear, prior)
    if clear <= TOUCHING_MM:
        return _touching(expected, spread)
    surprise = clear - expected.clearance_mm
    found = _updated(expected, spread, surprise, spread**2)
    if odd:  # A person stands by it, so the clearance is as read, whatever was expected.
        return _level(found, clear, prior)
    seen = min(clear, SEEN_CLEAR_MM)
    return replace(found, clearance_mm=max(found.clearance_mm, seen))


def _most_clear(estimate: Estimate, prior: Prior) -> float:
    doubt = math.sqrt(estimate.clearance_var + prior.tape_mm**2)
    return max(0.0, estimate.clearance_mm) + BACK_SPREADS * doubt + ODD_MM


def _updated(expected: Estimate, spread: float, surprise: float, explained: float) -> Estimate:
    """Apply the conjugate rule: surprise is the reading less what was expected of it.

    explained is by how much the reading narrowed its own variance: all of it, when exact.
    """
    weigh_clearance = expected.clearance_var / spread**2
    weigh_rate = expected.covariance / spread**2
    return replace(
        expected,
        clearance_mm=expected.clearance_mm + weigh_clearance * surprise,
        rate_mm=expected.rate_mm + weigh_rate * surprise,
        clearance_var=max(0.0, expected.clearance_var - weigh_clearance**2 * explained),
        rate_var=max(0.0, expected.rate_var - weigh_rate**2 * explained),
        covariance=expected.covariance - weigh_clearance * weigh_rate * explained,
    )


def _touching(expected: Estimate, spread: float) -> Estimate:
    """Update by "zero or less" instead of by a figure, then stand at the wall."""
    edge = -expected.clearance_mm / spread
    if edge > SURELY_TOUCHING:  # As was expected, so it teaches nothing.
        return expected
    if edge < -SURELY_CLEAR:
        found = _updated(expected, spread, -expected.clearance_mm, spread**2)
    else:
        below = math.erfc(-edge / math.sqrt(2)) / 2
        pull = math.exp(-(edge**2) / 2) / math.sqrt(2 * math.pi) / below
        found = _updated(expected, spread, -spread * pull, spread**2 * pull * (edge + pull))
    return replace(found, clearance_mm=min(0.0, found.clearance_mm))


def _refuse_impossible(reading: Reading) -> None:
    clear, cut = reading.clearance_mm, reading.trimmed_to_mm
    if clear is None and cut is None:
        raise OddReading("Was it measured, or cut? A reading says one of them at least.")
    if clear is not None and (not math.isfinite(clear) or clear < 0):
        raise OddReading(f"A clearance of {clear:g} mm? Enter 0 where the plant touches.")
    if cut is None:
        return
    if not math.isfinite(cut) or cut < 0:
        raise OddReading(f"Cut back to {cut:g} mm? Enter how far it now stands clear.")
    if clear is not None and cut < clear and not reading.confirmed:
        raise OddReading(
            f"It stood {_length(clear)} clear before the cut and {_length(cut)} after it. "
            "Which is right?"
        )


def _grew_fast(estimate: Estimate, clear: float, on: date) -> str:
    grown = _length(estimate.clearance_mm - clear)
    days = (on - estimate.on).days
    within = {0: "within the same day", 1: "in 1 day"}.get(days, f"in {days} days")
    return f"It grew {grown} {within}. Is that right, or was another plant measured?"


def _grew_back(estimate: Estimate, clear: float, on: date) -> str:
    return (
        f"It stood {_length(max(0.0, estimate.clearance_mm))} clear on {_day(estimate.on)} and "
        f"{_length(clear)} on {_day(on)}. Was it cut back in between?"
    )


def _length(mm: float) -> str:
    return f"{mm:.0f} mm ({mm / INCH_MM:.0f} in)"


def _day(day: date) -> str:
    return f"{day.day} {day:%B %Y}"
