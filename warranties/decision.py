"""Who pays for a callback: a proposal from the promise's own terms and what is on record.

It names the clause, the facts that it rests on, and what is missing when it cannot tell. Two rules
stand above all others: nothing is charged on a ground that the household was not told of, and
where the terms do not have a clause, nothing is charged by it (15 USC 2304(c) and 16 CFR 700.10
let a firm deny only what it can show). A person decides.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from itertools import groupby

from shared.length import Length
from shared.wording import Translate, gettext_noop

COVERED, COURTESY, CHARGEABLE = "covered", "courtesy", "chargeable"
OUR_WORK = frozenset({"open-joint", "lifted-strip", "sill-gap", "collar-moved", "wall-top"})


@dataclass(frozen=True, slots=True)
class Fact:
    """A sentence with {names}, and what stands in them: days as days, lengths as lengths."""

    says: str
    values: Mapping[str, object] = field(default_factory=dict)

    def said(self, translate: Translate = str, show: Callable[[object], str] = str) -> str:
        """Return the sentence in the reader's language; what people typed stays as it is."""
        shown = {name: show(value) for name, value in self.values.items()}
        return translate(self.says).format(**shown)

    def __str__(self) -> str:
        return self.said()


@dataclass(frozen=True, kw_only=True, slots=True)
class Seen:
    """How far the plant stood off when somebody looked, and to what it was cut then.

    `by_them`: it is the household's own word. A photograph of it goes by its name.
    """

    on: date
    clear: Length | None = None
    cut_to: Length | None = None
    by_them: bool = False
    photograph: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Announced:
    """Work that we were told of beforehand: what, for which day, and when we were told."""

    work: str
    on: date
    told_on: date


@dataclass(frozen=True, kw_only=True, slots=True)
class Found:
    """What was found. None: nobody has said yet. Photographs by name, readings in their order."""

    cause: str
    photographs: tuple[str, ...] = ()
    readings: tuple[Seen, ...] = ()
    announced: tuple[Announced, ...] = ()
    # Repairs of the same place before, and how many of them give a choice; None: none ever.
    repairs_before: int = 0
    choice_after: int | None = None
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
    """What the proof says of the place: an exception in words, "" for none.

    `printed_on` is the day of the certificate that told the household of it, None where none did.
    """

    exception: str = ""
    printed_on: date | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Dates:
    """`clear_on`: the last day on which the place was seen clear, None where nobody looked.

    `rest_told_on`: when the household was told that the promise rests, None where nobody told it.
    """

    starts_on: date
    reported_on: date
    ended_on: date | None = None
    suspended_on: date | None = None
    rest_told_on: date | None = None
    clear_on: date | None = None


@dataclass(frozen=True, slots=True)
class Proposal:
    """`decision` is "" where it cannot be told; `missing` then says what would tell.

    `bar` says why it may not be charged, whatever a person decides; None where it may.
    """

    decision: str
    clause: str = ""
    text: str = ""
    facts: tuple[Fact, ...] = ()
    missing: tuple[Fact, ...] = ()
    bar: Fact | None = None


# Why nothing may be charged: the household was not told of the ground, or agreed to no price.
UNTOLD = Fact(gettext_noop("No notice of this plant was sent to them before."))
UNPRICED = Fact(gettext_noop("No price was agreed for this visit beforehand."))
SILENT = Fact(gettext_noop("The terms are silent."))
UNPRINTED = Fact(gettext_noop("No certificate that they had by then names this exception."))
REST_UNTOLD = Fact(gettext_noop("Nobody told them before that the promise rests."))

PRICED = Fact(gettext_noop("The price of the visit was agreed beforehand."))
LOOKED = Fact(gettext_noop("We came and looked, and found nothing open."))
NOT_HELD = Fact(gettext_noop("What we fitted did not hold."))
CHOICE = gettext_noop(
    "It was repaired here before, {times} times: under a full warranty they may now choose a refund"
    " or a replacement, without charge."
)
CALLED = Fact(gettext_noop("The household called before the work."))
NOBODY_CALLED = Fact(gettext_noop("Nobody called before the work."))
NO_CAUSE = Fact(gettext_noop("The cause is not named."))
SHOW_DAMAGE = Fact(gettext_noop("A photograph that shows the damage."))
SHOW_OTHERS = Fact(gettext_noop("What shows that others, or force, did it?"))
SHOW_PLANT = Fact(gettext_noop("A photograph or a reading that shows the plant touching."))
SHOW_NEW = Fact(gettext_noop("A photograph that shows what is new."))
DID_THEY_CALL = Fact(gettext_noop("Did the household call before the work?"))

