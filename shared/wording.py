"""Sentences written where the computation is, and translated where they are read.

Pure modules know no framework, so they keep their sentences in English with named places for the
values. Whoever shows one passes the framework's translation as `translate`.
"""

from collections.abc import Callable

Translate = Callable[[str], str]


def gettext_noop(text: str) -> str:
    """Mark a text for the collection of translations; return it as it is."""
    return text


def counted(count: int, thing: str) -> str:
    """Return "1 check", "2 checks", in the English of the office."""
    return f"{count:,} {thing}" if count == 1 else f"{count:,} {thing}s"
