"""Lots of sealant: how each held beside the others, where it is, and its recall."""

from collections.abc import Iterator

from django.contrib import messages
from django.db.models import QuerySet
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.timezone import localdate, now
from django.views.decorators.http import require_GET, require_POST
from django_tables2 import RequestConfig

from jobs.models import FittedDetail
from shared.exports import FORMATS, exported
from shared.refusals import Refused
from shared.requests import StaffRequest
from shared.roles import allowed
from shared.wording import counted
from warranties import openings
from warranties.actions import recalling
from warranties.models import Recall, SealCount
from warranties.tables import LotHomeTable, lot_home_row

ROWS_A_PAGE = 50
HEADINGS = ("Home", "City", "Household", "Telephone", "Promise", "Fitted on", "Recall check")


@allowed("promise", "keep_firm")
@require_GET
def lots(request: StaffRequest) -> HttpResponse:
    """Every lot, and every other group of seals, the most suspect first. Three queries."""
    facts = {
        "lots": openings.lots(),
        "others": openings.others(),
        "recalled": set(Recall.objects.values_list("lot", flat=True)),
    }
    return render(request, "warranties/lots.html", facts)


@allowed("promise", "keep_firm")
@require_GET
def lot(request: StaffRequest, lot: str) -> HttpResponseBase:
    """One lot: the homes where it is. `?export=csv` or `xlsx` gives them as a file."""
    homes = recalling.promises_with(lot)
    form = request.GET.get("export", "")
    if form in FORMATS:
        return exported(form, f"lot {lot} {localdate():%Y-%m-%d}", HEADINGS, _rows(homes))
    table = LotHomeTable(homes)
    RequestConfig(request, paginate={"per_page": ROWS_A_PAGE}).configure(table)
    facts = {
        "lot": lot,
        "table": table,
        "count": SealCount.objects.filter(group="lot", name=lot).first(),
        "details": FittedDetail.objects.filter(lot=lot).count(),
        "recall": Recall.objects.filter(lot=lot).select_related("recalled_by").first(),
    }
    return render(request, "warranties/lot.html", facts)


def _rows(promises: QuerySet) -> Iterator[tuple[object, ...]]:
    for promise in promises.iterator(chunk_size=1_000):
        yield lot_home_row(promise)


@allowed("promise", "keep_firm")
@require_POST
def recall(request: StaffRequest, lot: str) -> HttpResponseBase:
    """Plan a check at every home that has the lot, and a notice to each."""
    try:
        new = recalling.recall_lot(
            lot=lot,
            reason=request.POST.get("reason", ""),
            today=localdate(),
            by=request.user,
            at=now(),
        )
    except Refused as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, f"Lot {lot} is called back: {counted(new, 'new check')}.")
    return redirect("lot", lot)
