"""The watch list: who must do what by when, most urgent first."""

from datetime import time

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.timezone import localdate, now
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from customers.models import Home
from shared.paging import capped_count, keyset_page
from shared.requests import StaffRequest
from shared.roles import allowed
from shared.wording import counted
from warranties.actions.checking import take_calls_on
from warranties.actions.rounds import RoundRefused, book_round
from warranties.filters import WatchFilter
from warranties.forms.rounds import RoundForm
from warranties.models import Watch
from warranties.tables import WatchTable
from warranties.watchlist import watch_rows

STOPS = 40  # No crew makes more in a day.


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
        table.exclude = ("pick", "act")
    facts = {"filter": chosen, "page": page, "table": table, "count": capped_count(chosen.qs)}
    return render(request, "warranties/watch_list.html", facts)


def _key(text: str) -> int | None:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 18 else None  # noqa: PLR2004  # of 64 bits


@allowed("book")
@require_http_methods(["GET", "HEAD", "POST"])
def round_of_checks(request: StaffRequest) -> HttpResponseBase:
    """Book a check at each chosen home (`home`, by its key), street by street, in one go."""
    asked = request.POST if request.method == "POST" else request.GET
    keys = [int(key) for key in asked.getlist("home") if _key(key)]
    homes = list(
        Home.objects.filter(pk__in=keys).order_by("neighbourhood", "street_order", "pk")[:STOPS]
    )
    if not homes:
        messages.error(request, "Tick the homes of the round first.")
        return redirect("watch-list")
    form = RoundForm(request.POST or None, initial={"starts": time(8), "minutes": 30})
    reasons: list[str] = []
    if request.method == "POST" and form.is_valid():
        plan = form.round_in(homes[0].tz)
        try:
            visits = book_round(homes=homes, plan=plan, by=request.user, at=now())
        except RoundRefused as refusal:
            reasons = refusal.reasons
        else:
            messages.success(request, f"Booked: {counted(len(visits), 'check')} with {plan.crew}.")
            return redirect(f"{reverse('diary')}?week={form.cleaned_data['day']:%G-W%V}")
    facts = {"homes": homes, "form": form, "reasons": reasons}
    status = 422 if form.errors or reasons else 200
    return render(request, "warranties/watch_round.html", facts, status=status)


@allowed("book")
@require_POST
def book_check(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Go on to the diary with a check of this home; its calls for help are taken on."""
    home = get_object_or_404(Home, pk=pk)
    take_calls_on(home=home, by=request.user, at=now())
    return redirect(f"{reverse('diary')}?home={home.pk}&purpose=check")
