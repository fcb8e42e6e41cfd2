"""Addresses that do not work: seen by the office, put right one by one."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import localdate, now
from django.views.decorators.http import require_GET, require_http_methods

from customers.models import Household
from shared.exports import FORMATS, exported
from shared.paging import ROWS
from shared.requests import StaffRequest
from shared.roles import allowed
from warranties.actions.addresses import correct_address
from warranties.forms.addresses import FORMS
from warranties.notices.failing import HEADINGS, export_rows, failed_of, unreachable


@allowed("notify")
@require_GET
def addresses(request: StaffRequest) -> HttpResponseBase:
    """The list; `?export=csv` or `xlsx` gives all of it as a file. Three queries."""
    form = request.GET.get("export", "")
    if form in FORMATS:
        name = f"addresses that do not work {localdate():%Y-%m-%d}"
        return exported(form, name, HEADINGS, export_rows(unreachable()))
    page = Paginator(unreachable(), ROWS).get_page(request.GET.get("page"))
    rows = [each for household in page.object_list for each in failed_of(household)]
    return render(request, "warranties/addresses.html", {"rows": rows, "page": page})


@allowed("notify")
@require_http_methods(["GET", "HEAD", "POST"])
def address(request: StaffRequest, pk: int, channel: str) -> HttpResponseBase:
    """Put one right: `channel` is mail or text."""
    household = get_object_or_404(unreachable(), pk=pk)
    found = next((each for each in failed_of(household) if each.channel == channel), None)
    if found is None:
        raise Http404("It is in order.")
    form = FORMS[channel](request.POST or None, initial={"address": found.address})
    if request.method == "POST" and form.is_valid():
        right = form.cleaned_data["address"]
        again = correct_address(
            household=Household.objects.get(pk=pk),
            channel=channel,
            address=right,
            at=now(),
        )
        messages.success(request, f"Kept. Notices that go out by it again: {again}.")
        return redirect("addresses")
    page = {"form": form, "each": found}
    return render(request, "warranties/address.html", page, status=422 if form.errors else 200)
