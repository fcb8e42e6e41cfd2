"""Every clause and cause; and never a charge on grounds that the household was not told of."""

from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.length import Length
from warranties.clauses import clause_texts, read_draft
from warranties.decision import (
    OTHER_WORK,
    OUR_WORK,
    REST_UNTOLD,
    SHOW_PLANT,
    SILENT,
    UNPRICED,
    UNPRINTED,
    UNTOLD,
    Announced,
    AsProved,
    Dates,
    Decided,
    Fact,
    Found,
    Proposal,
    Seen,
    Told,
    decide,
    last_clear,
    unlike,
)
from warranties.models.callback import causes

DRAFT = Path(__file__).resolve().parents[2] / "fixtures" / "terms" / "promise.en.md"
TERMS = clause_texts(read_draft(DRAFT.read_text())[1])
DATES = Dates(starts_on=date(2026, 3, 2), reported_on=date(2027, 6, 1))
SENT = Told(sent_on=date(2027, 5, 1), seen_on=date(2027, 5, 2))
PLAIN = AsProved()
EXCEPTED = AsProved(exception="The gas meter at leg 2.", printed_on=date(2026, 3, 5))
UNSAID = AsProved(exception="The gas meter at leg 2.")
PHOTO = ("Callback CB-1, 1",)
NEEDS = Length.of(305)
TOUCHES = Seen(on=date(2027, 6, 2), clear=Length.of(0))
DISH = Announced(work="a satellite dish", on=date(2027, 5, 9), told_on=date(2027, 5, 1))
RESTS = {"suspended_on": date(2027, 4, 1)}
TOLD_OF_REST = {**RESTS, "rest_told_on": date(2027, 4, 2)}


def after(**fields: date | None) -> Dates:
    return Dates(starts_on=DATES.starts_on, reported_on=DATES.reported_on, **fields)


