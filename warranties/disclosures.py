"""What a written warranty must say, and what it must not, looked for in its words.

The rules are those of the Magnuson-Moss Warranty Act (15 USC 2301-2312) and of 16 CFR 239, 700
and 701. A search for words is no lawyer: it finds what was forgotten or slipped in, in English and
Spanish, and the firm's own counsel decides. `faults` reads the terms when they are saved and the
text of an issued certificate alike.
"""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from decimal import Decimal

# Actually costing the consumer more than this, tax excluded (law: 15 USC 2303(d); 16 CFR 700.6(a);
# 16 CFR 701.3(a); 16 CFR 702.3).
DESIGNATION_FROM = Decimal("10.00")
DISCLOSURES_FROM = Decimal("15.00")

# 16 CFR 701.3(a)(7)-(9). (7) and (8) may be one statement, "the above limitation or exclusion".
IMPLIED_STATEMENT = (
    "Some States do not allow limitations on how long an implied warranty lasts, so the above "
    "limitation may not apply to you."
)
DAMAGES_STATEMENT = (
    "Some States do not allow the exclusion or limitation of incidental or consequential damages, "
    "so the above limitation or exclusion may not apply to you."
)
RIGHTS_STATEMENT = (
    "This warranty gives you specific legal rights, and you may also have other rights which vary "
    "from State to State."
)


@dataclass(frozen=True, slots=True)
class Paper:
    """A warranty as somebody reads it.

    `face` is its first page, None where it has no pages yet. `price` is what the consumer paid
    for what is warranted, before tax; None where that is not known: then every rule is due.
    `basis` is whose life it lasts for: "home", "ownership" or "" where nobody said. `headings`
    are its titles: they promise nothing, so no item is looked for in them; `bare` are those with
    nothing under them.
    """

    title: str
    text: str
    firm: str = ""
    contact: tuple[str, ...] = ()
    face: str | None = None
    price: Decimal | None = None
    basis: str = ""
    starts_at_purchase: bool = False
    mechanism: str = ""
    headings: tuple[str, ...] = ()
    bare: tuple[str, ...] = ()

    @property
    def body(self) -> str:
        """The text without its headings."""
        body = _plain(self.text)
        for heading in sorted(map(_plain, self.headings), key=len, reverse=True):
            body = body.replace(heading, " ")
        return body


@dataclass(frozen=True, slots=True)
class Fault:
    """`law` is what the rule asks for in its own words, "" where `says` says it all."""

    rule: str
    says: str
    law: str = ""


@dataclass(frozen=True, slots=True)
class Due:
    designation: bool
    disclosures: bool
    shown_before_sale: bool


def due(price: Decimal | None) -> Due:
    """Return which duties a price before tax brings; every one where it is not known."""
    disclosures = price is None or price > DISCLOSURES_FROM
    return Due(price is None or price > DESIGNATION_FROM, disclosures, disclosures)


def is_full(title: str) -> bool:
    """Whether a title designates a full warranty (15 USC 2303(a)(1))."""
    return _has(r"\bfull\b.*\bwarranty\b", title)


def faults(paper: Paper) -> list[Fault]:
    """Return what is missing or forbidden, in the order of the rules. Empty: nothing found."""
    duties = due(paper.price)
    found = [*_forbidden(paper), *_lifetime(paper), *_bare(paper)]
    if duties.designation:
        found += _designation(paper)
    if duties.disclosures:
        found += _disclosures(paper)
    return sorted(found, key=lambda fault: fault.rule)


def _disclosures(paper: Paper) -> Iterator[Fault]:
    """16 CFR 701.3(a)(1)-(9)."""
    for item, needed, there, says in _ITEMS:
        if needed(paper) and not there(paper):
            yield Fault(f"701.3(a)({item})", says, _LAW.get(item, ""))


def _bare(paper: Paper) -> Iterator[Fault]:
    for heading in paper.bare:
        yield Fault("701.3(a)", f"“{heading}” is a heading with nothing under it.")


