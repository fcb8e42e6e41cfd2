"""The watch list: who must do what by when, most urgent first."""

from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.timezone import localdate, now
from django.views.decorators.http import require_GET, require_POST

from customers.models import Home
from shared.paging import capped_count, keyset_page
from shared.requests import StaffRequest
from shared.roles import allowed
from warranties.actions.checking import take_calls_on
from warranties.filters import WatchFilter
from warranties.models import Watch
from warranties.tables import WatchTable
from warranties.watchlist import watch_rows


@allowed("notify")
@require_GET
def watch_list(request: StaffRequest) -> HttpResponse:
    """A page of watched plants by the day on which they open the ring."""
    chosen = WatchFilter(request.GET, queryset=Watch.objects.for_a_page())
    page = keyset_page(
        chosen.qs,
        order=("opens_on", "pk"),
        after=_key(request.GET.get("after", "")),
        before=_key(request.GET.get("before", "")),
    )
    table = WatchTable(watch_rows(page.rows, today=localdate()))
    if not request.user.has_perm("shared.book"):
        table.exclude = ("act",)
    facts = {"filter": chosen, "page": page, "table": table, "count": capped_count(chosen.qs)}
    return render(request, "warranties/watch_list.html", facts)


def _key(text: str) -> int | None:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 18 else None  # noqa: PLR2004  # of 64 bits


@allowed("book")
@require_POST
def book_check(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Go on to the diary with a check of this home; its calls for help are taken on."""
    home = get_object_or_404(Home, pk=pk)
    take_calls_on(home=home, by=request.user, at=now())
    return redirect(f"{reverse('diary')}?home={home.pk}&purpose=check")
