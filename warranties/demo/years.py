"""The demo's years from each fitting to today: plants grow, notices go out, households answer.

Each plant grows at a rate of its own, which nobody in the play knows; readings show it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal

from django.db.models import F, OuterRef, Q, Subquery

from customers.models import Plant
from warranties import notices, trimming
from warranties.actions import answering, checking, letters, watching
from warranties.demo.firm import Firm
from warranties.models import Check, Notice, Promise, Reading, Watch

STEP = timedelta(days=21)
CUT_TO_MM = Decimal("304.8")
NEAR_MM = CUT_TO_MM / 3  # Who stands before a plant as near as this cuts it.
LATE = timedelta(days=21)  # So long after its day the office calls and sends somebody.
CHECKED = 0.9  # The share of the due checks that are made within a step.
DEAF = 5  # The household of this promise never answers and is never met.
SEEN, DONE, HELP = 0.85, 0.6, 0.12  # Shares of notices.


def mail_until(firm: Firm, at: datetime) -> None:
    """Mark the mails and texts that were due by then as sent on time; none truly goes out."""
    due = Notice.objects.filter(state="planned", channel__in=("mail", "text"), send_at__lte=at)
    seen = [pk for pk in due.values_list("pk", flat=True) if firm.chance.random() < SEEN]
    due.update(state="sent", sent_at=F("send_at"))
    carrier = Notice.objects.filter(pk=OuterRef("joined_to")).values("sent_at")
    joined = Notice.objects.filter(state="joined", sent_at=None)
    joined.update(sent_at=Subquery(carrier))
    opened = Notice.objects.filter(Q(pk__in=seen) | Q(joined_to__in=seen))
    opened.update(seen_at=F("sent_at") + timedelta(hours=5))


def bring_until(firm: Firm, at: datetime) -> None:
    """Print the letters and make the calls that were due by then."""
    office = firm.people["office"]
    letters.gather(by=office, at=at)
    for call in Notice.objects.for_a_person(at).filter(channel="call"):
        letters.mark_called(pk=call.pk, by=office, at=at)


@dataclass
class Shrub:
    """A plant as it truly is: so far from the wall that day, growing so fast."""

    plant: Plant
    on: date
    clearance_mm: Decimal
    rate_mm: float

    def grow(self, day: date) -> None:
        years = trimming.season_of(self.plant.kind).between(self.on, day)
        grown = Decimal(round(self.rate_mm * years))
        self.on, self.clearance_mm = day, max(self.clearance_mm - grown, Decimal(0))

    def cut(self, day: date) -> None:
        self.on, self.clearance_mm = day, CUT_TO_MM


class Years:
    """Three weeks at a time, through what the firm and its households did."""

    def __init__(self, firm: Firm, promises: Sequence[Promise]) -> None:
        self.firm = firm
        self.deaf = promises[DEAF].home_id
        self.coming = sorted(promises, key=lambda promise: promise.starts_on, reverse=True)
        self.shrubs: dict[int, Shrub] = {}

    def live(self) -> None:
        for day in self._days():
            self._take_in(day)
            self._check(day)
            bring_until(self.firm, self.firm.at(day, 8))
            self._help(day)
            self._call_at_the_late(day)
            notices.plan_notices(self.firm.at(day, 9))
            mail_until(self.firm, self.firm.at(day, 11))
            self._answer(day)

    def _days(self) -> Iterator[date]:
        day = self.coming[-1].starts_on + STEP
        while day < self.firm.today():
            yield day
            day += STEP

    def _take_in(self, day: date) -> None:
        """Read the plants of the homes that were fitted since the last step."""
        while self.coming and self.coming[-1].starts_on < day:
            promise = self.coming.pop()
            for plant in Plant.objects.filter(home=promise.home):
                usual = trimming.prior_of(plant.kind).rate_mm
                rate = usual * self.firm.chance.uniform(0.4, 1.1)
                shrub = Shrub(plant, promise.starts_on, CUT_TO_MM, rate)
                self.shrubs[plant.pk] = shrub
                self._read(shrub, promise.starts_on)

    def _read(self, shrub: Shrub, day: date) -> None:
        """The tech reads a plant, and cuts it back where it is near."""
        shrub.grow(day)
        near = shrub.clearance_mm < NEAR_MM
        reading = Reading(
            plant=shrub.plant,
            on=day,
            clearance_mm=shrub.clearance_mm,
            trimmed_to_mm=CUT_TO_MM if near else None,
            way="tech",
            confirmed=True,
        )
        tech = self.firm.people["tech"]
        watching.keep_reading(reading=reading, today=self.firm.today(), by=tech)
        if near:
            shrub.cut(day)

    def _read_home(self, home: int, day: date) -> None:
        for shrub in self.shrubs.values():
            if shrub.plant.home_id == home:
                self._read(shrub, day)

    def _check(self, day: date) -> None:
        """Most checks are made when they fall due, and the plants read on the way."""
        for check in Check.objects.filter(done_on=None, due_on__lt=day).select_related("home"):
            if check.home_id != self.deaf and self._chance(CHECKED):
                checking.finish_check(
                    check=check,
                    findings="Joints sound, strip clean, plants clear.",
                    on=day,
                    by=self.firm.people["tech"],
                )
                self._read_home(check.home_id, day)

    def _help(self, day: date) -> None:
        """Who asked for help since the last step is visited."""
        at, office = self.firm.at(day, 8), self.firm.people["office"]
        for notice in Notice.objects.asking_for_help().select_related("home"):
            if checking.take_calls_on(home=notice.home, by=office, at=at):
                self._read_home(notice.home_id, day)

    def _call_at_the_late(self, day: date) -> None:
        """Where nobody answered and the day is long past, a tech comes by and cuts."""
        late = Watch.objects.filter(opens_on__lt=day - LATE).values_list("plant__home", flat=True)
        for home in sorted({*late} - {self.deaf}):
            if self._chance(1 / 2):
                self._read_home(home, day)

    def _answer(self, day: date) -> None:
        asked = Notice.objects.filter(plant__in=self.shrubs, answer="", send_at__date=day)
        for notice in asked.filter(state__in=("sent", "joined")):
            at = self.firm.at(day + timedelta(days=self.firm.chance.randint(1, 9)), 18)
            if at >= self.firm.now or notice.home_id == self.deaf:
                continue
            if self._chance(DONE):
                answering.say_done(notice=notice, at=at)
                self.shrubs[notice.plant_id or 0].cut(at.date())
            elif self._chance(HELP):
                answering.say_help(notice=notice, at=at)

    def _chance(self, share: float) -> bool:
        return self.firm.chance.random() < share
