"""What the firm's own callbacks say of its seals, by lot, crew and surface.

Definition. A sealing is a job with a promise; it stands from the promise's first day until it ends
or until today. An opening is a callback whose cause is the seal's own. Both are counted for each
lot, crew and surface that the job has, and once for the firm. The chance below which a lot stands
out is Ringkeep's own choice; the test behind it is that of warranties/seals.py.
"""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from django.db.models import Count, Q

from customers.models import Home
from jobs.models import FittedDetail
from warranties import seals
from warranties.models import Callback, Promise, SealCount

CAUSES = ("open-joint", "lifted-strip", "collar-moved")  # What a seal answers for.
COLUMNS = {
    "lot": "job__fitted_details__lot",
    "crew": "job__crew__name",
    "surface": "job__fitted_details__surface",
}
YEAR_DAYS = 365.25
SUSPECT = 0.01  # Below this chance a lot is shown as worth a recall.


@dataclass
class _Sum:
    first_on: date
    last_on: date
    sealings: int = 0
    seal_years: float = 0.0

    def add(self, sealed_on: date, until: date, sealings: int) -> None:
        self.first_on, self.last_on = min(self.first_on, sealed_on), max(self.last_on, sealed_on)
        self.sealings += sealings
        self.seal_years += sealings * max((until - sealed_on).days, 0) / YEAR_DAYS


def counted(today: date) -> Iterator[SealCount]:
    """Yield the count of every group, unsaved. Two queries a kind of group."""
    yield from _counts("firm", "", today)
    for group, column in COLUMNS.items():
        yield from _counts(group, column, today)


def _counts(group: str, column: str, today: date) -> Iterator[SealCount]:
    by = [column] if column else []
    named = ~Q(**{column: ""}) & ~Q(**{column: None}) if column else Q()
    sealed = Promise.objects.filter(named, job__isnull=False).order_by()
    sums: dict[str, _Sum] = {}
    for *key, sealed_on, ended_on, number in sealed.values_list(
        *by, "starts_on", "ended_on"
    ).annotate(number=Count("pk", distinct=True)):
        name = key[0] if key else ""
        sums.setdefault(name, _Sum(sealed_on, sealed_on)).add(sealed_on, ended_on or today, number)
    openings = _openings(column)
    for name, found in sums.items():
        yield SealCount(group=group, name=name, openings=openings[name], **vars(found))


def _openings(column: str) -> defaultdict[str, int]:
    found = Callback.objects.filter(cause__in=CAUSES).order_by()
    if not column:
        return defaultdict(int, {"": found.count()})
    of = found.values_list(f"promise__{column}")
    return defaultdict(int, of.annotate(openings=Count("pk", distinct=True)))


def step_of(home: Home) -> seals.Step:
    """Return how often the home's seals are checked, from the groups they belong to.

    Twelve months as long as nothing is counted. Three queries at most.
    """
    groups = _groups_of(home)
    wanted = Q(group="firm")
    for group, names in groups.items():
        wanted |= Q(group=group, name__in=names)
    counts = list(SealCount.objects.filter(wanted))
    firm = next((_seen(each) for each in counts if each.group == "firm"), None)
    if firm is None:
        return seals.Step(seals.YEAR_MONTHS)
    return seals.step_for({str(c): _seen(c) for c in counts if c.group != "firm"}, firm)


def _groups_of(home: Home) -> dict[str, set[str]]:
    details = FittedDetail.objects.filter(job__home=home).order_by()
    groups: dict[str, set[str]] = {"lot": set(), "crew": set(), "surface": set()}
    rows = details.values_list("lot", "job__crew__name", "surface").distinct()
    for row in rows:
        for group, name in zip(groups, row, strict=True):
            if name:
                groups[group].add(name)
    return groups


def _seen(count: SealCount) -> seals.Seen:
    return seals.Seen(count.openings, count.seal_years)


@dataclass(frozen=True)
class Lot:
    """A lot beside all others: how many times as often it opens, and how likely that is chance."""

    count: SealCount
    ratio: float
    chance: float

    @property
    def stands_out(self) -> bool:
        return self.chance < SUSPECT


def lots() -> list[Lot]:
    """Return every lot, the most suspect first. One query."""
    counts = list(SealCount.objects.filter(group__in=("firm", "lot")))
    firm = next((_seen(each) for each in counts if each.group == "firm"), seals.Seen(0, 0.0))
    found = [_beside(each, firm) for each in counts if each.group == "lot"]
    return sorted(found, key=lambda lot: (lot.chance, -lot.ratio, lot.count.name))


def _beside(count: SealCount, firm: seals.Seen) -> Lot:
    seen = _seen(count)
    others = seals.Seen(
        max(firm.openings - seen.openings, 0), max(firm.seal_years - seen.seal_years, 0.0)
    )
    return Lot(count, seals.risk_ratio(seen, firm), seals.chance_of_so_many(seen, others))
