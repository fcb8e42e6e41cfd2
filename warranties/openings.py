"""What the firm's own callbacks say of its seals, by lot, crew, surface, exposure and age.

Definition. A sealing is a job with a promise; it stands from the promise's first day until it ends
or until today. An opening is a callback whose cause is the seal's own. Firm and crew count both
whole. Ages count the years that a sealing lived in each band, and an opening in the band of the
day on which it was reported (warranties/sealyears.py).

Lot, surface and exposure are those of details, and a job has several: nearly every house has walls
to all four sides. So a sealing's years are shared out among its details by number, and so is an
opening of which nobody knows where it was; one whose callback names the detail counts for that
detail's lot, surface and exposure alone. Thus where all seals open alike, every group is expected
to have the same openings in a seal-year, however many details it has. What is not known of a detail
(no lot noted, no north in the plan) counts for no group. A cut back leaves no seal. An opening at a
detail of another job than the promise's own counts for the firm alone, for that job has no years
here. Ringkeep's own definition; the test of chance is that of warranties/seals.py.
"""

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from itertools import groupby
from operator import itemgetter
from typing import NamedTuple

from django.db.models import Count, Q
from django.utils.timezone import localdate

from customers.models import Home
from jobs.models import SEALED, FittedDetail
from warranties import seals, sealyears
from warranties.models import SEAL_CAUSES, Callback, Promise, SealCount

DETAIL_GROUPS = ("lot", "surface", "exposure")  # Also the names of the columns.
YEAR_DAYS = 365.25
DIGITS = 6  # Thirds of an opening add up to a whole one again.


class Group(NamedTuple):
    """Seals of one kind, as in ("exposure", "south")."""

    kind: str
    name: str = ""


class _Sealed(NamedTuple):
    """Sealings that began and ended on the same days."""

    on: date
    until: date
    number: int = 1

    @property
    def years(self) -> float:
        return self.number * max((self.until - self.on).days, 0) / YEAR_DAYS


class _Opening(NamedTuple):
    """An opening: its job and crew, when, and what is known of the detail that opened."""

    job: int
    crew: str | None
    sealed_on: date
    opened_on: date
    detail_job: int | None
    names: tuple[str, ...]

    def groups(self) -> Iterator[Group]:
        """Yield the groups for which it counts whole."""
        yield Group("firm")
        if self.detail_job in (None, self.job):
            yield Group("crew", self.crew or "")
            yield Group("age", sealyears.band_on(self.sealed_on, self.opened_on))
        if self.detail_job == self.job:
            yield from map(Group, DETAIL_GROUPS, self.names)


@dataclass
class _Sum:
    first_on: date
    last_on: date
    sealings: int = 0
    openings: float = 0.0
    seal_years: float = 0.0


class _Tally:
    """The sums of all groups while they are counted."""

    def __init__(self) -> None:
        self.sums: dict[Group, _Sum] = {}

    def add(self, group: Group, sealed: _Sealed, years: float, openings: float = 0.0) -> None:
        found = self.sums.get(group)
        if found is None:
            found = self.sums[group] = _Sum(sealed.on, sealed.on)
        found.first_on = min(found.first_on, sealed.on)
        found.last_on = max(found.last_on, sealed.on)
        found.sealings += sealed.number
        found.seal_years += years
        found.openings += openings

    def opened(self, group: Group) -> None:
        """Count an opening whole; for no group that has no years."""
        if group in self.sums:
            self.sums[group].openings += 1

    def counts(self) -> Iterator[SealCount]:
        for group, found in self.sums.items():
            found.openings = round(found.openings, DIGITS)
            yield SealCount(group=group.kind, name=group.name, **vars(found))


def counted(today: date) -> Iterator[SealCount]:
    """Yield the count of every group, unsaved. Three queries."""
    tally, openings = _Tally(), list(_openings())
    unplaced = Counter(each.job for each in openings if each.detail_job is None)
    _count_sealings(tally, today)
    _count_details(tally, unplaced, today)
    for each in openings:
        for group in each.groups():
            tally.opened(group)
    return tally.counts()


def _openings() -> Iterator[_Opening]:
    found = Callback.objects.filter(cause__in=SEAL_CAUSES, promise__job__isnull=False).order_by()
    of_detail = [f"detail__{name}" for name in DETAIL_GROUPS]
    for job, crew, sealed_on, at, detail_job, *names in found.values_list(
        "promise__job",
        "promise__job__crew__name",
        "promise__starts_on",
        "reported_at",
        "detail__job",
        *of_detail,
    ):
        yield _Opening(job, crew, sealed_on, localdate(at), detail_job, tuple(names))