def _designation(paper: Paper) -> Iterator[Fault]:
    """15 USC 2303, 2304; 16 CFR 700.6."""
    full = is_full(paper.title)
    if not full and not _has(r"\blimited\b.*\bwarranty\b", paper.title):
        yield Fault("2303(a)", "The title must say “Limited warranty” or “Full … warranty”.")
    if not full:
        return
    if _limits_implied(paper):
        yield Fault("2304(a)(2)", "A full warranty may not limit implied warranties.")
    if _excludes_damages(paper) and paper.face is not None and not _has(_DAMAGES, paper.face):
        yield Fault("2304(a)(3)", "A full warranty excludes damages on its first page, or not.")
    if _has(_CHARGE, paper.text):
        yield Fault("2304(a)(1)", "A full warranty is fulfilled without charge.")
    while_owned = paper.basis == "ownership"
    if not while_owned and _has(_FIRST_ONLY, paper.text):
        yield Fault("700.6(b)", "A full warranty may not shut out later owners while it lasts.")
    if while_owned and _has(_DEMANDS_PROOF, paper.text):
        yield Fault("700.6(b)", "Owners may be asked to affirm, not to bring proof of purchase.")


def _forbidden(paper: Paper) -> Iterator[Fault]:
    for rule, pattern, says in _NEVER:
        if _has(pattern, paper.text):
            yield Fault(rule, says)
    if any(_ties(sentence, paper.firm) for sentence in _sentences(paper.text)):
        yield Fault("700.10", "No brand and no firm may be a condition, unless it is free.")


def _lifetime(paper: Paper) -> Iterator[Fault]:
    """16 CFR 239.4."""
    whole = f"{paper.title} {paper.text}"
    if _has(r"\bforever\b|para siempre", whole):
        yield Fault("239.4", "“Forever” is no measure: name the life that is meant.")
    if not _has(r"\blife-?\s?time\b|\bfor life\b|\blife-?long\b|de por vida", whole):
        return
    if not paper.basis:
        yield Fault("239.4", "“Lifetime” is said, but not whose life is meant.")
    elif not _has(_BASIS_WORDS[paper.basis], paper.text):
        yield Fault("239.4", "The text must say whose life “lifetime” means.")


def _ties(sentence: str, firm: str) -> bool:
    """Whether a sentence makes somebody's product or service a condition."""
    if _has(r"without charge|\bfree\b|sin costo|gratis|\bneed not\b|no tiene que", sentence):
        return False
    if _has(r"\buse only\b|\bmust use\b|use solo|\bgenuine\b.*\bparts\b", sentence):
        return True
    ends = _has(r"\bvoid\b|\bends\b (if|unless)|\bno longer\b|pierde|queda sin efecto", sentence)
    named = _has(r"authori[sz]ed|autorizad", sentence) or bool(
        firm and re.search(rf"\b(by|from|por|a)\s+{re.escape(firm)}", sentence, re.IGNORECASE)
    )
    return ends and named


def _limits_implied(paper: Paper) -> bool:
    return _has(
        r"implied warrant\w+[^.]{0,120}\b(limited|last only|expire)"
        r"|garant[ií]as? impl[ií]citas?[^.]{0,120}\b(se limitan?|limitadas?|duran solo)",
        paper.text,
    )


def _excludes_damages(paper: Paper) -> bool:
    return _has(
        r"\b(not|no|never)\b[^.]{0,60}\b(cover|liable|responsible|pay)\w*[^.]{0,120}"
        r"\b(incidental|consequential)|exclud\w+[^.]{0,60}\b(incidental|consequential)"
        r"|\bno (cubre|paga|responde)[^.]{0,80}(incidentales|consecuentes)",
        paper.text,
    )


def _says(statement: str) -> Callable[[Paper], bool]:
    return lambda paper: _plain(statement) in _plain(paper.text)


