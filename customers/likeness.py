"""Whether two addresses that are not the same are perhaps one home, written with a slip.

They are where house number and unit are the same, the street's name differs by a slip or two, and
town or postal code agree, give or take a slip; the same people, telephone or mail may stand for the
town. A slip is one letter left out, put in, changed, or two exchanged (F. J. Damerau, A technique
for computer detection and correction of spelling errors, CACM 7(3), 1964). Words that tell streets
apart by themselves must agree: numbers, directions, and street against lane where both say which.

It only ever asks: a slip of one letter is also the difference between two real streets.
"""

from dataclasses import dataclass
from functools import cached_property

from customers.folding import SHORT_FORMS, address_words, fold

DIRECTIONS = frozenset({"n", "s", "e", "w", "ne", "nw", "se", "sw"})
KINDS = frozenset(SHORT_FORMS.values()) - DIRECTIONS
SHORT, LONG = 4, 8  # letters of a name that may hold one slip, and two
BEGINNING = 3  # letters of a street's name by which others like it are looked up


@dataclass(frozen=True)
class Place:
    """An address, and by what else its people are known (names, numbers, mails, all folded)."""

    street: str
    unit: str
    city: str
    postal_code: str
    known_by: frozenset[str]

    @cached_property
    def words(self) -> list[str]:
        return address_words(self.street)

    @property
    def number(self) -> str:
        return self.words[0] if self.words and self.words[0][0].isdecimal() else ""

    @cached_property
    def name(self) -> str:
        """The street's own name in one, without its number, direction and kind."""
        own = [each for each in self.words[1:] if each not in DIRECTIONS | KINDS]
        return "".join(own)

    def marks(self, among: frozenset[str]) -> set[str]:
        return set(self.words[1:]) & among

    @property
    def figures(self) -> set[str]:
        return {each for each in self.words[1:] if any(map(str.isdecimal, each))}


def looked_up_by(street: str) -> str:
    """Return what two addresses must share to be asked about, "" where nothing is like this one.

    A slip among the first letters goes unseen: of Febrl's slips, 3 in 1,621.
    """
    place = Place(street=street, unit="", city="", postal_code="", known_by=frozenset())
    return f"{place.number[:10]} {place.name[:BEGINNING]}" if place.number and place.name else ""


def perhaps_same(one: Place, other: Place) -> bool:
    """Whether a person should be asked. Two addresses that fold to one key are not asked here."""
    if not one.number or one.number != other.number or fold(one.unit) != fold(other.unit):
        return False
    if one.figures != other.figures or not alike(one.name, other.name):
        return False
    if any(_contradict(one.marks(each), other.marks(each)) for each in (DIRECTIONS, KINDS)):
        return False
    nearby = alike(fold(one.city), fold(other.city)) or (
        bool(one.postal_code) and one.postal_code[:5] == other.postal_code[:5]
    )
    return nearby or bool(one.known_by & other.known_by)


def _contradict(one: set[str], other: set[str]) -> bool:
    return bool(one and other and one != other)


def alike(one: str, other: str) -> bool:
    """Whether two words are the same but for a slip, or two in long ones."""
    shorter = min(len(one), len(other))
    if one == other or shorter < SHORT:
        return one == other
    return slips(one, other) <= (2 if shorter >= LONG else 1)


def slips(one: str, other: str) -> int:
    """The number of slips between two words, no letter touched twice."""
    before, last = [0] * (len(other) + 1), list(range(len(other) + 1))
    for i, letter in enumerate(one, start=1):
        row = [i]
        for j, beside in enumerate(other, start=1):
            cost = min(last[j] + 1, row[j - 1] + 1, last[j - 1] + (letter != beside))
            if i > 1 < j and letter == other[j - 2] and beside == one[i - 2]:
                cost = min(cost, before[j - 2] + 1)
            row.append(cost)
        before, last = last, row
    return last[-1]
