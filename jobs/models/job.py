"""One piece of paid work at a home, and the stages on its way."""

from decimal import Decimal
from functools import reduce
from operator import or_
from typing import Self

from django.apps import apps
from django.db import models
from django.db.models import Count, F, OuterRef, Q, Subquery, Sum
from django.db.models.functions import Cast, Coalesce, NullIf, Round, TruncMonth
from django.db.models.lookups import Exact
from django.urls import reverse
from django.utils.translation import gettext as _
from simple_history.models import HistoricalRecords

from customers.models import Home, Household
from jobs.ledger import Cell, Counted, Earnings
from jobs.models.crew import Booking, Crew
from jobs.models.months import MONEY, cell_of, counted, months_kept
from shared.fields import MoneyField
from shared.models import User


def stages() -> list[tuple[str, str]]:
    return [
        ("asked", _("asked")),
        ("measured", _("measured")),
        ("priced", _("priced")),
        ("agreed", _("agreed")),
        ("booked", _("booked")),
        ("fitted", _("fitted")),
        ("proved", _("proved")),
        ("handed-over", _("handed over")),
        ("declined", _("declined")),
        ("cancelled", _("cancelled")),
    ]


def job_kinds() -> list[tuple[str, str]]:
    return [
        ("fitting", "fitting"),
        ("extension", "extension of a ring"),
        ("repair", "repair, chargeable"),
        ("check", "check, paid"),
    ]


def sources() -> list[tuple[str, str]]:
    return [
        ("neighbour", "a neighbour told them"),
        ("web", "our web page"),
        ("sign", "a sign or van seen"),
        ("builder", "a builder or agent"),
        ("event", "a fair or talk"),
        ("import", "brought in by import"),
        ("other", "other"),
    ]


LEDGER = (
    *("number", "kind", "source", "fitted_on", *MONEY),
    *("home__street", "home__city", "crew__name"),
)
BEFORE_AGREEMENT = ("asked", "measured", "priced")
BEFORE_FITTING = ("agreed", "booked")
ON_THE_PATH = (*BEFORE_AGREEMENT, *BEFORE_FITTING, "fitted", "proved", "handed-over")


def sum_of(rows: models.QuerySet, key: str) -> Coalesce:
    """The sum of the rows' amounts for each key, zero where there are none, as a subquery."""
    total = rows.order_by().values(key).annotate(total=Sum("amount")).values("total")
    return Coalesce(Subquery(total), Decimal(0), output_field=MoneyField())


def _money_of_rows() -> dict[str, Coalesce]:
    """What each money column of a job must hold, as subqueries of its offer and cost rows."""
    lines = apps.get_model("jobs", "OfferLine").objects.filter(
        offer__job=OuterRef("pk"), offer__state="agreed"
    )
    costs = apps.get_model("jobs", "Cost").objects.filter(job=OuterRef("pk"))
    fitting = costs.filter(reason="fitting")
    return {
        "revenue": sum_of(lines, "offer__job"),
        "materials": sum_of(fitting.filter(kind="material"), "job"),
        "labour": sum_of(fitting.filter(kind="labour"), "job"),
        "other_cost": sum_of(fitting.filter(kind="other"), "job"),
        "promise_cost": sum_of(costs.filter(reason="promise"), "job"),
    }


def _sums_in_cents() -> dict[str, Sum]:
    return {f"{column}_sum": Sum(_cents(F(column))) for column in MONEY}


def _cents(amount: F | Coalesce) -> Cast:
    return Cast(Round(amount * 100), models.BigIntegerField())