ENDED = gettext_noop("The promise ended on {day}.")
RESTS = gettext_noop("The promise rests since {day}.")
EXCEPTED = gettext_noop("Excepted at the proof: {exception}")
PRINTED = gettext_noop("It stands on the certificate of {day}.")
SENT = gettext_noop("Notice sent on {sent}; nobody is known to have seen it.")
SENT_AND_SEEN = gettext_noop("Notice sent on {sent}, seen on {seen}.")
CLEAR = gettext_noop("Last seen clear on {day}.")
STOOD = gettext_noop("It stood {clear} off on {day}.")
CUT = gettext_noop("It was cut back to {cut} on {day}.")
CUT_BY_WORD = gettext_noop("By their own word it was cut back on {day}.")
WORK = gettext_noop("We were told on {told} of this: {work}, {day}.")
OTHER_WORK = gettext_noop("We were told on {told} of this: {work}, {day}. Is it another work?")
PHOTOGRAPH = gettext_noop("Photograph: {name}")
SHOWN_READINGS = 3


@dataclass(frozen=True, slots=True)
class _Case:
    terms: Mapping[str, str]
    found: Found
    told: Sequence[Told]
    plan: AsProved
    dates: Dates

    def by(
        self,
        decision: str,
        clause: str,
        *facts: Fact,
        bar: Fact | None = None,
        needs: tuple[str, ...] = (),
    ) -> Proposal:
        """Propose by a clause; where it or one that it `needs` is not in the terms, we pay."""
        if decision != COVERED and not {clause, *needs} <= self.terms.keys():
            decision, clause, facts, bar = COVERED, "covers", (*facts, SILENT), SILENT
        pictures = (Fact(PHOTOGRAPH, {"name": each}) for each in self.found.photographs)
        return Proposal(decision, clause, self.terms.get(clause, ""), (*facts, *pictures), bar=bar)


def decide(
    terms: Mapping[str, str],
    findings: Found,
    notices: Sequence[Told],
    plan: AsProved,
    dates: Dates,
) -> Proposal:
    """Return the proposal. `terms` are the clauses of the promise's own version, by name.

    `notices` are those about the plant that was found, to the household that holds the promise.
    """
    case = _Case(terms, findings, notices, plan, dates)
    if not findings.cause:
        return Proposal("", missing=(NO_CAUSE,))
    if standing := _standing(case):
        return standing
    if findings.cause in OUR_WORK:
        return _our_work(case)
    return _BY_CAUSE[findings.cause](case)


def last_clear(
    readings: Sequence[Seen], needs: Length, *, reported_on: date | None = None
) -> date | None:
    """Return the last day on which the plant was cut, or stood clear by what it needs.

    Before the report, where there is one: what our own people cut when they came does not count;
    what the household says that it cut on that day does.
    """
    days = [
        each.on
        for each in readings
        if each.cut_to is not None or (each.clear is not None and each.clear.mm >= needs.mm)
        if reported_on is None or each.on < reported_on or (each.on == reported_on and each.by_them)
    ]
    return max(days, default=None)


def _standing(case: _Case) -> Proposal | None:
    """What the promise's own standing decides before any cause does."""
    dates = case.dates
    if dates.ended_on and dates.reported_on > dates.ended_on:
        return case.by(CHARGEABLE, "lasts", Fact(ENDED, {"day": dates.ended_on}))
    if dates.suspended_on and dates.reported_on >= dates.suspended_on:
        return _resting(case, Fact(RESTS, {"day": dates.suspended_on}))
    return None


def _resting(case: _Case, rests: Fact) -> Proposal:
    """Only for the plant that they were told of, and only once they were told of the rest."""
    told_on, is_plant = case.dates.rest_told_on, case.found.cause == "plant-contact"
    if told_on is None or told_on >= case.dates.reported_on:
        return case.by(COURTESY, "suspend", rests, REST_UNTOLD, bar=REST_UNTOLD)
    heard = _heard(case)
    if is_plant and not heard:
        return case.by(COURTESY, "suspend", rests, UNTOLD, bar=UNTOLD)
    return case.by(CHARGEABLE if is_plant else COURTESY, "suspend", rests, *map(_notice, heard))


def _our_work(case: _Case) -> Proposal:
    if case.plan.exception:
        return _excepted(case, Fact(EXCEPTED, {"exception": case.plan.exception}))
    if case.found.damaged_by_others:
        wanted = ((case.found.photographs, SHOW_DAMAGE), (case.found.shown_how, SHOW_OTHERS))
        if missing := tuple(fact for there, fact in wanted if not there):
            return Proposal("", "damage", missing=missing)
        return case.by(CHARGEABLE, "damage", Fact("{shown}", {"shown": case.found.shown_how}))
    return case.by(COVERED, "covers", NOT_HELD, *_choice(case.found))


