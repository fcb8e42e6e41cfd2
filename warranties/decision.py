"""Who pays for a callback: a proposal from the promise's own terms and what is on record.

It names the clause, the facts that it rests on, and what is missing when it cannot tell. Two rules
stand above all others: nothing is charged on a ground that the household was not told of, and
where the terms do not have a clause, nothing is charged by it (15 USC 2304(c) and 16 CFR 700.10
let a firm deny only what it can show). A person decides.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby

COVERED, COURTESY, CHARGEABLE = "covered", "courtesy", "chargeable"
OUR_WORK = frozenset({"open-joint", "lifted-strip", "sill-gap", "collar-moved", "wall-top"})


@dataclass(frozen=True, kw_only=True, slots=True)
class Found:
    """What was found. None: nobody has said yet."""

    cause: str
    photographs: int = 0
    # Force, fire, or other people's work did it.
    damaged_by_others: bool | None = None
    # What shows it, in words: the terms let us deny only what we can show.
    shown_how: str = ""
    # The household called us before the new line or the building work.
    called_before: bool | None = None
    # The price of this visit was told beforehand, and the household agreed to it.
    price_agreed: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Told:
    """A notice about what was found: the day on which it was sent, and seen, if it was."""

    sent_on: date
    seen_on: date | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class AsProved:
    """What the proof says of the place: an exception in words, "" for none."""

    exception: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Dates:
    """`clear_on`: the last day on which the place was seen clear, None where nobody looked."""

    starts_on: date
    reported_on: date
    ended_on: date | None = None
    suspended_on: date | None = None
    clear_on: date | None = None


@dataclass(frozen=True, slots=True)
class Proposal:
    """`decision` is "" where it cannot be told; `missing` then says what would tell.

    `bar` says why it may not be charged, whatever a person decides; "" where it may.
    """

    decision: str
    clause: str = ""
    text: str = ""
    facts: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    bar: str = ""


# Why nothing may be charged: the household was not told of the ground, or agreed to no price.
UNTOLD = "No notice of this plant was sent before."
UNPRICED = "No price was agreed for this visit beforehand."
SILENT = "The terms are silent."
PRICED = "The price of the visit was agreed beforehand."


@dataclass(frozen=True, slots=True)
class _Case:
    terms: Mapping[str, str]
    found: Found
    told: Sequence[Told]
    plan: AsProved
    dates: Dates

    def by(self, decision: str, clause: str, *facts: str, bar: str = "") -> Proposal:
        """Propose by a clause; one that would charge and is not in the terms does not."""
        if decision == CHARGEABLE and clause not in self.terms:
            decision, clause, facts, bar = COVERED, "covers", (*facts, SILENT), SILENT
        many = self.found.photographs
        if many:
            facts = (*facts, f"{many} photograph{'' if many == 1 else 's'}.")
        return Proposal(decision, clause, self.terms.get(clause, ""), facts, bar=bar)


def decide(
    terms: Mapping[str, str],
    findings: Found,
    notices: Sequence[Told],
    plan: AsProved,
    dates: Dates,
) -> Proposal:
    """Return the proposal. `terms` are the clauses of the promise's own version, by name."""
    case = _Case(terms, findings, notices, plan, dates)
    if not findings.cause:
        return Proposal("", missing=("The cause is not named.",))
    if standing := _standing(case):
        return standing
    if findings.cause in OUR_WORK:
        return _our_work(case)
    return _BY_CAUSE[findings.cause](case)


def _standing(case: _Case) -> Proposal | None:
    """What the promise's own standing decides before any cause does."""
    dates = case.dates
    if dates.ended_on and dates.reported_on > dates.ended_on:
        return case.by(CHARGEABLE, "lasts", f"The promise ended on {dates.ended_on}.")
    if dates.suspended_on and dates.reported_on >= dates.suspended_on:
        fact = f"The promise rests since {dates.suspended_on}."
        return case.by(
            CHARGEABLE if case.found.cause == "plant-contact" else COURTESY, "suspend", fact
        )
    return None


def _our_work(case: _Case) -> Proposal:
    if case.plan.exception:
        return case.by(CHARGEABLE, "exceptions", f"Excepted at the proof: {case.plan.exception}")
    if case.found.damaged_by_others:
        missing = []
        if not case.found.photographs:
            missing.append("A photograph that shows the damage.")
        if not case.found.shown_how:
            missing.append("What shows that others, or force, did it?")
        if missing:
            return Proposal("", "damage", missing=tuple(missing))
        return case.by(CHARGEABLE, "damage", case.found.shown_how)
    return case.by(COVERED, "covers", "What we fitted did not hold.")


def _plant(case: _Case) -> Proposal:
    heard = [each for each in case.told if _counts(each, case.dates)]
    if not heard:
        return case.by(COVERED, "covers", UNTOLD, bar=UNTOLD)
    facts = [f"Notice sent on {each.sent_on}{_seen(each)}." for each in heard]
    if case.dates.clear_on:
        facts.append(f"Last seen clear on {case.dates.clear_on}.")
    return case.by(CHARGEABLE, "plants-touch", *facts)


def _change(case: _Case) -> Proposal:
    if case.found.called_before is None:
        return Proposal("", "changes", missing=("Did the household call before the work?",))
    if case.found.called_before:
        return case.by(COVERED, "covers", "The household called before the work.")
    if not case.found.photographs:
        return Proposal("", "changes", missing=("A photograph that shows what is new.",))
    return case.by(CHARGEABLE, "changes", "Nobody called before the work.")


def _outside(case: _Case) -> Proposal:
    """Not ours to repair; the visit itself costs only what was agreed beforehand."""
    if case.found.price_agreed:
        return case.by(CHARGEABLE, "we-do", PRICED)
    return case.by(COURTESY, "inside", UNPRICED, bar=UNPRICED)


def _nothing(case: _Case) -> Proposal:
    """We came and looked: that is what we promise to do."""
    looked = "We came and looked, and found nothing open."
    if case.found.price_agreed:
        return case.by(CHARGEABLE, "we-do", looked, PRICED)
    return case.by(COVERED, "we-do", looked, bar=UNPRICED)


def _counts(told: Told, dates: Dates) -> bool:
    """A notice counts when it was sent before the report and after the place was last clear."""
    late_enough = dates.clear_on is None or told.sent_on > dates.clear_on
    return told.sent_on < dates.reported_on and late_enough


def _seen(told: Told) -> str:
    return f", seen on {told.seen_on}" if told.seen_on else ""


_BY_CAUSE: dict[str, Callable[[_Case], Proposal]] = {
    "plant-contact": _plant,
    "new-line": _change,
    "building-changed": _change,
    "inside-before": _outside,
    "not-a-crawler": _outside,
    "not-found": _nothing,
}


@dataclass(frozen=True, slots=True)
class Decided:
    """A callback that was decided: what was proposed, and what a person said."""

    number: str
    cause: str
    proposed: str
    decision: str


def unlike(cases: Sequence[Decided]) -> list[list[Decided]]:
    """Return the groups of like cases (same cause, same proposal) that were decided unlike."""

    def likeness(case: Decided) -> tuple[str, str]:
        return case.cause, case.proposed

    groups = (list(group) for _, group in groupby(sorted(cases, key=likeness), key=likeness))
    return [group for group in groups if len({case.decision for case in group}) > 1]
