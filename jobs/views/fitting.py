"""One job at the home: what is fitted, what it took, the proof, the hand-over."""

from collections.abc import Callable
from datetime import date
from typing import Any

from django.contrib import messages
from django.forms import Form
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import now
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from customers.plan.contacts import surface_names
from customers.plan.document import in_words
from customers.plan.problems import Caution, cautions
from jobs.actions import costing, fitting, proving
from jobs.asfitted import Place
from jobs.forms.fitting import FinishForm, HoursForm, MarkForm, MaterialForm, ProofForm
from jobs.models import Cost, Crew, FittedDetail, Job
from shared.answers import done
from shared.requests import StaffRequest
from shared.roles import allowed


@allowed("fit")
@require_GET
def page(request: StaffRequest, number: str) -> HttpResponse:
    return _page(request, _job(request, number))


@allowed("fit")
@require_POST
def mark(request: StaffRequest, number: str) -> HttpResponseBase:
    job = _job(request, number)
    form = MarkForm(request.POST, request.FILES, places=_places(job))
    return _done(
        request,
        job,
        ("mark", form),
        lambda: fitting.mark_fitted(
            job=job,
            fitting=form.fitting(),
            photographs=form.photographs(job.home.tz),
            by=request.user,
            at=now(),
        ),
    )


@allowed("fit")
@require_POST
def unmark(request: StaffRequest, number: str, pk: int) -> HttpResponseBase:
    job = _job(request, number)
    detail = get_object_or_404(FittedDetail, job=job, pk=pk)
    return _done(request, job, None, lambda: fitting.unmark(detail=detail))


@allowed("fit")
@require_POST
def add_material(request: StaffRequest, number: str) -> HttpResponseBase:
    job = _job(request, number)
    form = MaterialForm(request.POST, day=_today(job))
    return _done(
        request,
        job,
        ("material", form),
        lambda: costing.add_material(
            job=job,
            material=form.material(),
            on=form.cleaned_data["on"],
            by=request.user,
            again=form.cleaned_data["again"],
        ),
    )


@allowed("fit")
@require_POST
def add_hours(request: StaffRequest, number: str) -> HttpResponseBase:
    job = _job(request, number)
    form = HoursForm(request.POST, day=_today(job), crew=job.crew)
    return _done(
        request,
        job,
        ("hours", form),
        lambda: costing.add_hours(job=job, by=request.user, **form.cleaned_data),
    )


@allowed("fit")
@require_POST
def take_back(request: StaffRequest, number: str, pk: int) -> HttpResponseBase:
    job = _job(request, number)
    cost = get_object_or_404(Cost, job=job, reason="fitting", pk=pk)
    return _done(request, job, None, lambda: costing.take_back(cost=cost))


@allowed("fit")
@require_POST
def finish(request: StaffRequest, number: str) -> HttpResponseBase:
    job = _job(request, number)
    form = FinishForm(request.POST)

    def act() -> None:
        try:
            fitting.finish_fitting(job=job, on=_today(job), **form.cleaned_data)
        except fitting.NotAllMarked:
            form.asks = True
            raise

    return _done(request, job, ("finish", form), act)


@allowed("fit")
@require_POST
def prove(request: StaffRequest, number: str) -> HttpResponseBase:
    job = _job(request, number)
    form = ProofForm(request.POST)
    return _done(
        request,
        job,
        ("proof", form),
        lambda: proving.prove(job=job, by=request.user, at=now(), **form.cleaned_data),
    )


@allowed("fit")
@require_POST
def hand_over(request: StaffRequest, number: str) -> HttpResponseBase:
    job = _job(request, number)
    return _done(request, job, None, lambda: proving.hand_over(job=job, at=now()))


def _done(
    request: StaffRequest,
    job: Job,
    named: tuple[str, Form] | None,
    act: Callable[[], object],
) -> HttpResponseBase:
    """Act and go back to the page; where it is refused, the page again with what was typed."""
    form = named[1] if named else Form({})
    if done(form, act):
        messages.success(request, _("Kept."))
        return redirect("fitting", job.number)
    forms = {named[0]: form} if named else {}
    return _page(request, job, status=422, refused=form, **forms)


def _page(
    request: StaffRequest,
    job: Job,
    *,
    status: int = 200,
    refused: Form | None = None,
    **forms: Form,
) -> HttpResponse:
    day, unfinished = _today(job), job.stage in fitting.MAY_BE_FITTED
    context: dict[str, Any] = {
        "job": job,
        "details": job.fitted_details.prefetch_related("photos").order_by("pk"),
        "costs": job.costs.filter(reason="fitting").select_related("by"),
        "cautions": _cautions(job),
        "unfinished": unfinished,
        "refused": refused if forms.keys() <= _not_shown(job) else None,
        "missing": proving.missing_for_proof(job, on=day) if unfinished else [],
        "mark_form": forms.get("mark") or MarkForm(places=_places(job)),
        "material_form": forms.get("material") or MaterialForm(day=day),
        "hours_form": forms.get("hours") or HoursForm(day=day, crew=_crew(request, job)),
        "finish_form": forms.get("finish"),
        "proof_form": forms.get("proof") or ProofForm(),
    }
    return render(request, "jobs/fitting.html", context, status=status)


def _not_shown(job: Job) -> set[str]:
    """The forms that the page leaves out at this stage, and the one that is but a button: their
    refusal stands on top of it."""
    shown = {"mark": job.stage in fitting.MAY_BE_FITTED, "proof": job.stage == "fitted"}
    return {"finish"} | {name for name, is_shown in shown.items() if not is_shown}


def _job(request: StaffRequest, number: str) -> Job:
    jobs = Job.objects.of(request.user).select_related("home", "household", "crew")
    return get_object_or_404(jobs, number=number)


def _today(job: Job) -> date:
    """The day it is at the home."""
    return now().astimezone(job.home.tz).date()


def _places(job: Job) -> list[Place]:
    """Return the places of the home's plan; none without one, or with one that is unreadable."""
    try:
        return fitting.places_to_fit(job.home)
    except fitting.NotFittable:
        return []


def _cautions(job: Job) -> list[tuple[str, Caution]]:
    """Return what to mind, each with the name of its place."""
    try:
        document = fitting.plan_to_fit(job.home)
    except fitting.NotFittable:
        return []
    if document is None:
        return []
    names = surface_names(document)
    return [(names.get(each.where, in_words(each.where)), each) for each in cautions(document)]


def _crew(request: StaffRequest, job: Job) -> Crew | None:
    return job.crew or Crew.objects.filter(members=request.user, active=True).first()