@pytest.mark.parametrize(
    ("found", "told", "plan", "dates", "decision", "clause"),
    [
        *((Found(cause=each), (), PLAIN, DATES, "covered", "covers") for each in sorted(OUR_WORK)),
        (Found(cause="open-joint"), (), EXCEPTED, DATES, "chargeable", "exceptions"),
        (
            Found(
                cause="lifted-strip", damaged_by_others=True, photographs=PHOTO, shown_how="A bill."
            ),
            (), PLAIN, DATES, "chargeable", "damage",
        ),
        (Found(cause="lifted-strip", damaged_by_others=True), (), PLAIN, DATES, "", "damage"),
        (
            Found(cause="sill-gap", damaged_by_others=True, photographs=PHOTO),
            (), PLAIN, DATES, "", "damage",
        ),
        (Found(cause="sill-gap", damaged_by_others=False), (), PLAIN, DATES, "covered", "covers"),
        (Found(cause="plant-contact"), (), PLAIN, DATES, "covered", "covers"),
        (Found(cause="open-joint"), (), UNSAID, DATES, "covered", "covers"),
        (
            Found(cause="open-joint"), (),
            AsProved(exception="The gas meter.", printed_on=date(2027, 6, 2)), DATES,
            "covered", "covers",
        ),
        (Found(cause="plant-contact"), (SENT,), PLAIN, DATES, "", "plants-touch"),
        (
            Found(cause="plant-contact", photographs=PHOTO), (SENT,), PLAIN, DATES,
            "chargeable", "plants-touch",
        ),
        (
            Found(cause="plant-contact", readings=(TOUCHES,)), (SENT,), PLAIN, DATES,
            "chargeable", "plants-touch",
        ),
        (
            Found(cause="plant-contact", readings=(TOUCHES,)), (SENT,), PLAIN,
            after(clear_on=date(2027, 4, 9)), "chargeable", "plants-touch",
        ),
        (
            Found(cause="plant-contact", photographs=PHOTO), (SENT,), PLAIN,
            after(clear_on=date(2027, 5, 10)), "covered", "covers",
        ),
        (
            Found(cause="plant-contact"), (Told(sent_on=date(2027, 6, 1)),), PLAIN, DATES,
            "covered", "covers",
        ),
        (Found(cause="new-line"), (), PLAIN, DATES, "", "changes"),
        (Found(cause="new-line", called_before=True), (), PLAIN, DATES, "covered", "covers"),
        (Found(cause="new-line", called_before=False), (), PLAIN, DATES, "", "changes"),
        (
            Found(cause="building-changed", called_before=False, photographs=PHOTO),
            (), PLAIN, DATES, "chargeable", "changes",
        ),
        (
            Found(cause="new-line", announced=(DISH,)), (), PLAIN, DATES, "covered", "covers",
        ),
        (
            Found(cause="new-line", announced=(DISH,), called_before=False, photographs=PHOTO),
            (), PLAIN, DATES, "", "changes",
        ),
        (
            Found(cause="building-changed", announced=(DISH,), called_before=True),
            (), PLAIN, DATES, "covered", "covers",
        ),
        (Found(cause="inside-before"), (), PLAIN, DATES, "courtesy", "inside"),
        (Found(cause="not-a-crawler"), (), PLAIN, DATES, "courtesy", "inside"),
        (
            Found(cause="not-a-crawler", price_agreed=True), (), PLAIN, DATES,
            "chargeable", "we-do",
        ),
        (Found(cause="not-found"), (), PLAIN, DATES, "covered", "we-do"),
        (Found(cause="not-found", price_agreed=True), (), PLAIN, DATES, "chargeable", "we-do"),
        (
            Found(cause="open-joint"), (), PLAIN, after(ended_on=date(2027, 5, 1)),
            "chargeable", "lasts",
        ),
        (
            Found(cause="open-joint"), (), PLAIN, after(ended_on=date(2027, 6, 1)),
            "covered", "covers",
        ),
        (
            Found(cause="plant-contact"), (SENT,), PLAIN, after(**TOLD_OF_REST),
            "chargeable", "suspend",
        ),
        (Found(cause="plant-contact"), (SENT,), PLAIN, after(**RESTS), "courtesy", "suspend"),
        (Found(cause="plant-contact"), (), PLAIN, after(**TOLD_OF_REST), "courtesy", "suspend"),
        (Found(cause="open-joint"), (), PLAIN, after(**TOLD_OF_REST), "courtesy", "suspend"),
        (
            Found(cause="open-joint"), (), PLAIN, after(suspended_on=date(2027, 6, 2)),
            "covered", "covers",
        ),
        (Found(cause=""), (), PLAIN, DATES, "", ""),
    ],
)  # fmt: skip
def test_every_clause_and_cause(
    found: Found, told: tuple[Told, ...], plan: AsProved, dates: Dates, decision: str, clause: str
) -> None:
    proposal = decide(TERMS, found, told, plan, dates)

    assert (proposal.decision, proposal.clause) == (decision, clause)
    assert bool(proposal.missing) == (decision == "")
    if decision:
        assert proposal.text == TERMS[clause]
        assert proposal.facts


def said(proposal: Proposal) -> list[str]:
    return [str(fact) for fact in proposal.facts]


def test_it_names_notices_readings_and_photographs() -> None:
    readings = (
        Seen(on=date(2026, 9, 1), clear=Length.of(600)),
        Seen(on=date(2027, 2, 1), cut_to=Length.of(305), by_them=True),
        Seen(on=date(2027, 5, 20), clear=Length.of(40), photograph="lantana, 20 May"),
        TOUCHES,
    )
    found = Found(cause="plant-contact", readings=readings, photographs=PHOTO)
    unseen = Told(sent_on=date(2027, 5, 20))

    proposal = decide(TERMS, found, (SENT, unseen), PLAIN, after(clear_on=date(2027, 2, 1)))

    assert said(proposal) == [
        "Notice sent on 2027-05-01, seen on 2027-05-02.",
        "Notice sent on 2027-05-20; nobody is known to have seen it.",
        "By their own word it was cut back on 2027-02-01.",
        "It stood 40 mm off on 2027-05-20.",
        "Photograph: lantana, 20 May",
        "It stood 0 mm off on 2027-06-02.",
        "Last seen clear on 2027-02-01.",
        "Photograph: Callback CB-1, 1",
    ]


