"""Callbacks: taken on the telephone, looked at on site, decided, closed."""

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.forms import Form
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import now
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from jobs.actions import costing
from jobs.forms.fitting import HoursForm, MaterialForm
from jobs.models import Cost, Crew
from shared.answers import done
from shared.paging import ROWS
from shared.refusals import Refused
from shared.requests import StaffRequest
from shared.roles import allowed
from warranties.actions import callbacks as actions
from warranties.finding import promises_found
from warranties.forms.callbacks import (
    DecisionForm,
    FindingsForm,
    FindPromiseForm,
    PriceForm,
    ReportForm,
)
from warranties.models import Callback, Promise
from warranties.record import home_record
from warranties.tables import CallbackTable


@allowed("fit", "decide")
@require_GET
def callbacks(request: StaffRequest) -> HttpResponse:
    """All callbacks, or with ?only=open those that still wait for a hand."""
    only_open = request.GET.get("only") == "open"
    found = Callback.objects.for_a_page()
    page = Paginator(found.open() if only_open else found, ROWS).get_page(request.GET.get("page"))
    return render(
        request,
        "warranties/callbacks.html",
        {"table": CallbackTable(page.object_list), "page": page, "only_open": only_open},
    )


@allowed("fit", "decide")
@require_GET
def find(request: StaffRequest) -> HttpResponse:
    """Which promise is it about?"""
    form = FindPromiseForm(request.GET)
    asked = form.cleaned_data["find"] if form.is_valid() else ""
    context = {"form": form, "asked": asked, "promises": promises_found(asked)}
    return render(request, "warranties/callback_find.html", context)


@allowed("fit", "decide")
@require_http_methods(["GET", "HEAD", "POST"])
def new(request: StaffRequest, number: str) -> HttpResponseBase:
    """Take the household's report about this promise."""
    promise = get_object_or_404(Promise.objects.select_related("home", "holder"), number=number)
    form = ReportForm(request.POST or None)
    if form.is_valid():
        try:
            callback = actions.log_callback(promise=promise, at=now(), **form.cleaned_data)
        except Refused as refusal:
            form.add_error(None, str(refusal))
        else:
            return redirect(callback)
    status = 422 if form.is_bound else 200
    context = {"promise": promise, "form": form}
    return render(request, "warranties/callback_new.html", context, status=status)


@allowed("fit", "decide")
@require_GET
def callback(request: StaffRequest, number: str) -> HttpResponse:
    return _page(request, _callback(number))


@allowed("decide")
@require_POST
def price(request: StaffRequest, number: str) -> HttpResponseBase:
    """Note the price of the visit, before anybody goes there."""
    shown, form = _callback(number), PriceForm(request.POST)
    return _done(
        request,
        shown,
        ("price", form),
        lambda: actions.agree_price(
            callback=shown, price=form.cleaned_data["price_agreed"] or Decimal(0)
        ),
    )


@allowed("fit", "decide")
@require_POST
def findings(request: StaffRequest, number: str) -> HttpResponseBase:
    shown = _callback(number)
    form = FindingsForm(request.POST, request.FILES, home=shown.promise.home)
    return _done(
        request,
        shown,
        ("findings", form),
        lambda: actions.record_findings(
            callback=shown,
            found=form.found(),
            photographs=form.photographs(shown.promise.home.tz),
            by=request.user,
            at=now(),
        ),
    )


@allowed("decide")
@require_POST
def decide(request: StaffRequest, number: str) -> HttpResponseBase:
    shown, form = _callback(number), DecisionForm(request.POST)
    return _done(
        request,
        shown,
        ("decision", form),
        lambda: actions.decide(callback=shown, by=request.user, at=now(), **form.cleaned_data),
    )


@allowed("fit", "decide")
@require_POST
def add_material(request: StaffRequest, number: str) -> HttpResponseBase:
    shown = _callback(number)
    form = MaterialForm(request.POST, day=_today(shown))
    return _done(
        request,
        shown,
        ("material", form),
        lambda: costing.add_material(
            job=actions.job_of(shown),
            material=form.material(),
            on=form.cleaned_data["on"],
            by=request.user,
            callback=shown.number,
            again=form.cleaned_data["again"],
        ),
    )


@allowed("fit", "decide")
@require_POST
def add_hours(request: StaffRequest, number: str) -> HttpResponseBase:
    shown = _callback(number)
    form = HoursForm(request.POST, day=_today(shown), crew=None)
    return _done(
        request,
        shown,
        ("hours", form),
        lambda: costing.add_hours(
            job=actions.job_of(shown),
            by=request.user,
            callback=shown.number,
            **form.cleaned_data,
        ),
    )


@allowed("decide")
@require_POST
def close(request: StaffRequest, number: str) -> HttpResponseBase:
    shown = _callback(number)
    return _done(request, shown, None, lambda: actions.close(callback=shown, at=now()))


def _done(
    request: StaffRequest,
    shown: Callback,
    named: tuple[str, Form] | None,
    act: Callable[[], object],
) -> HttpResponseBase:
    """Act and go back to the page; where it is refused, the page again with what was typed."""
    form = named[1] if named else Form({})
    if done(form, act):
        messages.success(request, _("Kept."))
        return redirect(shown)
    forms = {named[0]: form} if named else {}
    return _page(request, shown, status=422, refused=None if named else form, **forms)


def _page(
    request: StaffRequest,
    shown: Callback,
    *,
    status: int = 200,
    refused: Form | None = None,
    **forms: Form,
) -> HttpResponse:
    day = _today(shown)
    crew = Crew.objects.filter(members=request.user, active=True).first()
    context: dict[str, Any] = {
        "callback": shown,
        "record": home_record(shown.promise.home, on=day, beside=shown),
        "costs": Cost.objects.filter(reference=shown.number, reason="promise"),
        "history": shown.history.select_related("history_user").order_by("-history_date")[:20],
        "refused": refused,
        "findings_form": forms.get("findings") or FindingsForm.of(shown),
        "price_form": forms.get("price") or PriceForm(initial={"price_agreed": shown.price_agreed}),
        "decision_form": forms.get("decision") or DecisionForm.of(shown),
        "material_form": forms.get("material") or MaterialForm(day=day),
        "hours_form": forms.get("hours") or HoursForm(day=day, crew=crew),
    }
    return render(request, "warranties/callback.html", context, status=status)


def _callback(number: str) -> Callback:
    shown = Callback.objects.for_a_page().select_related("decided_by", "detail")
    return get_object_or_404(shown, number=number)


def _today(shown: Callback) -> date:
    """The day it is at the home."""
    return now().astimezone(shown.promise.home.tz).date()
