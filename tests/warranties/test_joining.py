"""What goes out as one message, in which order, by which words, and over which channel."""

from datetime import date

import pytest

from warranties import joining, reaching
from warranties.joining import Waiting, messages, urgency
from warranties.models.notice import notice_kinds
from warranties.weaving import Paragraph, Part, woven

TRIM, SEAL = "trim-back", "seal-check"
HELLO, HOME = Paragraph("Hello Ana,"), Paragraph("[Your home](https://x.example/1)")


def waiting(
    *kinds: str, household: int = 1, channel: str = "mail", first: int = 1
) -> list[Waiting]:
    return [Waiting(key, household, channel, kind) for key, kind in enumerate(kinds, start=first)]


@pytest.mark.parametrize(
    ("rows", "together"),
    [
        ([], []),
        (waiting(TRIM), []),
        (waiting(TRIM, TRIM), [[1, 2]]),
        (waiting(TRIM, SEAL, "season", "visit-booked", "visit-report"), [[1, 2, 3, 4, 5]]),
        (waiting("visit-tomorrow", "visit-cancelled"), [[1, 2]]),
        (waiting(TRIM, "recall", SEAL), [[1, 3]]),
        (waiting(TRIM, "recall"), []),
        (waiting("recall", "recall"), []),
        (waiting("offer", TRIM), []),
        (waiting("receipt", "balance", "offer"), []),
        (waiting("certificate", "agreement", "offer-paper", "transfer"), []),
        (waiting("visit-on-the-way", TRIM), []),
        (waiting(TRIM) + waiting(SEAL, household=2, first=2), []),
        (waiting(TRIM) + waiting(SEAL, channel="letter", first=2), []),
        (waiting(TRIM, SEAL)[::-1], [[1, 2]]),
        (waiting(TRIM, SEAL) + waiting(SEAL, TRIM, channel="text", first=3), [[1, 2], [3, 4]]),
    ],
)
def test_what_goes_out_as_one(rows: list[Waiting], together: list[list[int]]) -> None:
    assert messages(rows) == together


def test_every_kind_goes_with_others_or_has_a_reason_not_to() -> None:
    kinds = [kind for kind, _name in notice_kinds()]

    assert sorted([*joining.BY_URGENCY, *joining.ALONE]) == sorted(kinds)
    assert all(joining.ALONE.values())


def test_the_most_urgent_comes_first() -> None:
    soon, later = date(2026, 3, 9), date(2026, 6, 1)
    parts = [
        ("season", None, 1),
        (SEAL, soon, 2),
        (TRIM, later, 3),
        (TRIM, soon, 5),
        (TRIM, soon, 4),
        (TRIM, None, 6),
        ("visit-booked", None, 7),
        ("visit-report", None, 8),
        ("visit-tomorrow", None, 9),
    ]

    assert [key for _kind, _due, key in sorted(parts, key=lambda each: urgency(*each))] == [
        *(9, 7),
        *(4, 5, 3, 6),
        *(2, 8, 1),
    ]


def test_one_part_stands_as_it_was_written() -> None:
    part = Part("Cut the sage", [HELLO, Paragraph("Cut it."), HOME])

    assert woven([part], opening="Several:") == f"Hello Ana,\n\nCut it.\n\n{HOME.text}"


def test_what_several_parts_say_alike_is_said_once() -> None:
    """The greeting first, a button last, else where it comes first; a plant's own words stay."""
    plant, sting = Paragraph("cut it back.", own=True), Paragraph("A sting?")
    cut = Part("Cut the sage", [HELLO, plant, plant, HOME, sting])
    check = Part("A check is due", [HELLO, Paragraph("[Call me](tel:1)"), HOME])
    other = Part("Cut the rose", [HELLO, plant, HOME, sting])

    assert woven([cut, check, other], opening="Several:").split("\n\n") == [
        "Hello Ana,",
        "Several:",
        "- Cut the sage\n- A check is due\n- Cut the rose",
        "## Cut the sage",
        "Cut it back.",
        "cut it back.",
        "A sting?",
        "## A check is due",
        "[Call me](tel:1)",
        "## Cut the rose",
        "Cut it back.",
        HOME.text,
    ]


def test_words_that_greet_differently_keep_their_greetings() -> None:
    parts = [Part("One", [HELLO, Paragraph("1")]), Part("Two", [Paragraph("Dear Ana,")])]

    assert woven(parts, opening="Several:").split("\n\n") == [
        *("Several:", "- One\n- Two"),
        *("## One", "Hello Ana,", "1"),
        *("## Two", "Dear Ana,"),
    ]


ALL = ["mail", "text", "letter", "call"]


@pytest.mark.parametrize(
    ("order", "answers", "works", "tried", "channel"),
    [
        (ALL, {"mail": True}, "mtp", "", "mail"),
        (ALL, {}, "mtp", "", "letter"),
        (ALL, {"mail": True}, "tp", "", "letter"),
        (ALL, {"mail": False, "text": True}, "mtp", "", "text"),
        (ALL, {"text": True}, "m", "", "letter"),
        (ALL, {"letter": False}, "mtp", "", "call"),
        (ALL, {"letter": False}, "m", "", None),
        (ALL, {"letter": False, "call": False}, "mtp", "", None),
        (ALL, {"mail": True, "text": True}, "mtp", " mail", "text"),
        (ALL, {"mail": True, "text": True}, "mtp", " mail text letter", "call"),
        (ALL, {"mail": True}, "mtp", " mail text letter call", None),
        (["call", "mail"], {"mail": True}, "mtp", "", "call"),
        (ALL, {"text": True}, "mp", "", "letter"),
        (["letter"], {"letter": False}, "mtp", "", None),
        ([], {"mail": True}, "mtp", "", None),
    ],
)
def test_the_channel_of_a_household(
    order: list[str],
    answers: dict[str, bool],
    works: str,
    tried: str,
    channel: str | None,
) -> None:
    """`works`: m for the mail address, t for the number in texts, p for it in calls."""
    mail, texts, phone = (each in works for each in "mtp")
    found = reaching.first_channel(order, answers, mail=mail, texts=texts, phone=phone, tried=tried)

    assert found == channel


@pytest.mark.parametrize(
    ("answers", "mail", "files", "tried", "channel"),
    [
        ({"mail": True}, True, True, "", "mail"),
        ({"mail": True}, True, False, "", "letter"),
        ({"mail": True}, False, True, "", "letter"),
        ({"mail": False}, True, True, "", "letter"),
        ({"letter": False}, True, True, "", "letter"),
        ({"mail": True}, True, True, " mail", "letter"),
    ],
)
def test_the_channel_of_what_law_wants_in_writing(
    answers: dict[str, bool], mail: bool, files: bool, tried: str, channel: str
) -> None:
    found = reaching.written_channel(answers, mail=mail, files=files, tried=tried)

    assert found == channel