def _says_on_the_face(*statements: str) -> Callable[[Paper], bool]:
    def there(paper: Paper) -> bool:
        face = _plain(paper.text if paper.face is None else paper.face)
        return any(_plain(statement) in face for statement in statements)

    return there


def _matches(pattern: str) -> Callable[[Paper], bool]:
    return lambda paper: _has(pattern, paper.body)


def _repairs(paper: Paper) -> bool:
    """Whether a sentence says that we do, and none of it that we do not."""
    return any(
        _has(_REMEDY, sentence) and not _has(_NO_REMEDY, sentence)
        for sentence in _sentences(paper.body)
    )


def _always(_paper: Paper) -> bool:
    return True


def _can_be_reached(paper: Paper) -> bool:
    text = _plain(paper.text)
    named = not paper.firm or _plain(paper.firm) in text
    reached = not paper.contact or any(_plain(each) in text for each in paper.contact)
    asked = _has(r"\bcall\b|\bwrite\b|llame|escriba", paper.body)
    steps = _has(r"\b1\. .*\b2\. |\bfirst\b.*\bthen\b|\bprimero\b.*\bluego\b", paper.body)
    return named and reached and asked and steps


def _says_start_and_length(paper: Paper) -> bool:
    starts = paper.starts_at_purchase or _has(_STARTS, paper.body)
    return starts and _has(_LASTS, paper.body)


def _has(pattern: str, text: str) -> bool:
    return re.search(pattern, _plain(text), re.IGNORECASE) is not None


def _plain(text: str) -> str:
    """Return the words alone: line breaks, hyphens of the typesetter and quotes evened out."""
    text = text.replace("\N{SOFT HYPHEN}", "").replace("’", "'")
    return re.sub(r"\s+", " ", text).strip().lower()


def _sentences(text: str) -> list[str]:
    return re.split(r"(?<=[.;])\s+", _plain(text))


