"""Whether two names mean the same people: at one address, or anywhere.

At one address they do when, words folded and joining words left out, one has every word of the
other: Ortega, Ana Ortega, and Ana and Luis Ortega. A sister who moved in is another household: a
person decides.
Anywhere else they do when both have the very same words, in any order, and a telephone number or
mail address in common. A name alone is never enough: many people are called Ana Ortega.
"""

from customers.folding import words

_JOINING = {"and", "y", "e", "mr", "mrs", "ms", "dr", "sr", "sra", "the", "family", "familia"}
UNNAMED = "Household at {street}"


def same_people(one: str, other: str) -> bool:
    """Whether two names at one address mean the same people."""
    first, second = name_words(one), name_words(other)
    return first <= second or second <= first


def name_words(name: str) -> frozenset[str]:
    """Return the words that tell people apart, empty where we have no name of theirs."""
    return frozenset() if is_unnamed(name) else frozenset(words(name)) - _JOINING


def unnamed(street: str) -> str:
    """Return what we call a household of which a table tells something, but no name."""
    return UNNAMED.format(street=street)[:200]


def is_unnamed(name: str) -> bool:
    return name.startswith(UNNAMED.partition("{")[0])
