"""The tables of jobs' pages."""

from decimal import Decimal

import django_tables2 as tables

from jobs.ledger import Earnings
from jobs.models import Job
from jobs.models.job import JobQuerySet
from shared.firm import money_said
from shared.tables import Table


def percent(value: Decimal | None) -> str:
    return "–" if value is None else f"{value} %"


class MoneyColumn(tables.Column):
    """An amount in the firm's currency, at the right edge."""

    attrs = {"cell": {"class": "number"}}

    def render(self, value: Decimal) -> str:
        return money_said(value)


class LedgerTable(Table):
    number = tables.Column("Job", linkify=True)
    fitted_on = tables.Column("Fitted on", order_by=("fitted_on", "pk"))
    home = tables.Column(accessor="home__street", verbose_name="Home")
    crew = tables.Column(accessor="crew__name", verbose_name="Crew")
    kind = tables.Column("Kind")
    source = tables.Column("Source")
    revenue = MoneyColumn("Revenue")
    materials = MoneyColumn("Materials")
    labour = MoneyColumn("Labour")
    other_cost = MoneyColumn("Other")
    promise_cost = MoneyColumn("Callbacks")
    margin = MoneyColumn("Margin", accessor="earned__margin")
    margin_percent = tables.Column(
        "Margin %", accessor="earned__margin_percent", attrs=MoneyColumn.attrs
    )

    class Meta(Table.Meta):
        folds = True
        caption = "Revenue, cost and margin of each job, before tax"
        sequence = (
            "number",
            "fitted_on",
            "home",
            "crew",
            "kind",
            "source",
            "revenue",
            "materials",
            "labour",
            "other_cost",
            "promise_cost",
            "margin",
            "margin_percent",
        )
        order_by = ("-fitted_on",)

    def render_margin_percent(self, value: Decimal | None) -> str:
        return percent(value)

    def order_margin(self, jobs: JobQuerySet, falling: bool) -> tuple[JobQuerySet, bool]:
        return jobs.by_margin("margin", falling=falling), True

    def order_margin_percent(self, jobs: JobQuerySet, falling: bool) -> tuple[JobQuerySet, bool]:
        return jobs.by_margin("margin_share", falling=falling), True


EXPORT_HEADINGS = (
    "Job",
    "Fitted on",
    "Home",
    "City",
    "Crew",
    "Kind",
    "Source",
    "Revenue",
    "Materials",
    "Labour",
    "Other",
    "Callbacks",
    "Margin",
    "Margin %",
)


def money_cells(earnings: Earnings) -> tuple[Decimal | None, ...]:
    """The amounts in the order of the ledger's columns."""
    return (
        earnings.revenue,
        earnings.materials,
        earnings.labour,
        earnings.other,
        earnings.promise,
        earnings.margin,
        earnings.margin_percent,
    )


def export_row(job: Job) -> tuple[object, ...]:
    return (
        job.number,
        job.fitted_on,
        job.home.street,
        job.home.city,
        job.crew.name if job.crew else None,
        job.get_kind_display(),
        job.get_source_display(),
        *money_cells(job.earned),
    )