_CHARGE = (
    r"\b(trip|service|visit|labou?r|call-?out)\s+(charge|fee)|deductible|deducible"
    r"|cargo por (la |el )?(visita|viaje|servicio|mano de obra)"
)
_DEMANDS_PROOF = (
    r"(invoice|receipt|proof of purchase)[^.]{0,40}(required|needed)"
    r"|requires? (the )?original (invoice|receipt)"
    r"|(exige|exigimos|requiere|necesita)[^.]{0,20}(factura|recibo|comprobante)"
)
_FIRST_ONLY = (
    r"not transferable|original (purchaser|owner) only|comprador original|intransferible"
    r"|no (es|son) transferible"
)
_DAMAGES = r"\b(incidental|consequential|incidentales|consecuentes)\b"
_STARTS = (
    r"\b(starts?|begins?) (on|from|when|with)\b|in force from"
    r"|\b(empieza|comienza) (el|con|cuando)\b|rige desde"
)
_LASTS = (
    r"\b(lasts?|good|valid|runs|for|dura|rige|vale)\b[^.]{0,40}"
    r"(as long as|mientras|\b\d+ (years?|months?|años?|meses)\b)"
    r"|\b\d+[ -]years?\b|\b\d+ años?\b"
)
_REMEDY = r"\bwe\b.*\b(repair|replace|refund)|(reparamos|reemplazamos|devolvemos el precio)"
_NO_REMEDY = (
    r"\b(not|never|nor|no|nunca|ni)\b[^,;]{0,40}\b(repair|replace|refund|reparamos|reemplazamos)"
)
# 16 CFR 701.3(a), for who reads what is missing.
_LAW = {
    1: "The identity of the party or parties to whom the warranty is extended, if it is limited",
    2: "A clear description and identification of products, or parts, or characteristics, or"
    " components or properties covered by and where necessary for clarification, excluded from the"
    " warranty",
    3: "A statement of what the warrantor will do in the event of a defect, malfunction or failure"
    " to conform",
    4: "The point in time or event on which the warranty term commences, if different from the"
    " purchase date, and the time period or other measurement of warranty duration",
    5: "A step-by-step explanation of the procedure which the consumer should follow in order to"
    " obtain performance, with the name and the mailing address of the warrantor, or a telephone"
    " number which consumers may use without charge",
    6: "Information respecting the availability of any informal dispute settlement mechanism",
}
_BASIS_WORDS = {
    "home": (
        r"as long as (the|your|this) (house|home)[^.]{0,60}stands|mientras la casa[^.]{0,60}pie"
    ),
    "ownership": (
        r"as long as (you|the household|this household)[^.]{0,60}owns?"
        r"|mientras[^.]{0,60}dueñ[oa]"
    ),
}
_NEVER = (
    (
        "700.8",
        r"decision (is|shall be) final|final (and|or) binding"
        r"|\b(we|it) alone (decide|shall|determine)|sole (judge|discretion)"
        r"|decisión (es|será) (final|definitiva|inapelable)|(solo|únicamente) nosotros decid"
        r"|nuestro (solo|único|exclusivo) (juicio|criterio)",
        "The firm may not say that its own decision is final.",
    ),
    (
        "700.3(b)",
        r"satisfaction guarantee|money.back|free trial|trial period"
        r"|satisfacción garantizada|garantía de satisfacción|devol\w+ (de |su |el |del )+dinero"
        r"|prueba gratis|per[ií]odo de prueba",
        "Terms of sale (trial, money back) stand apart from the warranty.",
    ),
    (
        "2308(a)",
        r"(no|without any|disclaims? (all|any)) implied warrant"
        r"|implied warrant\w+ (is|are) (disclaimed|excluded)|\bas is\b"
        r"|(sin|no hay|no damos|excluimos?|se excluyen?) (toda |ninguna |las )?garant[ií]as?"
        r" impl[ií]citas?",
        "A written warranty may not disclaim implied warranties.",
    ),
    (
        "claims",
        r"(scorpion|insect|pest).?(proof|free)|no (more )?stings|100 ?%"
        r"|(a prueba|libre) de (alacranes|escorpiones|insectos|plagas)|nunca más (una )?picadura",
        "This promises more than anybody can show.",
    ),
)
_ITEMS: tuple[tuple[int, Callable[[Paper], bool], Callable[[Paper], bool], str], ...] = (
    (
        1,
        lambda paper: (
            paper.basis == "ownership"
            or _has(rf"{_FIRST_ONLY}|original (purchaser|owner)", paper.text)
        ),
        _matches(r"(household|purchaser|owner)s? (named|of|who)|hogar nombrado|original purchaser"),
        "It does not say to whom it is extended.",
    ),
    (
        2,
        _always,
        _matches(
            r"\bwe (promise|warrant|guarantee|cover)\b|\bcovers\b|covered by this|\bcovered:"
            r"|\b(is|are) covered\b|prometemos|garantizamos|(?<!no )\bcubre\b"
        ),
        "It does not say what is covered.",
    ),
    (
        3,
        _always,
        _repairs,
        "It does not say what the firm does when it fails.",
    ),
    (4, _always, _says_start_and_length, "It does not say when it starts and how long it lasts."),
    (
        5,
        _always,
        _can_be_reached,
        "It does not say step by step how to ask, and whom, with address or phone.",
    ),
    (
        6,
        lambda paper: bool(paper.mechanism),
        lambda paper: _plain(paper.mechanism) in _plain(paper.text),
        "The mechanism for settling disputes that the firm has chosen is not named.",
    ),
    (
        7,
        _limits_implied,
        _says_on_the_face(
            IMPLIED_STATEMENT,
            IMPLIED_STATEMENT.replace("the above limitation", "the above limitation or exclusion"),
        ),
        f"Implied warranties are limited: the first page must say “{IMPLIED_STATEMENT}”",
    ),
    (8, _excludes_damages, _says(DAMAGES_STATEMENT), f"It must say “{DAMAGES_STATEMENT}”"),
    (9, _always, _says(RIGHTS_STATEMENT), f"It must say “{RIGHTS_STATEMENT}”"),
)
