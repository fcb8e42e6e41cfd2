"""What each month's jobs earned, kept so that the ledger need not add up every job."""

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import date
from decimal import Decimal
from typing import Any, Protocol, Self

from django.db import models, transaction
from django.db.models import Sum

from jobs.ledger import Cell, Counted, Earnings, Sums, differences
from jobs.models.crew import Crew

# The columns of a job that hold money, in the order of Earnings.
MONEY = ("revenue", "materials", "labour", "other_cost", "promise_cost")
CENTS = tuple(f"{column}_cents" for column in MONEY)


def cell_of(row: Mapping[str, Any]) -> Cell:
    return Cell(row["month"], row["kind"], row["source"], row["crew"])


def counted(row: Mapping[str, Any]) -> Counted:
    """Return what a query counted: `jobs_sum`, and `revenue_sum` and so on in cents."""
    cents = (Decimal(row[f"{column}_sum"] or 0) / 100 for column in MONEY)
    return Counted(row["jobs_sum"] or 0, Earnings(*cents))


class MonthSumQuerySet(models.QuerySet["MonthSum"]):
    def of_months(self, months: Sequence[date]) -> Self:
        """Those from the first of these months to the last."""
        return self.filter(month__range=(months[0], months[-1]))

    def total(self) -> Counted:
        """All of these together. One query."""
        return counted(self.aggregate(**_sums()))

    def by_month(self) -> dict[date, Earnings]:
        """What each month earned. One query."""
        months = self.order_by().values("month").annotate(**_sums())
        return {row["month"]: counted(row).earned for row in months}

    def kept(self) -> dict[Cell, Counted]:
        """The sums that are not empty. One query."""
        cells = self.order_by().values("month", "kind", "source", "crew").annotate(**_sums())
        sums = {cell_of(row): counted(row) for row in cells}
        return {cell: each for cell, each in sums.items() if each != Counted()}

    @transaction.atomic
    def move(self, before: Sums, after: Sums) -> None:
        """Add what jobs earn now, less what they earned before. Three queries, none for nothing.

        The sums are held while they move, always in one order: two who move the same both count,
        and neither waits for the other for ever.
        """
        moved = differences(before, after)
        if not moved:
            return
        self.bulk_create(map(_empty, moved), ignore_conflicts=True)
        held = self.filter(month__in={cell.month for cell in moved}).select_for_update()
        sums = [each for each in held.order_by("pk") if each.cell in moved]
        for each in sums:
            each.set_to(each.counted() + moved[each.cell])
        self.bulk_update(sums, ["jobs", *CENTS])


def _empty(cell: Cell) -> "MonthSum":
    return MonthSum(month=cell.month, kind=cell.kind, source=cell.source, crew_id=cell.crew)


def _sums() -> dict[str, Sum]:
    money = {f"{column}_sum": Sum(f"{column}_cents") for column in MONEY}
    return {"jobs_sum": Sum("jobs"), **money}


class MonthSum(models.Model):
    """What the jobs of one cell earned: one month, kind, source and crew.

    Moved by months_kept together with the jobs, never set by hand; `manage.py recount --check`
    compares both. In whole cents: databases that add decimals as binary would drift.
    """

    month = models.DateField(help_text="Its first day.")
    kind = models.CharField(max_length=20)
    source = models.CharField(max_length=20)
    crew = models.ForeignKey(
        Crew, models.PROTECT, null=True, related_name="+", help_text="Who is named stays."
    )
    jobs = models.IntegerField(default=0)
    revenue_cents = models.BigIntegerField(default=0)
    materials_cents = models.BigIntegerField(default=0)
    labour_cents = models.BigIntegerField(default=0)
    other_cost_cents = models.BigIntegerField(default=0)
    promise_cost_cents = models.BigIntegerField(default=0)

    objects = MonthSumQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["month", "kind", "source", "crew"], name="one_sum_a_cell"
            ),
            models.UniqueConstraint(  # to a database no crew is never the same as no crew
                fields=["month", "kind", "source"],
                condition=models.Q(crew=None),
                name="one_sum_a_cell_without_crew",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.month:%Y-%m} {self.kind} {self.source}"

    @property
    def cell(self) -> Cell:
        return Cell(self.month, self.kind, self.source, self.crew_id)

    def counted(self) -> Counted:
        return Counted(self.jobs, Earnings(*(Decimal(getattr(self, name)) / 100 for name in CENTS)))

    def set_to(self, counted: Counted) -> None:
        """Change the columns; who calls saves them."""
        self.jobs = counted.jobs
        for name, amount in zip(CENTS, counted.earned.amounts, strict=True):
            setattr(self, name, int(amount * 100))


class Jobs(Protocol):
    """A set of jobs: JobQuerySet, which this module comes before."""

    def month_sums(self) -> dict[Cell, Counted]: ...
    def select_for_update(self) -> Any: ...


@contextmanager
def months_kept(jobs: Jobs) -> Iterator[None]:
    """Around every change of what the ledger counts of these jobs: money, day of fitting, crew.

    The jobs are held, so that nobody moves the same money twice. Three queries, and three where
    a sum moves.
    """
    with transaction.atomic():
        list(jobs.select_for_update().order_by("pk").values_list("pk"))
        before = jobs.month_sums()
        yield
        MonthSum.objects.move(before, jobs.month_sums())
