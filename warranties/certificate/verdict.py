"""What a stranger may learn about a number or a file: its standing, never whose it is."""

from dataclasses import dataclass

from shared.checkdigits import read_certificate_number
from warranties.models import Promise

STANDINGS = ("in-force", "suspended", "ended", "transferred", "altered", "unknown")


@dataclass(frozen=True, slots=True)
class Verdict:
    """`standing` is one of STANDINGS; `findings` says in words what was looked at and found."""

    standing: str
    number: str = ""
    findings: tuple[str, ...] = ()

    @property
    def genuine(self) -> bool:
        return self.standing not in {"altered", "unknown"}


def standing_of(text: str) -> Verdict:
    """Return how the promise of a number stands today, as typed by anybody. Two queries."""
    try:
        number = read_certificate_number(text)
    except ValueError as error:
        return Verdict("unknown", findings=(str(error),))
    promise = Promise.objects.filter(number=number).first()
    if promise is None:
        return Verdict("unknown", number, ("We never gave out this number.",))
    return Verdict(promise.state, number)
