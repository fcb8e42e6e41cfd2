"""What the office sees first."""

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.timezone import now
from django.views.decorators.http import require_GET

from jobs.tray import MOST, waiting
from shared.requests import StaffRequest
from shared.roles import allowed


@allowed("sell")
@require_GET
def tray(request: StaffRequest) -> HttpResponse:
    return render(request, "jobs/tray.html", {"waiting": waiting(now()), "most": MOST})