def test_it_asks_about_work_that_was_announced() -> None:
    found = Found(cause="new-line", announced=(DISH,), called_before=False, photographs=PHOTO)

    missing = decide(TERMS, found, (), PLAIN, DATES).missing

    assert [each.says for each in missing] == [OTHER_WORK]
    assert "a satellite dish" in str(missing[0])


def test_a_plant_must_be_seen_to_touch_before_it_is_charged() -> None:
    """Readings from before it was last cut show nothing."""
    old = Seen(on=date(2027, 1, 1), clear=Length.of(0), cut_to=Length.of(305))
    found = Found(cause="plant-contact", readings=(old,))

    proposal = decide(TERMS, found, (SENT,), PLAIN, after(clear_on=old.on))

    assert (proposal.decision, proposal.missing) == ("", (SHOW_PLANT,))


REPORTED = DATES.reported_on


@pytest.mark.parametrize(
    ("seen", "clear_on"),
    [
        (Seen(on=date(2027, 5, 1), clear=NEEDS), date(2027, 5, 1)),
        (Seen(on=date(2027, 5, 1), clear=Length.of(304)), None),
        (Seen(on=date(2027, 5, 1), clear=Length.of(0), cut_to=Length.of(50)), date(2027, 5, 1)),
        (Seen(on=REPORTED, clear=Length.of(0), cut_to=NEEDS), None),
        (Seen(on=REPORTED, cut_to=NEEDS, by_them=True), REPORTED),
        (Seen(on=date(2027, 6, 3), cut_to=NEEDS, by_them=True), None),
    ],
    ids=["clear", "not clear", "cut short", "cut by us when we came", "by their word", "after"],
)
def test_when_a_plant_was_last_clear(seen: Seen, clear_on: date | None) -> None:
    assert last_clear([seen], NEEDS, reported_on=REPORTED) == clear_on


def test_a_fact_is_said_in_the_readers_language_and_names_are_left_whole() -> None:
    fact = Fact("Photograph: {name}", {"name": "open"})

    spoken = fact.said({"Photograph: {name}": "Fotografía: {name}", "open": "abierto"}.get)  # type: ignore[arg-type]

    assert spoken == "Fotografía: open"


@pytest.mark.parametrize("cause", [code for code, _ in causes()])
def test_terms_that_are_silent_charge_nothing(cause: str) -> None:
    found = Found(
        cause=cause,
        photographs=PHOTO,
        called_before=False,
        damaged_by_others=True,
        shown_how="A bill.",
        price_agreed=True,
    )

    proposal = decide({}, found, (SENT,), EXCEPTED, DATES)

    assert (proposal.decision, proposal.bar) == ("covered", SILENT)


@pytest.mark.parametrize(
    ("found", "bar"),
    [
        (Found(cause="plant-contact"), UNTOLD),
        (Found(cause="not-a-crawler"), UNPRICED),
        (Found(cause="inside-before"), UNPRICED),
        (Found(cause="not-found"), UNPRICED),
        (Found(cause="not-found", price_agreed=True), None),
        (Found(cause="open-joint"), None),
    ],
)
def test_what_they_were_not_told_of_bars_a_charge(found: Found, bar: Fact | None) -> None:
    assert decide(TERMS, found, (), PLAIN, DATES).bar == bar


@pytest.mark.parametrize("cause", [code for code, _ in causes()])
def test_every_cause_can_be_proposed(cause: str) -> None:
    """Once everything that the forms ask is answered, no cause leaves the terms without a word."""
    found = Found(
        cause=cause,
        photographs=PHOTO,
        called_before=False,
        damaged_by_others=False,
        price_agreed=True,
    )

    assert decide(TERMS, found, (SENT,), PLAIN, DATES).decision