def _count_sealings(tally: _Tally, today: date) -> None:
    """Add what is counted whole: firm, crews, and ages."""
    sealed = Promise.objects.filter(job__isnull=False).order_by()
    for crew, on, ended_on, number in sealed.values_list(
        "job__crew__name", "starts_on", "ended_on"
    ).annotate(number=Count("pk")):
        these = _Sealed(on, ended_on or today, number)
        tally.add(Group("firm"), these, these.years)
        if crew:
            tally.add(Group("crew", crew), these, these.years)
        for band, days in sealyears.split(these.on, these.until):
            tally.add(Group("age", band), these, number * days / YEAR_DAYS)


def _count_details(tally: _Tally, unplaced: Mapping[int, int], today: date) -> None:
    """Add what is shared out among the details of each job: years, and openings unplaced."""
    for job, sealed, shares in _shares(today):
        years, opened = sealed.years, unplaced.get(job, 0)
        for kind, of_kind in zip(DETAIL_GROUPS, shares, strict=True):
            for name, share in of_kind.items():
                tally.add(Group(kind, name), sealed, years * share, opened * share)


def _shares(today: date) -> Iterator[tuple[int, _Sealed, list[dict[str, float]]]]:
    """Yield each job with a promise, and for each kind of group what share each name has in it."""
    details = FittedDetail.objects.filter(SEALED, job__promise__isnull=False).order_by("job_id")
    rows = details.values_list(
        "job_id", "job__promise__starts_on", "job__promise__ended_on", *DETAIL_GROUPS
    ).annotate(number=Count("pk"))
    for (job, on, ended_on), of_job in groupby(rows.iterator(), key=itemgetter(0, 1, 2)):
        found = [(names, number) for _job, _on, _ended_on, *names, number in of_job]
        whole = sum(number for _names, number in found)
        shares: list[dict[str, float]] = [defaultdict(float) for _ in DETAIL_GROUPS]
        for names, number in found:
            for share, name in zip(shares, names, strict=True):
                if name:
                    share[name] += number / whole
        yield job, _Sealed(on, ended_on or today), shares


def step_of(home: Home, *, age: str = "") -> seals.Step[Group]:
    """Return how often the home's seals are checked, from the groups they belong to.

    `age` is the band of their age. Twelve months as long as nothing is counted. Two queries.
    """
    groups = _groups_of(home)
    groups.add(Group("age", age))
    wanted = Q(group="firm")
    for kind, name in groups:
        wanted |= Q(group=kind, name=name)
    rows = SealCount.objects.filter(wanted)
    counts = {Group(each.group, each.name): _seen(each) for each in rows}
    firm = counts.pop(Group("firm"), None)
    return seals.step_for(counts, firm) if firm else seals.Step(seals.YEAR_MONTHS)


def _groups_of(home: Home) -> set[Group]:
    details = FittedDetail.objects.filter(SEALED, job__home=home).order_by()
    columns = {"crew": "job__crew__name", **{each: each for each in DETAIL_GROUPS}}
    rows = details.values_list(*columns.values()).distinct()
    named = (zip(columns, row, strict=True) for row in rows)
    return {Group(kind, name) for row in named for kind, name in row if name}


def _seen(count: SealCount) -> seals.Seen:
    return seals.Seen(count.openings, count.seal_years)


@dataclass(frozen=True)
class Beside:
    """A group beside all others: how many times as often it opens, how likely that is chance."""

    count: SealCount
    ratio: float
    chance: float

    @property
    def stands_out(self) -> bool:
        return self.chance < seals.HARDLY_CHANCE


def lots() -> list[Beside]:
    """Return every lot, the most suspect first. One query."""
    return _beside_the_firm("lot")


def others() -> list[Beside]:
    """Return every other group, kind by kind, the most suspect first. One query."""
    kinds = ("crew", "surface", "exposure", "age")
    return sorted(_beside_the_firm(*kinds), key=lambda each: kinds.index(each.count.group))


def _beside_the_firm(*kinds: str) -> list[Beside]:
    counts = list(SealCount.objects.filter(group__in=("firm", *kinds)))
    firm = next((_seen(each) for each in counts if each.group == "firm"), seals.Seen(0, 0.0))
    found = [_beside(each, firm) for each in counts if each.group != "firm"]
    return sorted(found, key=lambda each: (each.chance, -each.ratio, str(each.count)))


def _beside(count: SealCount, firm: seals.Seen) -> Beside:
    seen = _seen(count)
    return Beside(count, seals.risk_ratio(seen, firm), seals.chance_in(seen, firm))
