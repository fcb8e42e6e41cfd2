"""The diary: a week of every crew, and one visit."""

from collections import defaultdict
from datetime import date, datetime, time, timedelta
from typing import Any, NamedTuple

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from customers.models import Home
from jobs.actions import booking
from jobs.diary import QUARTERS_SHOWN, Bar, bar, days_of, monday_of, week_name
from jobs.forms.booking import TimesForm, VisitForm
from jobs.invitation import invitation
from jobs.models import Booking, Crew, Job
from jobs.models.job import BEFORE_FITTING
from shared.answers import done, made, tried
from shared.firm import the_firm
from shared.requests import StaffRequest
from shared.roles import allowed


class Stop(NamedTuple):
    """A visit on one day of the drawing."""

    visit: Booking
    bar: Bar | None
    starts_at: datetime
    ends_at: datetime


class Day(NamedTuple):
    on: date
    today: bool
    stops: list[Stop]


class Row(NamedTuple):
    crew: Crew
    days: list[Day]


@allowed("book")
@require_http_methods(["GET", "POST"])
def diary(request: StaffRequest) -> HttpResponse:
    """A week of the diary; a POST books a visit and shows its week."""
    form = VisitForm(request.POST) if request.method == "POST" else _wished(request)
    if visit := made(form, lambda: _book(form)):
        messages.success(request, f"Booked: {booking.in_words(visit)}.")
        return redirect(_week_with(visit.starts_at))
    page = page_of(request.GET.get("week", ""), form)
    return render(request, "jobs/diary.html", page, status=422 if form.is_bound else 200)


def _book(form: VisitForm) -> Booking:
    data = form.cleaned_data
    home = data["home"]
    starts_at, ends_at = form.moments(home.tz)
    return booking.book(
        crew=data["crew"],
        home=home,
        job=data["job"],
        purpose=data["purpose"],
        starts_at=starts_at,
        ends_at=ends_at,
        at=timezone.now(),
        note=data["note"],
    )


def _wished(request: StaffRequest) -> VisitForm:
    """The empty form, with the job or home, crew, day and purpose that the address asks for."""
    wish = {key: request.GET.get(key, "") for key in ("job", "home", "crew", "day")}
    job = Job.objects.filter(number=wish["job"]).first() if wish["job"] else None
    fitting = job is not None and job.stage in BEFORE_FITTING
    return VisitForm(
        initial={
            **wish,
            "purpose": request.GET.get("purpose") or ("fitting" if fitting else "measure"),
            "starts": time(8),
            "minutes": "360" if fitting else "60",
        }
    )


def _week_with(moment: datetime) -> str:
    return f"{reverse('diary')}?week={week_name(timezone.localdate(moment))}"


def page_of(week: str, form: VisitForm) -> dict[str, Any]:
    """A week's rows. Two queries, and those of the form."""
    today = timezone.localdate()
    monday = monday_of(week, today)
    days = days_of(monday)
    return {
        "rows": _rows(days, today),
        "days": days,
        "today": today,
        "week": week_name(monday),
        "this_week": week_name(today),
        "before": week_name(monday - timedelta(days=7)),
        "after": week_name(monday + timedelta(days=7)),
        "quarters": QUARTERS_SHOWN,
        "form": form,
        "wished_home": _wished_home(form),
    }


def _wished_home(form: VisitForm) -> Home | None:
    """The home that a visit without a job is for. One query where there is one."""
    key = str(form["home"].value() or "")
    return Home.objects.filter(pk=key).first() if key.isascii() and key.isdecimal() else None


def _rows(days: list[date], today: date) -> list[Row]:
    zone = timezone.get_current_timezone()
    start = datetime.combine(days[0], time(), tzinfo=zone)
    end = datetime.combine(days[-1] + timedelta(days=1), time(), tzinfo=zone)
    visits = Booking.objects.standing().between(start, end).select_related("home", "job")
    stops: dict[tuple[int, date], list[Stop]] = defaultdict(list)
    for visit in visits.order_by("starts_at", "pk"):
        first, last = visit.starts_at.astimezone(zone), visit.ends_at.astimezone(zone)
        for day in days:
            if first.date() <= day <= (last - timedelta(seconds=1)).date():
                stops[visit.crew_id, day].append(Stop(visit, bar(first, last, day), first, last))
    crews = Crew.objects.filter(active=True).order_by("name", "pk")
    return [
        Row(crew, [Day(day, day == today, stops[crew.pk, day]) for day in days]) for crew in crews
    ]


def find_visit(pk: int) -> Booking:
    return get_object_or_404(Booking.objects.select_related("home", "job", "crew"), pk=pk)


@allowed("book")
@require_http_methods(["GET", "POST"])
def visit(request: StaffRequest, pk: int) -> HttpResponse:
    """One visit; a POST moves it."""
    visit = find_visit(pk)
    if request.method == "GET":
        return render(request, "jobs/visit.html", {"visit": visit, "form": _times_of(visit)})
    form = TimesForm(request.POST)
    if done(form, lambda: _move(visit, form)):
        messages.success(request, f"Moved: {booking.in_words(visit)}.")
        return redirect(_week_with(visit.starts_at))
    return render(request, "jobs/visit.html", {"visit": visit, "form": form}, status=422)


def _move(visit: Booking, form: TimesForm) -> None:
    starts_at, ends_at = form.moments(visit.home.tz)
    crew, at = form.cleaned_data["crew"], timezone.now()
    booking.move(booking=visit, starts_at=starts_at, ends_at=ends_at, at=at, crew=crew)


def _times_of(visit: Booking) -> TimesForm:
    start = visit.starts_at.astimezone(visit.home.tz)
    minutes = (visit.ends_at - visit.starts_at) // timedelta(minutes=1)
    return TimesForm(
        initial={
            "crew": visit.crew_id,
            "day": start.date(),
            "starts": start.time(),
            "minutes": str(minutes),
        }
    )


@allowed("book")
@require_POST
def cancel(request: StaffRequest, pk: int) -> HttpResponse:
    visit = find_visit(pk)
    said = f"Cancelled: {booking.in_words(visit)}."
    if tried(request, lambda: booking.cancel(booking=visit, at=timezone.now()), said=said):
        return redirect(_week_with(visit.starts_at))
    return redirect("visit", pk=pk)


@allowed("book")
@require_GET
def calendar(request: StaffRequest, pk: int) -> HttpResponse:
    """The visit's calendar entry, as the household gets it."""
    visit = find_visit(pk)
    ics = invitation(visit, firm=the_firm(), language=request.user.language, at=timezone.now())
    response = HttpResponse(ics, content_type="text/calendar; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="visit-{visit.pk}.ics"'
    return response
