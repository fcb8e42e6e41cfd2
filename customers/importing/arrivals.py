"""A row on its way in, as customers and the apps above see it."""

from dataclasses import dataclass, field

from customers.importing.records import Record
from customers.models import Home, Household


@dataclass(slots=True)
class Arrival:
    """`home` is None until the row is written, unless we know the home.

    `joins`: it brings another home to a household that we know, or that has one by a row before.
    `resembles` is a home that it perhaps is, "" for none: a person is asked.
    Receivers of `rows_checked` add to `reasons`; a row with reasons is refused.
    """

    number: int
    cells: list[str]
    record: Record
    home: Home | None = None
    household: Household | None = None
    is_new: bool = False
    joins: bool = False
    resembles: str = ""
    reasons: list[str] = field(default_factory=list)

    @property
    def kept(self) -> tuple[Home, Household]:
        """Home and household of a row that has both, as they are kept now."""
        if self.home is None or self.household is None:
            raise ValueError(f"Row {self.number} has no household.")
        return self.home, self.household
