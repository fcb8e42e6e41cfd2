"""The sentences of warranties/growth/words.py for those who read Spanish."""

from __future__ import annotations

from datetime import date

from warranties.growth.words import Outlook

MONTHS = (
    "enero",
    "febrero",
    "marzo",
    "abril",
    "mayo",
    "junio",
    "julio",
    "agosto",
    "septiembre",
    "octubre",
    "noviembre",
    "diciembre",
)


def oracion(
    found: Outlook, *, plant: str = "", surface: str = "la pared", opens: bool = False, today: date
) -> str:
    """Return the outlook in words: plant as in "La planta (lantana) en el tramo 4", or nothing.

    opens says it of the ring, named in the sentence before: the plant opens it.
    """
    thing = "el cerco" if opens else surface
    now, ever, past = ("abre", "abrirá", "abierto") if opens else ("toca", "tocará", "tocado")
    may = f"puede {'abrir' if opens else 'tocar'} {thing}"
    low, high = _day(found.low, today), _day(found.high, today)
    match found.case:
        case "touching":
            said = f"{now} {thing}."
        case "hardly ever":
            said = f"es poco probable que {may.replace('puede', 'llegue a')}."
        case "overdue":
            said = f"probablemente ha {past} {thing} desde el {high}."
        case "any day":
            said = f"{may} cualquier día" + (
                f" y es probable que lo haga a más tardar el {high}." if found.high else "."
            )
        case "after":
            said = f"{may} a partir del {low}."
        case "between":
            said = f"probablemente {ever} {thing} {_span(found.low, found.high, today)}."
    whole = f"{plant} {said}".strip()
    return whole[:1].upper() + whole[1:]


def _day(day: date | None, today: date) -> str:
    """Return "12 de abril", with the year where it is not this one."""
    if day is None:
        return "algún día"
    year = f" de {day.year}" if day.year != today.year else ""
    return f"{day.day} de {MONTHS[day.month - 1]}{year}"


def _span(low: date | None, high: date | None, today: date) -> str:
    if low is None or high is None:
        raise ValueError("a span has two ends")
    if low == high:
        return f"el {_day(low, today)}"
    first = f"{low.day} de {MONTHS[low.month - 1]}"
    if low.year != high.year:
        return f"entre el {first} de {low.year} y el {_day(high, low)}"
    if low.month == high.month:
        first = str(low.day)
    return f"entre el {first} y el {_day(high, today)}"
