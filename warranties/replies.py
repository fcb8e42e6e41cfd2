"""What a household's text to us asks for.

Definition. "stop": one of the words that revoke by themselves, whatever its case, spaces and full
stops; or, among other words, such a word or a wish that a reasonable person understands so.
"help": a call for information. Else "": a person reads it.
Source: 47 CFR 64.1200(a)(10), "stop, quit, end, revoke, opt out, cancel, unsubscribe";
../shared/standards/law.md 5.5. The Spanish words are ours.
"""

from __future__ import annotations

import re
import unicodedata
from typing import Literal

Heard = Literal["stop", "help", ""]
STOP = frozenset(
    {"stop", "stopall", "stop all", "quit", "end", "revoke", "opt out", "optout", "opt-out"}
    | {"cancel", "unsubscribe"}
    | {"alto", "parar", "pare", "basta", "baja", "cancelar", "no mas"}
)
HELP = frozenset(["help", "info", "ayuda"])
# Where we are unsure we stop: "stop by on Friday" costs a person one look, going on costs trust.
WISHES = re.compile(
    r"\b(stop|quit|revoke|opt[ -]?out|unsubscribe|no more|no mas|remove me|leave me alone"
    r"|(do not|dont|don t|never|quit) (text|message|contact|write)|no me (escriban?|manden?))\b"
)


def heard(text: str) -> Heard:
    """Return what the text asks for."""
    words = folded(text)
    if words in STOP or WISHES.search(words):
        return "stop"
    return "help" if words in HELP else ""


def plain(text: str) -> bool:
    """Whether the text is one of the known words alone, so that nobody need read it."""
    return folded(text) in STOP | HELP


def names_stop(text: str) -> bool:
    """Whether the text names one of the words that end texts, in capitals, to be typed back."""
    return any(re.search(rf"(?<!\w){re.escape(word.upper())}(?!\w)", text) for word in STOP)


def folded(text: str) -> str:
    """Lower case, without accents, marks and needless spaces."""
    apart = unicodedata.normalize("NFKD", text.casefold())
    kept = "".join(each for each in apart if not unicodedata.combining(each))
    return " ".join(re.sub(r"[^\w\s-]", " ", kept.replace("'", "").replace("’", "")).split())
