"""What the firm's own words of a notice may name, must name and must not say.

Definition. The words are a subject and a body in the marks of warranties/markup.py, and the text
message, plain; {street} stands for what is known of the notice. A field is never run as code: it is
replaced once, by text. Prices and what sells are refused: a mail whose purpose is the promise needs
no consent to advertising as long as it advertises nothing (16 CFR 316.3; the promise is 16 CFR
316.2(o)(1)(ii)), nor does a text (47 CFR 64.1200(a)(2)). A text says who writes, leads to the
household's page, for only there we see that it was read, and names a word that ends texts and that
we understand (47 CFR 64.1200(a)(10)).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import NamedTuple

from warranties.replies import names_stop

FIELD = re.compile(r"\{([^{}\n]*)\}")
BUTTON = re.compile(r"\[[^\[\]\n]+\]\(([^()\n]*)\)")
PRICE = re.compile(
    r"[$€£]|\b(?:USD|EUR|MXN)\b|\d\s*(?:%|per ?cent|por ?ciento|dollars?|d[oó]lares|euros?|pesos)",
    re.IGNORECASE,
)
SELLS = re.compile(
    r"\b(?:discounts?|coupons?|special offers?|limited[- ]time|buy now|on sale|save up to"
    r"|descuentos?|cup[oó]n(?:es)?|ofertas?|rebajas?|promoci[oó]n(?:es)?|compre ya)\b",
    re.IGNORECASE,
)
LONGEST_SUBJECT = 120
LONGEST_TEXT = 600  # As written; with its fields filled a text is counted in segments.
PARTED = re.compile(r"\n-{3,}\n")  # Before a shipped file's text message.
_BUTTON = "for a button: "

COMMON = {
    "name": "the household's name",
    "street": "the home's street and number",
    "firm": "the firm's name",
    "phone": "the firm's telephone number",
    "call": "for a button: calls the firm",
    "my_home": "for a button: the home's page",
}
LINKS = {"call", "my_home", "help", "confirm", "agree"}
WHOLE = {"plants"}  # stands in a paragraph of its own
NOT_IN_TEXTS = WHOLE | {"call"}  # A telephone number in a text can be tapped as it stands.
_VISIT = {
    "day": "the day of the visit",
    "starts": "when it begins",
    "ends": "when it ends",
}
_MONEY = {
    "number": "the job's number",
    "left": "what is still to be paid",
}
_CONFIRM = {"confirm": "for a button: the page on which they say yes"}


class Words(NamedTuple):
    """`text` is the text message; "" for what never goes out as one."""

    subject: str
    body: str
    text: str = ""


class Occasion(NamedTuple):
    """What a notice is about: its fields beside the common ones, and those it must name.

    `link` is the field of the address that its text leads to, `told` what the text must name
    besides. Without a link it never goes out as a text.
    """

    title: str
    fields: dict[str, str]
    needed: tuple[str, ...]
    link: str = "my_home"
    told: tuple[str, ...] = ()


OCCASIONS = {
    "trim-back": Occasion(
        "Trim-back",
        {
            "what": "“the lantana”, or “3 plants”",
            "when": "“by June 14, 2026”, or “as soon as you can”",
            "plants": "each plant: picture, how far, by when, the buttons “done” and “help”",
        },
        ("plants",),
        told=("what",),
    ),
    "seal-check": Occasion(
        "Check due",
        {"by": "the day by which it is due", "help": "for a button: please call me"},
        ("by", "help"),
    ),
    "recall": Occasion(
        "Lot called back",
        {
            "reason": "what is wrong with the lot, as the recall says",
            "by": "the day by which the home is checked",
            "help": "for a button: please call me",
        },
        ("reason", "by", "help"),
    ),
    "visit-booked": Occasion("Visit booked", _VISIT, ("day", "starts"), told=("day",)),
    "agreement": Occasion("Agreement, as it is kept", {}, (), link=""),
    "offer-paper": Occasion("Papers to sign, by letter", {}, (), link=""),
    "visit-moved": Occasion("Visit moved", _VISIT, ("day", "starts"), told=("day",)),
    "visit-cancelled": Occasion("Visit cancelled", _VISIT, ("day",), told=("day",)),
    "visit-tomorrow": Occasion("Visit tomorrow", _VISIT, ("day", "starts"), told=("day",)),
    "visit-on-the-way": Occasion("Crew on the way", _VISIT, ()),
    "visit-report": Occasion(
        "Visit made",
        {"day": "the day of the visit", "found": "what was noted at the checks"},
        ("day", "found"),
    ),
    "offer": Occasion(
        "Offer",
        {
            "number": "the offer's number",
            "total": "what it comes to, tax and all",
            "until": "the day until which it is good",
            "agree": "for a button: the page on which they read it and agree",
        },
        ("until", "agree"),
        link="agree",
    ),
    "receipt": Occasion(
        "Payment received",
        {**_MONEY, "amount": "what was paid", "day": "the day on which it came"},
        ("amount", "day"),
        told=("amount",),
    ),
    "balance": Occasion("Still to be paid", _MONEY, ("left",)),
    "season": Occasion(
        "Growing season begins",
        {"plants_named": "the names of the plants that are watched"},
        ("plants_named",),
    ),
    "certificate": Occasion("Certificate", {}, ("my_home",), link=""),
    "promise-rests": Occasion(
        "Promise rests: a plant was not cut",
        {
            "promise": "the promise's number",
            "plant": "the plant's name",
            "told": "the days on which they were told of it",
        },
        ("plant", "told"),
        told=("plant",),
    ),
    "promise-again": Occasion("Promise in force again", {"promise": "the promise's number"}, ()),
    "promise-ended": Occasion(
        "Promise ended",
        {
            "promise": "the promise's number",
            "day": "the day on which it ended",
            "why": "why, as the office wrote it",
        },
        ("day", "why"),
        told=("day",),
    ),
    "transfer-old": Occasion(
        "Promise goes on: to who sold", _CONFIRM, ("confirm",), link="confirm"
    ),
    "transfer-new": Occasion(
        "Promise goes on: to who bought", _CONFIRM, ("confirm",), link="confirm"
    ),
}


def fields_of(occasion: str) -> dict[str, str]:
    """Return every field that the words may name, each with what it stands for."""
    return {**OCCASIONS[occasion].fields, **COMMON}


def text_fields_of(occasion: str) -> dict[str, str]:
    """Return every field that the text message may name."""
    fields = {"subject": "the subject, as written above", **fields_of(occasion)}
    return {
        name: meaning.removeprefix(_BUTTON)
        for name, meaning in fields.items()
        if name not in NOT_IN_TEXTS
    }


def is_texted(occasion: str) -> bool:
    """Whether it ever goes out as a text message: what the law wants in writing does not."""
    return bool(OCCASIONS[occasion].link)


def read_words(text: str) -> Words:
    """Return the words of a shipped file: the subject's line, the body, after --- the text."""
    subject, _, rest = text.strip().partition("\n")
    body, *texts = PARTED.split(rest)
    return Words(subject.strip(), body.strip() + "\n", "".join(texts).strip())