class JobQuerySet(models.QuerySet["Job"]):
    def open(self) -> Self:
        return self.filter(stage__in=ON_THE_PATH[:-1])  # not exclude(): this one has an index

    def earning(self) -> Self:
        """Jobs that were fitted: they have revenue and cost to look at."""
        return self.filter(fitted_on__isnull=False)

    def of(self, user: User) -> Self:
        """The jobs that are this person's to work on: all for who books, else their crews'."""
        if user.has_perm("shared.book"):
            return self
        mine = Crew.objects.filter(members=user)
        visits = Booking.objects.standing().filter(crew__in=mine, job=models.OuterRef("pk"))
        return self.filter(models.Q(crew__in=mine) | models.Exists(visits))

    def by_margin(self, of: str, *, falling: bool) -> Self:
        """In the order of their `margin` or `margin_share`, the margin's share of the revenue.

        Only to sort by, and only where asked for: what is shown comes from `earned`.
        """
        margin = F("revenue") - F("materials") - F("labour") - F("other_cost") - F("promise_cost")
        share = Cast(margin, models.FloatField()) / NullIf(
            Cast("revenue", models.FloatField()), 0.0
        )
        by = {"margin": margin, "margin_share": share}[of]
        order = by.desc(nulls_last=True) if falling else by.asc(nulls_first=True)
        return self.order_by(order, "pk")

    def for_ledger(self) -> Self:
        """Load of each row what the ledger shows, no more. One query."""
        return self.select_related("home", "crew").only(*LEDGER)

    def month_sums(self) -> dict[Cell, Counted]:
        """What these jobs earned, by month and all else the ledger chooses by. One query.

        Exact: summed in whole cents, never as binary.
        """
        fitted = self.earning().order_by().annotate(month=TruncMonth("fitted_on"))
        cells = fitted.values("month", "kind", "source", "crew")
        sums = cells.annotate(jobs_sum=Count("pk"), **_sums_in_cents())
        return {cell_of(each): counted(each) for each in sums}

    def recount(self) -> int:
        """Set revenue and costs anew from the agreed offer and the cost rows.

        Every action that touches an agreed offer or a cost calls this in its transaction: the
        ledger sorts by these columns and adds the sums of months, which move with them.
        """
        with months_kept(self):
            return self.update(**_money_of_rows())

    def miscounted(self) -> Self:
        """The jobs whose money is not what their offer and cost rows say, to the cent."""
        rows = {column: _cents(amount) for column, amount in _money_of_rows().items()}
        wrong = [~Q(Exact(_cents(F(column)), rows[column])) for column in MONEY]
        return self.filter(reduce(or_, wrong))


class Job(models.Model):
    """Its money columns are counted anew by JobQuerySet.recount, never set by hand."""

    number = models.CharField(max_length=20, unique=True)
    home = models.ForeignKey(Home, models.PROTECT, related_name="jobs")
    household = models.ForeignKey(Household, models.PROTECT, related_name="jobs")
    kind = models.CharField(max_length=20, choices=job_kinds, default="fitting")
    source = models.CharField(max_length=20, choices=sources, default="other")
    stage = models.CharField(max_length=20, choices=stages, default="asked")
    crew = models.ForeignKey(Crew, models.SET_NULL, null=True, blank=True, related_name="jobs")
    wish = models.TextField(blank=True, help_text="What the household asked for, in their words.")
    asked_on = models.DateField()
    measured_on = models.DateField(null=True, blank=True)
    agreed_on = models.DateField(null=True, blank=True)
    fitted_on = models.DateField(null=True, blank=True)
    handed_over_on = models.DateField(null=True, blank=True)
    revenue = MoneyField(default=0, editable=False, help_text="Agreed, before tax.")
    materials = MoneyField(default=0, editable=False)
    labour = MoneyField(default=0, editable=False)
    other_cost = MoneyField(default=0, editable=False)
    promise_cost = MoneyField(default=0, editable=False, help_text="Of keeping its promise.")
    closed_on = models.DateField(null=True, blank=True, help_text="Declined or cancelled.")
    closed_reason = models.CharField(max_length=200, blank=True)

    history = HistoricalRecords()
    objects = JobQuerySet.as_manager()

    class Meta:
        indexes = [
            models.Index(fields=["stage", "asked_on"], name="job_by_stage"),
            models.Index(fields=["-fitted_on", "-id"], name="job_by_fitting_day"),
        ]

    def __str__(self) -> str:
        return f"{self.number} · {self.home.street}"

    def get_absolute_url(self) -> str:
        return reverse("job", args=[self.number])

    def agreed_lines(self) -> list[models.Model]:
        """Return the offer lines that were agreed to. Two queries, none where they are loaded."""
        agreed = [each for each in self.offers.all() if each.state == "agreed"]
        return [line for offer in agreed for line in offer.lines.all()]

    @property
    def earned(self) -> Earnings:
        return Earnings(*(getattr(self, column) for column in MONEY))
