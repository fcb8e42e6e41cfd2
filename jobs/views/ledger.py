"""What the owner sees: revenue, cost and margin of each job, their totals, the months before."""

from collections.abc import Iterator

from django.db.models import QuerySet
from django.http import HttpResponseBase
from django.shortcuts import render
from django.utils.timezone import localdate
from django.views.decorators.http import require_GET
from django_tables2 import RequestConfig

from jobs.filters import LedgerFilter
from jobs.ledger import Earnings, by_month, months_until
from jobs.models import Job
from jobs.tables import EXPORT_HEADINGS, LedgerTable, export_row, money_cells
from shared.charts import Series, stacked_bars
from shared.exports import FORMATS, exported
from shared.paging import KnownLength
from shared.requests import StaffRequest
from shared.roles import allowed

MONTHS_IN_PICTURE = 12
ROWS_A_PAGE = 50
CHUNK = 2_000


@allowed("see_ledger")
@require_GET
def ledger(request: StaffRequest) -> HttpResponseBase:
    """Opens on this month; `?export=csv` or `xlsx` gives the same choice as a file."""
    choice = request.GET.copy()
    form = choice.pop("export", [""])[-1]
    chosen = LedgerFilter(
        choice or {"month": f"{localdate():%Y-%m}"}, queryset=Job.objects.earning().for_ledger()
    )
    counted = chosen.sums().total()
    totals = counted.earned
    table = LedgerTable(chosen.qs)
    pages = {"per_page": ROWS_A_PAGE, "paginator_class": KnownLength, "length": counted.jobs}
    RequestConfig(request, paginate=pages).configure(table)
    if form in FORMATS:
        rows = with_totals(table.data.data, totals)
        return exported(form, f"ledger {localdate():%Y-%m-%d}", EXPORT_HEADINGS, rows)
    shown = months_until(chosen.last_month(), MONTHS_IN_PICTURE)
    months = by_month(chosen.sums_of_any_month().of_months(shown).by_month(), shown)
    context = {
        "filter": chosen,
        "table": table,
        "totals": totals,
        "total_cells": money_cells(totals),
        "months": months,
        "picture": picture(months),
    }
    return render(request, "jobs/ledger.html", context)


def with_totals(jobs: QuerySet[Job], totals: Earnings) -> Iterator[tuple[object, ...]]:
    """The rows of the export, the totals last."""
    for job in jobs.iterator(chunk_size=CHUNK):
        yield export_row(job)
    yield ("Total", None, None, None, None, None, None, *money_cells(totals))


def picture(months: list[tuple]) -> str:
    """Each month's revenue as a bar: what was left of it, and where the rest went."""
    earned = [each for _, each in months]
    return stacked_bars(
        [f"{month:%b %y}" for month, _ in months],
        [
            Series("margin", [each.margin for each in earned]),
            Series("materials", [each.materials for each in earned]),
            Series("labour", [each.labour for each in earned]),
            Series("other", [each.other for each in earned]),
            Series("callbacks", [each.promise for each in earned]),
        ],
        title="Revenue by month, split into margin and cost",
        description="The same numbers stand in the table below the picture.",
    )
