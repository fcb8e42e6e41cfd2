"""What a household sees of its home: is the ring closed, what to cut by when, the papers."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from typing import Literal

from django.conf import settings

from customers.drawn import ShownPlan, ring_of
from customers.models import Home, Household
from customers.plan.document import UnreadablePlan
from warranties import growth, trimming
from warranties.models import Callback, Certificate, Notice, Promise, PromiseChange, Watch

State = Literal["closed", "soon", "open", "ended", "elsewhere", "unproved"]
SOON_DAYS = 42


@dataclass(frozen=True, slots=True)
class Growing:
    """One plant: what the forecast says today, and the notice that can be answered, if any."""

    watch: Watch
    outlook: growth.Outlook
    notice: Notice | None
    clear: str
    is_near: bool
    is_late: bool
    number: str = ""  # in the drawing

    @property
    def is_due(self) -> bool:
        """It touches, or soon will; or we have asked for it and wait for the answer."""
        return self.is_near or (self.notice is not None and not self.notice.answer)

    @property
    def asked_for_help(self) -> bool:
        notice = self.notice
        return bool(notice and notice.answer == "help" and not notice.answer_handled_at)


@dataclass(frozen=True, slots=True)
class HomePage:
    home: Home
    state: State
    growing: list[Growing]
    certificates: list[Certificate]
    callbacks: list[Callback]
    promises: list[Promise]
    ring: ShownPlan | None

    @property
    def is_promised(self) -> bool:
        return self.state in {"closed", "soon", "open"}

    @property
    def resting(self) -> list[PromiseChange]:
        """Each promise that is suspended, as the change that suspended it. A query each."""
        held = [promise for promise in self.promises if promise.state == "suspended"]
        since = [promise.changes.filter(kind="suspended").first() for promise in held]
        return [change for change in since if change]

    @property
    def ended(self) -> Promise | None:
        """The promise that ended last, where none stands beside it."""
        return self.promises[-1] if self.state == "ended" else None

    @property
    def due(self) -> list[Growing]:
        return [each for each in self.growing if each.is_due or each.asked_for_help]

    @property
    def later(self) -> list[Growing]:
        return [each for each in self.growing if each not in self.due]


def home_page(home: Home, household: Household, *, today: date) -> HomePage:
    """Return what the household sees of a home today. Five queries, and those of the ring.

    Six where no promise is theirs.
    """
    shown = Promise.objects.filter(home=home).shown_to(household).select_related("home")
    every = list(shown.order_by("ended_on", "pk"))
    promises = [promise for promise in every if promise.state != "ended"]
    callbacks = list(
        Callback.objects.filter(promise__in=promises, closed_at=None).order_by("reported_at")
    )
    certificates = list(
        Certificate.objects.current()
        .filter(promise__in=promises)
        .exclude(sha256="")
        .select_related("promise")
    )
    ring = _ring(home, today)
    growing = [
        replace(each, number=ring.number_of(each.watch.plant.mark) if ring else "")
        for each in growing_at(home, household, today=today)
    ]
    return HomePage(
        home=home,
        state=_state(ring, growing, callbacks, today) if promises else _without(home, every),
        growing=growing,
        certificates=certificates,
        callbacks=callbacks,
        promises=every,
        ring=ring,
    )


def _ring(home: Home, today: date) -> ShownPlan | None:
    """None where there is no plan, or none that can be read."""
    try:
        return ring_of(home, on=today)
    except UnreadablePlan:
        return None


def growing_at(home: Home, household: Household, *, today: date) -> list[Growing]:
    """Every watched plant of the home, most urgent first. Two queries."""
    told = Notice.objects.filter(household=household, home=home, kind="trim-back")
    told = told.exclude(state__in=("planned", "dropped")).order_by("pk").select_related("plant")
    last = {notice.plant_id: notice for notice in told if _is_current(notice)}
    watches = Watch.objects.growing().filter(plant__home=home).select_related("plant")
    growing = [
        _growing(watch, last.get(watch.plant_id), household.language, today) for watch in watches
    ]
    return sorted(growing, key=lambda each: each.watch.opens_on or date.max)


def _is_current(notice: Notice) -> bool:
    return notice.answer != "done"


def _growing(watch: Watch, notice: Notice | None, language: str, today: date) -> Growing:
    if notice and f":{watch.cycle}:" not in notice.occasion:
        notice = None  # It spoke of a growth that was cut since.
    found = growth.outlook(watch.earliest_on, watch.latest_on, today=today, touching=watch.touching)
    clear = trimming.clear_words(watch.plant.needs_mm, units=settings.FIRM_UNITS, language=language)
    near = watch.opens_on is not None and (watch.opens_on - today).days <= SOON_DAYS
    late = found.case in {"touching", "overdue"} or (
        watch.opens_on is not None and watch.opens_on <= today
    )
    return Growing(watch, found, notice, clear, is_near=near or watch.touching, is_late=late)


def _without(home: Home, ended: list[Promise]) -> State:
    """Where no promise to the household stands: it ended, or is still another's, or never was."""
    if ended:
        return "ended"
    passing = Promise.objects.standing().filter(home=home, basis="home")
    return "elsewhere" if passing.exists() else "unproved"


def _state(
    ring: ShownPlan | None, growing: Iterable[Growing], callbacks: list[Callback], today: date
) -> State:
    """As the home sheet has the ring; where no plan can be asked, as the plants' days have it."""
    days = [each.watch.opens_on for each in growing if each.watch.opens_on]
    is_open = not ring.closed if ring else any(each.is_late for each in growing)
    if callbacks or is_open:
        return "open"
    if any((day - today).days <= SOON_DAYS for day in days):
        return "soon"
    return "closed"
