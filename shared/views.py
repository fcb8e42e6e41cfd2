"""The front door: each role begins where its day begins."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.db import connection
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from shared.forms import PersonForm
from shared.models import User
from shared.requests import StaffRequest
from shared.roles import allowed
from shared.signin import invite

# The first of these that a person may see is their first page.
FIRST_PAGES = (("see_ledger", "ledger"), ("sell", "tray"), ("fit", "round"))


@login_required
@require_GET
def start(request: StaffRequest) -> HttpResponseBase:
    for code, page in FIRST_PAGES:
        if request.user.has_perm(f"shared.{code}"):
            return redirect(page)
    return redirect("account_logout")


@allowed("keep_firm")
@require_GET
def people(request: StaffRequest) -> HttpResponse:
    everyone = User.objects.prefetch_related("groups").order_by("-is_active", "username")
    return render(request, "shared/people.html", {"people": everyone})


@allowed("keep_firm")
@require_http_methods(["GET", "POST"])
def person(request: StaffRequest, username: str = "") -> HttpResponseBase:
    """Make or change somebody's account. A new person sets their own password by mail."""
    known = get_object_or_404(User, username=username) if username else None
    form = PersonForm(request.POST or None, instance=known, by=request.user)
    if request.method == "POST" and form.is_valid():
        somebody = form.save()
        if not known:
            invite(request, somebody)
        messages.success(request, f"{somebody} is kept.")
        return redirect("people")
    status = 422 if form.is_bound else 200
    return render(request, "shared/person.html", {"form": form, "known": known}, status=status)


@require_GET
def health(_request: StaffRequest) -> HttpResponse:
    """Say that the web process and its database answer."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
    return HttpResponse("ok\n", content_type="text/plain")
