"""Readings at a home: each plant with its last one and its forecast; the checks that are made."""

from datetime import date

from django.contrib import messages
from django.forms import Form
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import now
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from customers.actions import add_photo
from customers.models import Home, Photo, Plant
from shared.answers import done
from shared.refusals import Refused
from shared.requests import StaffRequest
from shared.roles import allowed
from warranties import plants
from warranties.actions import checking, watching
from warranties.forms.readings import CheckDoneForm, ReadingForm, open_checks
from warranties.growth import OddReading
from warranties.models import Check

READERS = ("fit", "keep_homes")


@allowed(*READERS)
@require_GET
def readings(request: StaffRequest, pk: int) -> HttpResponse:
    return _page(request, get_object_or_404(Home, pk=pk))


@allowed(*READERS)
@require_POST
def read(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Keep a reading of one plant; an odd one is asked about with all that was typed."""
    standing = Plant.objects.filter(removed_on=None).select_related("home")
    plant = get_object_or_404(standing, pk=pk)
    form = ReadingForm(request.POST, request.FILES, plant=plant, today=_today(plant.home))
    if form.is_valid() and _keep(request, form):
        messages.success(request, _("Kept."))
        return redirect("readings", plant.home_id)
    return _page(request, plant.home, bound=form, status=422)


def _keep(request: StaffRequest, form: ReadingForm) -> bool:
    photo: Photo | None = form.cleaned_data["kept"]
    home = form.plant.home
    try:
        for clean in form.photographs(home.tz):
            photo = add_photo(home=home, clean=clean, caption=str(form.plant), by=request.user)
        watching.replace_reading(reading=form.reading(), by=request.user, photo=photo)
    except Refused as refusal:
        form.add_error(None, str(refusal))
    except OddReading as odd:
        form.ask(str(odd), photo)
    else:
        return True
    return False


@allowed(*READERS)
@require_POST
def finish_check(request: StaffRequest, pk: int) -> HttpResponseBase:
    """The check was made: what was found, and what comes next."""
    check = get_object_or_404(Check.objects.select_related("home"), pk=pk)
    form = CheckDoneForm(request.POST, check=check)

    def act() -> None:
        found, day = form.cleaned_data["findings"], _today(check.home)
        checking.finish_check(check=check, findings=found, on=day, by=request.user)

    if done(form, act):
        messages.success(request, _("The check is made."))
        return redirect("readings", check.home_id)
    return _page(request, check.home, bound=form, status=422)


def _page(
    request: StaffRequest, home: Home, *, bound: Form | None = None, status: int = 200
) -> HttpResponse:
    day = _today(home)
    rows = [(each, _reading_form(each.plant, day, bound)) for each in plants.read_at(home, day)]
    checks = [_check_form(check, bound) for check in open_checks(home)]
    made_before = isinstance(bound, CheckDoneForm) and bound not in checks
    facts = {
        "home": home,
        "plants": rows,
        "checks": checks,
        "refused": bound if made_before else None,
    }
    return render(request, "warranties/readings.html", facts, status=status)


def _reading_form(plant: Plant, day: date, bound: Form | None) -> ReadingForm:
    mine = isinstance(bound, ReadingForm) and bound.plant == plant
    return bound if mine else ReadingForm(plant=plant, today=day)  # type: ignore[return-value]


def _check_form(check: Check, bound: Form | None) -> CheckDoneForm:
    mine = isinstance(bound, CheckDoneForm) and bound.check == check
    return bound if mine else CheckDoneForm(check=check)  # type: ignore[return-value]


def _today(home: Home) -> date:
    """The day it is at the home."""
    return now().astimezone(home.tz).date()
