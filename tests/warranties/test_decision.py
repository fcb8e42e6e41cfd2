"""Every clause and cause; and never a charge on grounds that the household was not told of."""

from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from warranties.clauses import clause_texts, read_draft
from warranties.decision import (
    OUR_WORK,
    SILENT,
    UNPRICED,
    UNTOLD,
    AsProved,
    Dates,
    Decided,
    Found,
    Proposal,
    Told,
    decide,
    unlike,
)
from warranties.models.callback import causes

DRAFT = Path(__file__).resolve().parents[2] / "fixtures" / "terms" / "promise.en.md"
TERMS = clause_texts(read_draft(DRAFT.read_text())[1])
DATES = Dates(starts_on=date(2026, 3, 2), reported_on=date(2027, 6, 1))
SENT = Told(sent_on=date(2027, 5, 1), seen_on=date(2027, 5, 2))
PLAIN = AsProved()
EXCEPTED = AsProved(exception="The gas meter at leg 2.")


def after(**fields: date) -> Dates:
    return Dates(starts_on=DATES.starts_on, reported_on=DATES.reported_on, **fields)


@pytest.mark.parametrize(
    ("found", "told", "plan", "dates", "decision", "clause"),
    [
        *((Found(cause=each), (), PLAIN, DATES, "covered", "covers") for each in sorted(OUR_WORK)),
        (Found(cause="open-joint"), (), EXCEPTED, DATES, "chargeable", "exceptions"),
        (
            Found(
                cause="lifted-strip", damaged_by_others=True, photographs=2, shown_how="A bill."
            ),
            (), PLAIN, DATES, "chargeable", "damage",
        ),
        (Found(cause="lifted-strip", damaged_by_others=True), (), PLAIN, DATES, "", "damage"),
        (
            Found(cause="sill-gap", damaged_by_others=True, photographs=2),
            (), PLAIN, DATES, "", "damage",
        ),
        (Found(cause="sill-gap", damaged_by_others=False), (), PLAIN, DATES, "covered", "covers"),
        (Found(cause="plant-contact"), (), PLAIN, DATES, "covered", "covers"),
        (Found(cause="plant-contact"), (SENT,), PLAIN, DATES, "chargeable", "plants-touch"),
        (
            Found(cause="plant-contact"), (SENT,), PLAIN, after(clear_on=date(2027, 5, 10)),
            "covered", "covers",
        ),
        (
            Found(cause="plant-contact"), (Told(sent_on=date(2027, 6, 1)),), PLAIN, DATES,
            "covered", "covers",
        ),
        (Found(cause="new-line"), (), PLAIN, DATES, "", "changes"),
        (Found(cause="new-line", called_before=True), (), PLAIN, DATES, "covered", "covers"),
        (Found(cause="new-line", called_before=False), (), PLAIN, DATES, "", "changes"),
        (
            Found(cause="building-changed", called_before=False, photographs=1),
            (), PLAIN, DATES, "chargeable", "changes",
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
            Found(cause="plant-contact"), (), PLAIN, after(suspended_on=date(2027, 4, 1)),
            "chargeable", "suspend",
        ),
        (
            Found(cause="open-joint"), (), PLAIN, after(suspended_on=date(2027, 4, 1)),
            "courtesy", "suspend",
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


def test_it_says_when_the_notice_was_sent_and_seen() -> None:
    dates = after(clear_on=date(2027, 2, 1))

    proposal = decide(TERMS, Found(cause="plant-contact"), (SENT,), PLAIN, dates)

    assert proposal.facts == (
        "Notice sent on 2027-05-01, seen on 2027-05-02.",
        "Last seen clear on 2027-02-01.",
    )


@pytest.mark.parametrize("cause", [code for code, _ in causes()])
def test_terms_that_are_silent_charge_nothing(cause: str) -> None:
    found = Found(
        cause=cause,
        photographs=1,
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
        (Found(cause="not-found", price_agreed=True), ""),
        (Found(cause="open-joint"), ""),
    ],
)
def test_what_they_were_not_told_of_bars_a_charge(found: Found, bar: str) -> None:
    assert decide(TERMS, found, (), PLAIN, DATES).bar == bar


@pytest.mark.parametrize("cause", [code for code, _ in causes()])
def test_every_cause_can_be_proposed(cause: str) -> None:
    """Once everything that the forms ask is answered, no cause leaves the terms without a word."""
    found = Found(
        cause=cause, photographs=1, called_before=False, damaged_by_others=False, price_agreed=True
    )

    assert decide(TERMS, found, (SENT,), PLAIN, DATES).decision


days = st.dates(date(2026, 3, 2), date(2030, 1, 1))


@given(
    sent=st.lists(days, max_size=4),
    reported=days,
    clear=st.none() | days,
)
def test_a_plant_is_never_charged_without_a_notice_before(
    sent: list[date], reported: date, clear: date | None
) -> None:
    dates = Dates(starts_on=date(2026, 3, 2), reported_on=reported, clear_on=clear)
    told = [Told(sent_on=day) for day in sent]

    proposal: Proposal = decide(TERMS, Found(cause="plant-contact"), told, PLAIN, dates)

    fair = any(day < reported and (clear is None or day > clear) for day in sent)
    assert (proposal.decision == "chargeable") == fair


def test_like_cases_decided_unlike_are_found() -> None:
    cases = [
        Decided("CB-1", "open-joint", "covered", "covered"),
        Decided("CB-2", "open-joint", "covered", "chargeable"),
        Decided("CB-3", "plant-contact", "chargeable", "courtesy"),
        Decided("CB-4", "plant-contact", "covered", "covered"),
    ]

    assert [[case.number for case in group] for group in unlike(cases)] == [["CB-1", "CB-2"]]