def _choice(found: Found) -> Iterator[Fact]:
    """15 USC 2304(a)(4): after a reasonable number of attempts the consumer elects."""
    if found.choice_after is not None and found.repairs_before >= found.choice_after:
        yield Fact(CHOICE, {"times": found.repairs_before})


def _excepted(case: _Case, excepted: Fact) -> Proposal:
    printed_on = case.plan.printed_on
    if printed_on is None or printed_on > case.dates.reported_on:
        return case.by(COVERED, "covers", excepted, UNPRINTED, bar=UNPRINTED)
    return case.by(CHARGEABLE, "exceptions", excepted, Fact(PRINTED, {"day": printed_on}))


def _plant(case: _Case) -> Proposal:
    """Trimming must be printed as theirs to do, too (15 USC 2304(c), 2301(9))."""
    heard = _heard(case)
    facts = [*map(_notice, heard), *_readings(case.found.readings[-SHOWN_READINGS:])]
    if not heard:
        return case.by(COVERED, "covers", UNTOLD, *facts, bar=UNTOLD)
    if case.dates.clear_on:
        facts.append(Fact(CLEAR, {"day": case.dates.clear_on}))
    if not case.found.photographs and not _seen_to_touch(case):
        return Proposal("", "plants-touch", facts=tuple(facts), missing=(SHOW_PLANT,))
    return case.by(CHARGEABLE, "plants-touch", *facts, needs=("plants",))


def _change(case: _Case) -> Proposal:
    announced, called = case.found.announced, case.found.called_before
    if announced and called is False:
        return Proposal("", "changes", missing=tuple(_work(OTHER_WORK, each) for each in announced))
    if announced:
        return case.by(COVERED, "covers", *(_work(WORK, each) for each in announced))
    if called is None:
        return Proposal("", "changes", missing=(DID_THEY_CALL,))
    if called:
        return case.by(COVERED, "covers", CALLED)
    if not case.found.photographs:
        return Proposal("", "changes", missing=(SHOW_NEW,))
    return case.by(CHARGEABLE, "changes", NOBODY_CALLED)


def _outside(case: _Case) -> Proposal:
    """Not ours to repair; the visit itself costs only what was agreed beforehand."""
    if case.found.price_agreed:
        return case.by(CHARGEABLE, "we-do", PRICED)
    return case.by(COURTESY, "inside", UNPRICED, bar=UNPRICED)


def _nothing(case: _Case) -> Proposal:
    """We came and looked: that is what we promise to do."""
    if case.found.price_agreed:
        return case.by(CHARGEABLE, "we-do", LOOKED, PRICED)
    return case.by(COVERED, "we-do", LOOKED, bar=UNPRICED)


def _heard(case: _Case) -> list[Told]:
    """The notices sent before the report and after the place was last clear."""
    clear_on, reported_on = case.dates.clear_on, case.dates.reported_on
    return [
        each
        for each in case.told
        if each.sent_on < reported_on and (clear_on is None or each.sent_on > clear_on)
    ]


def _seen_to_touch(case: _Case) -> bool:
    """Whether somebody has measured it touching since it was last clear."""
    clear_on = case.dates.clear_on
    return any(
        each.clear is not None and not each.clear.mm and (clear_on is None or each.on > clear_on)
        for each in case.found.readings
    )


def _notice(told: Told) -> Fact:
    if told.seen_on is None:
        return Fact(SENT, {"sent": told.sent_on})
    return Fact(SENT_AND_SEEN, {"sent": told.sent_on, "seen": told.seen_on})


def _readings(readings: Sequence[Seen]) -> Iterator[Fact]:
    for seen in readings:
        if seen.clear is not None:
            yield Fact(STOOD, {"clear": seen.clear, "day": seen.on})
        if seen.by_them and seen.cut_to is not None:
            yield Fact(CUT_BY_WORD, {"day": seen.on})
        elif seen.cut_to is not None:
            yield Fact(CUT, {"cut": seen.cut_to, "day": seen.on})
        if seen.photograph:
            yield Fact(PHOTOGRAPH, {"name": seen.photograph})


def _work(says: str, announced: Announced) -> Fact:
    values = {"told": announced.told_on, "work": announced.work, "day": announced.on}
    return Fact(says, values)


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