def faults(occasion: str, words: Words) -> list[str]:
    """Return what must be put right before these words may be kept, none where all is well."""
    return [
        *_subject_faults(words.subject),
        *_field_faults(occasion, words),
        *_place_faults(words),
        *_selling_faults(f"{words.subject}\n{words.body}\n{words.text}"),
        *(_text_faults(occasion, words) if is_texted(occasion) else []),
    ]


def _subject_faults(subject: str) -> Iterator[str]:
    if not subject.strip() or "\n" in subject:
        yield "The subject is one line."
    if len(subject) > LONGEST_SUBJECT:
        yield f"The subject has at most {LONGEST_SUBJECT} characters."


def _field_faults(occasion: str, words: Words) -> Iterator[str]:
    known = fields_of(occasion)
    named = FIELD.findall(words.subject) + FIELD.findall(words.body)
    for name in dict.fromkeys(named):
        if name not in known:
            yield f"There is no field {{{name}}} here."
    for name in OCCASIONS[occasion].needed:
        if name not in FIELD.findall(words.body):
            yield f"The text must name {{{name}}}: {known[name]}."
    if re.search(r"[{}]", FIELD.sub("", words.subject + words.body)):
        yield "A brace stands alone: a field is written {street}."


def _place_faults(words: Words) -> Iterator[str]:
    """Addresses belong into buttons and nothing else does; a part of several lines stands alone."""
    for name in sorted(LINKS | WHOLE):
        if f"{{{name}}}" in words.subject:
            yield f"{{{name}}} cannot stand in the subject."
    for part in re.split(r"\n[ \t]*\n", words.body):
        if any(f"{{{name}}}" in part and part.strip() != f"{{{name}}}" for name in WHOLE):
            yield "{plants} stands in a paragraph of its own."
    if "![" in words.body:
        yield "Pictures are put in by us, never by hand."
    yield from _address_faults(words.body)


def _address_faults(body: str) -> Iterator[str]:
    """Households learn to trust only our own buttons."""
    for address in BUTTON.findall(body):
        if address not in {f"{{{name}}}" for name in LINKS}:
            yield f"A button leads to one of our fields, as in ({{my_home}}), not to “{address}”."
    outside = BUTTON.sub("", body)
    for name in sorted(LINKS):
        if f"{{{name}}}" in outside:
            yield f"{{{name}}} is an address: write it as a button, [words]({{{name}}})."
    if re.search(r"https?://|www\.", outside, re.IGNORECASE):
        yield "Addresses of other pages cannot stand in a notice."


def _text_faults(occasion: str, words: Words) -> Iterator[str]:
    known, named = text_fields_of(occasion), FIELD.findall(words.text)
    if len(words.text) > LONGEST_TEXT:
        yield f"The text message has at most {LONGEST_TEXT} characters."
    for name in dict.fromkeys(named):
        if name not in known:
            yield f"There is no field {{{name}}} in the text message."
    needed, link = OCCASIONS[occasion].told, OCCASIONS[occasion].link
    for name in ("firm", link):
        if name not in named:
            yield f"The text message must name {{{name}}}: {known[name]}."
    told = FIELD.findall(words.subject) if "subject" in named else []
    for name in needed:
        if name not in named + told:
            yield f"The text message must name {{{name}}}: {known[name]}."
    yield from _plain_faults(words.text)


def _plain_faults(text: str) -> Iterator[str]:
    """What a text message cannot hold, and how it ends."""
    if re.search(r"[{}]", FIELD.sub("", text)):
        yield "A brace stands alone in the text message: a field is written {street}."
    if BUTTON.search(text):
        yield "A text message has no buttons: write the field alone, as {my_home}."
    if re.search(r"https?://|www\.", text, re.IGNORECASE):
        yield "Addresses of other pages cannot stand in a text message."
    if not names_stop(FIELD.sub("", text)):
        yield "The text message must say how to end texts, as “Reply STOP to end”."


def _selling_faults(text: str) -> Iterator[str]:
    rule = "What sells goes out in a mail of its own (16 CFR 316.3)."
    if found := PRICE.search(FIELD.sub("", text)):
        yield f"A price or share stands in the words (“{found[0].strip()}”). {rule}"
    if found := SELLS.search(text):
        yield f"“{found[0]}” advertises. {rule}"
