"""Days and times in what households get, on paper and on screen, in the manner of their language.

Pages of the firm write days by the formats of shared/formats (`|date`, `date_format`): day first,
so that the office reads one style everywhere.
"""

from datetime import date, datetime

from django.utils import dateformat
from django.utils.translation import override

DAY = {"en": "F j, Y", "es": r"j \d\e F \d\e Y"}
WEEKDAY = {"en": "l, F j, Y", "es": r"l j \d\e F \d\e Y"}
MONTH_DAY = {"en": "F j", "es": r"j \d\e F"}
TIME = {"en": "g:i A", "es": "H:i"}


def day_said(day: date, language: str) -> str:
    """Return "April 12, 2026", "12 de abril de 2026"."""
    return _said(day, DAY, language)


def weekday_said(day: date, language: str) -> str:
    """Return "Sunday, April 12, 2026", "domingo 12 de abril de 2026"."""
    return _said(day, WEEKDAY, language)


def time_said(moment: datetime, language: str) -> str:
    """Return "2:30 PM", "14:30", as the moment stands in its own zone."""
    return _said(moment, TIME, language)


def month_day_said(day: date, language: str) -> str:
    """Return "April 12", "12 de abril": where the year goes without saying."""
    return _said(day, MONTH_DAY, language)


def moment_said(moment: datetime, language: str) -> str:
    """Return "April 12, 2026, 2:30 PM", as the moment stands in its own zone."""
    return f"{day_said(moment, language)}, {time_said(moment, language)}"


def _said(moment: date, formats: dict[str, str], language: str) -> str:
    with override(language):
        return dateformat.format(moment, formats.get(language, formats["en"]))