@pytest.mark.parametrize(
    ("plan", "dates", "bar"),
    [
        (UNSAID, DATES, UNPRINTED),
        (PLAIN, after(**RESTS), REST_UNTOLD),
        (PLAIN, after(**RESTS, rest_told_on=REPORTED), REST_UNTOLD),
        (PLAIN, after(**TOLD_OF_REST), None),
    ],
)
def test_an_exception_or_a_rest_that_they_were_not_told_of_bars_it(
    plan: AsProved, dates: Dates, bar: Fact | None
) -> None:
    assert decide(TERMS, Found(cause="open-joint"), (), plan, dates).bar == bar


@pytest.mark.parametrize(
    ("before", "after_how_many", "offered"),
    [(2, 3, False), (3, 3, True), (4, 3, True), (9, None, False)],
    ids=["second", "third", "fourth", "limited"],
)
def test_after_repairs_that_failed_a_full_warranty_gives_the_choice(
    before: int, after_how_many: int | None, offered: bool
) -> None:
    """W-34: 15 USC 2304(a)(4)."""
    found = Found(cause="open-joint", repairs_before=before, choice_after=after_how_many)

    proposal = decide(TERMS, found, (), PLAIN, DATES)

    assert proposal.decision == "covered"
    assert any("a refund or a replacement" in each for each in said(proposal)) == offered


def test_trimming_must_be_printed_as_theirs_to_do() -> None:
    """W-35: 15 USC 2304(c), 2301(9)."""
    terms = {name: text for name, text in TERMS.items() if name != "plants"}
    found = Found(cause="plant-contact", photographs=PHOTO)

    proposal = decide(terms, found, (SENT,), PLAIN, DATES)

    assert (proposal.decision, proposal.bar) == ("covered", SILENT)


days = st.dates(date(2026, 3, 2), date(2030, 1, 1))
yes_no = st.none() | st.booleans()
GROUNDS = {"lasts", "suspend", "exceptions", "damage", "plants-touch", "changes", "we-do"}


@given(
    found=st.builds(
        Found,
        cause=st.sampled_from([code for code, _ in causes()]),
        photographs=st.sampled_from([(), PHOTO]),
        announced=st.sampled_from([(), (DISH,)]),
        damaged_by_others=yes_no,
        called_before=yes_no,
        price_agreed=st.booleans(),
        shown_how=st.sampled_from(["", "A bill."]),
    ),
    sent=st.lists(days, max_size=3),
    plan=st.sampled_from([PLAIN, EXCEPTED, UNSAID]),
    dates=st.builds(
        Dates,
        starts_on=st.just(date(2026, 3, 2)),
        reported_on=days,
        ended_on=st.none() | days,
        suspended_on=st.none() | days,
        rest_told_on=st.none() | days,
        clear_on=st.none() | days,
    ),
)
def test_nothing_is_ever_charged_without_its_ground_told_before(
    found: Found, sent: list[date], plan: AsProved, dates: Dates
) -> None:
    proposal = decide(TERMS, found, [Told(sent_on=day) for day in sent], plan, dates)

    if proposal.decision != "chargeable":
        return
    reported, clear = dates.reported_on, dates.clear_on
    told = any(day < reported and (clear is None or day > clear) for day in sent)
    assert proposal.bar is None
    assert proposal.clause in GROUNDS
    assert {
        "lasts": dates.ended_on and reported > dates.ended_on,
        "suspend": told and dates.rest_told_on and dates.rest_told_on < reported,
        "exceptions": plan.printed_on and plan.printed_on <= reported,
        "damage": found.shown_how and found.photographs,
        "plants-touch": told and found.photographs,
        "changes": found.called_before is False and not found.announced and found.photographs,
        "we-do": found.price_agreed,
    }[proposal.clause]


def test_like_cases_decided_unlike_are_found() -> None:
    cases = [
        Decided("CB-1", "open-joint", "covered", "covered"),
        Decided("CB-2", "open-joint", "covered", "chargeable"),
        Decided("CB-3", "plant-contact", "chargeable", "courtesy"),
        Decided("CB-4", "plant-contact", "covered", "covered"),
    ]

    assert [[case.number for case in group] for group in unlike(cases)] == [["CB-1", "CB-2"]]
