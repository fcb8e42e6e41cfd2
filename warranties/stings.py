"""Whether a report speaks of a sting: then help comes before everything else.

English and Spanish words. The number to call is that of standards/law.md, section 9.6: Poison Help
of the United States, 1-800-222-1222.
"""

import re

# "picado" and "picó" too, but not "pico", "picante" or "picture"; "sting" but not "hosting".
_WORDS = re.compile(
    r"\b(?:sting(?:s|ing|er)?|stung|picad(?:ura|uras|o|a|os|as)|picó|picaron|aguij[oó]n\w*)\b",
    re.IGNORECASE,
)


def speaks_of_a_sting(text: str) -> bool:
    return _WORDS.search(text) is not None
