"""The front door: each role begins where its day begins."""

from django.contrib.auth.decorators import login_required
from django.db import connection
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import redirect
from django.views.decorators.http import require_GET

from shared.requests import StaffRequest

# The first of these that a person may see is their first page.
FIRST_PAGES = (("see_ledger", "ledger"), ("sell", "tray"), ("fit", "round"))


@login_required
@require_GET
def start(request: StaffRequest) -> HttpResponseBase:
    for code, page in FIRST_PAGES:
        if request.user.has_perm(f"shared.{code}"):
            return redirect(page)
    return redirect("account_logout")


@require_GET
def health(_request: StaffRequest) -> HttpResponse:
    """Say that the web process and its database answer."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
    return HttpResponse("ok\n", content_type="text/plain")
