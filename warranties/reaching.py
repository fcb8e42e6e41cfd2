"""By which channel a household is reached.

Definition. The first of its own order that may be used and was not tried. Mail and texts need an
address and a yes; letters and calls only the lack of a no. An address that mail came back from is
none, nor is a number that the gateway refused one for texts. The database chooses by the same rule
for many at once: warranties/notices/inserting.py.
Source: law.md 5.5 in ../shared/standards.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

CHANNELS = 4  # A household's order names each of them once.


def first_channel(
    order: Sequence[str],
    answers: Mapping[str, bool],
    *,
    mail: bool,
    texts: bool,
    phone: bool,
    tried: str = "",
) -> str | None:
    """Return the channel, None where nothing may be used.

    `answers` are the household's consents; `mail`, `texts` and `phone` say whether there is an
    address that works, a number that gets texts, a number; `tried` names the channels that are not
    to be used again.
    """
    may = {
        "mail": mail and answers.get("mail", False),
        "text": texts and answers.get("text", False),
        "letter": answers.get("letter", True),
        "call": phone and answers.get("call", True),
    }
    return next((each for each in order[:CHANNELS] if may.get(each) and each not in tried), None)


def written_channel(
    answers: Mapping[str, bool], *, mail: bool, files: bool, tried: str = ""
) -> str:
    """Return the channel of a paper that law wants in writing: mail to who chose `files`.

    Source: 15 USC 7001(c).
    """
    return "mail" if files and mail and answers.get("mail") and "mail" not in tried else "letter"
