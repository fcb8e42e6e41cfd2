"""Text and addresses folded for comparison, so that one thing written twice is seen as one.

Folding: compatibility decomposition (NFKD, Unicode Standard Annex 15), accents taken off, case
folded, apostrophes closed up, every other mark a space. An address also has its common words cut to
their short forms (USPS Publication 28, appendices B, C1 and C2): "14 North Juniper Street, Apt. 4"
and "14 N JUNIPER ST #4" are one address. The postal code takes no part: it is missing, or carries
four more digits, too often.
"""

import re
import unicodedata

LONGEST_WORD = 60
LONGEST_KEY = 300
PHONE_DIGITS = 7

_APOSTROPHES = re.compile("['\u2018\u2019\u02bc\u00b4`]")
_WORD = re.compile(r"[^\W_]+")
_MAIL = re.compile(r"\S+@\S*")
# A telephone number or a running number: digits with nothing but marks between them.
_LONG_NUMBER = re.compile(r"\+?\(?\d[\d().\-/]*(?: [\d().\-/]+)*\d")

# "long ones:short", C1 street suffixes and B geographic directions first, then our own few.
_SHORT = """
    alley:aly avenue,av:ave bend:bnd bluff:blf boulevard,boul:blvd bridge:brg brook:brk canyon:cyn
    causeway:cswy center,centre:ctr circle,circ:cir common:cmn corner:cor court:ct courts:cts
    cove:cv creek:crk crescent:cres crossing:xing drive,drv:dr estate:est estates:ests
    expressway:expy extension:ext forest:frst freeway:fwy garden:gdn gardens:gdns gateway:gtwy
    glen:gln green:grn grove:grv harbor:hbr heights:hts highway:hwy hill:hl hills:hls hollow:holw
    island:is junction:jct knoll:knl lake:lk lakes:lks landing:lndg lane:ln manor:mnr meadow:mdw
    meadows:mdws mill:ml mount:mt mountain:mtn orchard:orch parkway:pkwy place:pl plain:pln
    plaza:plz point:pt prairie:pr ranch:rnch ridge:rdg river:riv road:rd route:rte shore:shr
    spring:spg springs:spgs square:sq station:sta street,str,saint:st summit:smt
    terrace:ter trail:trl turnpike:tpke union:un valley:vly view:vw village:vlg vista:vis
    north:n south:s east:e west:w northeast:ne northwest:nw southeast:se southwest:sw
    building:bldg floor:fl space:spc trailer:trlr
    first:1st second:2nd third:3rd fourth:4th fifth:5th sixth:6th seventh:7th eighth:8th ninth:9th
    tenth:10th
"""
SHORT_FORMS = {
    long: short
    for entry in _SHORT.split()
    for longs, short in [entry.split(":")]
    for long in longs.split(",")
}
# Words that only say that a unit follows: "Apt 4", "Unit 4", "# 4" are one door.
UNIT_WORDS = frozenset({"apt", "apartment", "unit", "ste", "suite", "no", "num", "number"})

_STATES = """
    alabama:al alaska:ak arizona:az arkansas:ar california:ca colorado:co connecticut:ct
    delaware:de district_of_columbia:dc florida:fl georgia:ga hawaii:hi idaho:id illinois:il
    indiana:in iowa:ia kansas:ks kentucky:ky louisiana:la maine:me maryland:md massachusetts:ma
    michigan:mi minnesota:mn mississippi:ms missouri:mo montana:mt nebraska:ne nevada:nv
    new_hampshire:nh new_jersey:nj new_mexico:nm new_york:ny north_carolina:nc north_dakota:nd
    ohio:oh oklahoma:ok oregon:or pennsylvania:pa rhode_island:ri south_carolina:sc
    south_dakota:sd tennessee:tn texas:tx utah:ut vermont:vt virginia:va washington:wa
    west_virginia:wv wisconsin:wi wyoming:wy
"""
STATES = dict(entry.replace("_", " ").split(":") for entry in _STATES.split())


def fold(text: str) -> str:
    """Return the text's words in lower case, without accents and marks, one space between."""
    return " ".join(words(text))


def words(text: str) -> list[str]:
    """Return the folded words of the text, in order, each cut to the longest that we keep."""
    bare = "".join(
        char for char in unicodedata.normalize("NFKD", text) if not unicodedata.combining(char)
    )
    closed = _APOSTROPHES.sub("", bare.casefold())
    return [word[:LONGEST_WORD] for word in _WORD.findall(closed)]


def address_words(street: str, unit: str = "") -> list[str]:
    """Return the words of street and unit, short, without those that only announce a unit."""
    kept = [word for word in words(f"{street} {unit}") if word not in UNIT_WORDS]
    return [SHORT_FORMS.get(word, word) for word in kept]


def address_key(*, street: str, unit: str, city: str, region: str, country: str) -> str:
    """Return what two spellings of one address have in common.

    An address without a single letter or digit is its own key.
    """
    door = " ".join(address_words(street, unit)) or street.strip().casefold()
    state = fold(region)
    town = " ".join(address_words(city))
    return "|".join((door, town, STATES.get(state, state), fold(country)))[:LONGEST_KEY]


def street_order(street: str) -> str:
    """Return the key by which homes stand in a list: street first, then number as a number."""
    number, *rest = words(street) or [""]
    if not rest or not number[0].isdecimal():
        return fold(street)
    digits = re.match(r"\d+", number)
    padded = f"{digits[0]:0>7}{number[digits.end() :]}" if digits else number
    return f"{' '.join(rest)} {padded}"


def find_words(*texts: str) -> set[str]:
    """Return the words by which these texts are found: as written, short, numbers also closed."""
    found: set[str] = set()
    for text in texts:
        plain = words(text)
        found.update(plain)
        found.update(SHORT_FORMS[word] for word in plain if word in SHORT_FORMS)
        found.update(mail.casefold()[:LONGEST_WORD] for mail in _MAIL.findall(text))
        digits = [word for word in plain if word.isdecimal()]
        if digits and len(plain) > 1 and " " not in text.strip():
            found.update("".join(parts)[:LONGEST_WORD] for parts in (plain, digits))
    return found


def phone_words(e164: str) -> set[str]:
    """Return a telephone number's digits whole and from each place where people begin it."""
    digits = "".join(char for char in e164 if char.isdecimal())
    return {digits[-length:] for length in (len(digits), 10, 7, 4) if digits}


def asked_words(asked: str) -> list[str]:
    """Return what to look for, each once, from what somebody typed into the find box."""
    asked = asked.replace("\0", " ")
    found: list[str] = [mail.casefold()[:LONGEST_WORD] for mail in _MAIL.findall(asked)]
    rest = _MAIL.sub(" ", asked)
    for number in _LONG_NUMBER.findall(rest):
        digits = "".join(char for char in number if char.isdecimal())
        if len(digits) >= PHONE_DIGITS:
            found.append(digits)
            rest = rest.replace(number, " ")
    found += [SHORT_FORMS.get(word, word) for word in words(rest)]
    return list(dict.fromkeys(found))
