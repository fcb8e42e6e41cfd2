"""How long a seal stood, by its age.

Definition. The days from sealing until the promise ended, or until today, are split where the seal
came of each age: on its birthdays, as warranties/seals.py counts them, so that every day falls in
one band and the bands add up to the whole. The birthday itself belongs to the older band, and so
does what opened that day. This is the exact splitting of follow-up on the age scale, as for a Lexis
diagram (any text on cohort studies). The bands are our own choice: narrow where workmanship shows,
wide where few seals are.
"""

from collections.abc import Iterator
from datetime import date

from warranties.seals import YEAR_MONTHS, add_months

# Each band by its name, and the age in years at which it begins.
BANDS = {"0-1": 0, "1-3": 1, "3-6": 3, "6+": 6}


def split(sealed_on: date, until: date) -> Iterator[tuple[str, int]]:
    """Yield each band that the seal lived in, with the days it did. Nothing before sealing."""
    begins = [(band, _birthday(sealed_on, years)) for band, years in BANDS.items()]
    ends = [*(day for _, day in begins[1:]), date.max]
    for (band, first), end in zip(begins, ends, strict=True):
        days = (min(until, end) - first).days
        if days > 0:
            yield band, days


def band_on(sealed_on: date, day: date) -> str:
    """Return the band of the seal's age on a day; the first one before it was sealed."""
    reached = [band for band, years in BANDS.items() if _birthday(sealed_on, years) <= day]
    return reached[-1] if reached else next(iter(BANDS))


def _birthday(sealed_on: date, years: int) -> date:
    return add_months(sealed_on, years * YEAR_MONTHS)
