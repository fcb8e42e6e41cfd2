"""The round: one person's stops of one day, and what each is for."""

from collections.abc import Callable
from datetime import date, datetime, time, timedelta
from urllib.parse import urlencode

from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.timezone import get_default_timezone, localdate, now
from django.views.decorators.http import require_GET, require_POST

from jobs.actions import visiting
from jobs.models import Booking
from jobs.models.crew import BookingQuerySet
from shared.answers import tried
from shared.requests import StaffRequest, day_asked
from shared.roles import allowed

ONE_DAY = timedelta(days=1)


@allowed("fit")
@require_GET
def round_of_the_day(request: StaffRequest) -> HttpResponse:
    """Today's stops, or those of ?on=2026-03-02."""
    day = day_asked(request.GET.get("on", "")) or localdate()
    stops = list(_stops(request, day).as_round())
    return render(
        request,
        "jobs/round.html",
        {"day": day, "stops": stops, "before": day - ONE_DAY, "after": day + ONE_DAY},
    )


@allowed("fit")
@require_POST
def set_out(request: StaffRequest, pk: int) -> HttpResponseBase:
    stop = _stop(request, pk)
    return _tried(request, stop, lambda: visiting.set_out(booking=stop, at=now()))


@allowed("fit")
@require_POST
def arrive(request: StaffRequest, pk: int) -> HttpResponseBase:
    stop = _stop(request, pk)
    return _tried(request, stop, lambda: visiting.arrive(booking=stop, at=now()))


@allowed("fit")
@require_POST
def leave(request: StaffRequest, pk: int) -> HttpResponseBase:
    stop = _stop(request, pk)
    return _tried(request, stop, lambda: visiting.leave(booking=stop, at=now()))


@allowed("fit")
@require_POST
def take_up_again(request: StaffRequest, pk: int) -> HttpResponseBase:
    stop = _stop(request, pk)
    return _tried(request, stop, lambda: visiting.take_up_again(booking=stop))


def _tried(request: StaffRequest, stop: Booking, act: Callable[[], None]) -> HttpResponseBase:
    """Do it and go back to the stop in the round of its day; a refusal is told there."""
    tried(request, act)
    day = stop.starts_at.astimezone(get_default_timezone()).date()
    return redirect(f"{reverse('round')}?{urlencode({'on': day.isoformat()})}#stop-{stop.pk}")


def _stops(request: StaffRequest, day: date) -> BookingQuerySet:
    """The day is the firm's; each stop shows its time in the home's zone."""
    start = datetime.combine(day, time(), get_default_timezone())
    end = datetime.combine(day + ONE_DAY, time(), get_default_timezone())
    return Booking.objects.standing().of(request.user).between(start, end)


def _stop(request: StaffRequest, pk: int) -> Booking:
    stops = Booking.objects.standing().of(request.user).select_related("home", "crew")
    return get_object_or_404(stops, pk=pk)
