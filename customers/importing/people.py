"""Whether two names at one address mean the same people.

They do when, words folded and joining words left out, one has every word of the other: Ortega, Ana
Ortega, and Ana and Luis Ortega. A sister who moved in is another household: a person decides.
"""

from customers.folding import words

_JOINING = {"and", "y", "e", "mr", "mrs", "ms", "dr", "sr", "sra", "the", "family", "familia"}
UNNAMED = "Household at {street}"


def same_people(one: str, other: str) -> bool:
    first, second = (set(words(name)) - _JOINING for name in (one, other))
    return first <= second or second <= first


def unnamed(street: str) -> str:
    """Return what we call a household of which a table tells something, but no name."""
    return UNNAMED.format(street=street)[:200]


def is_unnamed(name: str) -> bool:
    return name.startswith(UNNAMED.partition("{")[0])
