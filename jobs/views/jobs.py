"""A job: asked for, looked at, closed; its payments."""

from datetime import date, datetime
from typing import Any, NamedTuple

from django.contrib import messages
from django.db import transaction
from django.db.models import Prefetch, prefetch_related_objects
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from customers.actions import HomeKnown, open_home
from customers.forms import ConsentForm, HomeForm, HouseholdForm
from customers.models import Home, Household
from jobs.actions import asking, paying
from jobs.forms.agreeing import WaiverForm
from jobs.forms.asking import DayForm, JobForm, ReasonForm
from jobs.forms.paying import PaymentForm
from jobs.models import Booking, Job, Payment
from jobs.models.job import BEFORE_AGREEMENT, BEFORE_FITTING, ON_THE_PATH, stages
from jobs.models.offer import OPEN
from jobs.tray import next_step
from shared.answers import done, made
from shared.requests import StaffRequest
from shared.roles import allowed


def find_job(number: str) -> Job:
    jobs = Job.objects.select_related("home", "household", "crew")
    return get_object_or_404(jobs, number=number)


@allowed("sell")
@require_http_methods(["GET", "POST"])
def new(request: StaffRequest) -> HttpResponse:
    """An enquiry: for a home that we know (?home=), or with a new home and household."""
    home = _known_home(request.GET.get("home", ""))
    if home:
        return _new_at_known_home(request, home)
    data = request.POST or None
    forms = {
        "household_form": HouseholdForm(data, prefix="household"),
        "home_form": HomeForm(data, prefix="home"),
        "consent_form": ConsentForm(data, prefix="consent"),
        "job_form": JobForm(data, prefix="job"),
    }
    if all(form.is_valid() for form in forms.values()):
        try:
            return redirect(_ask_at_new_home(forms, timezone.now()))
        except HomeKnown as known:
            return render(request, "jobs/job_new.html", {**forms, "known": known.home}, status=422)
    return render(request, "jobs/job_new.html", forms, status=422 if data else 200)


def _known_home(key: str) -> Home | None:
    if not key:
        return None
    homes = Home.objects.prefetch_related("ownerships__household")
    return get_object_or_404(homes, pk=key if key.isdecimal() else 0)


@transaction.atomic
def _ask_at_new_home(forms: dict[str, Any], at: datetime) -> Job:
    """Enter home, household and job, all or nothing. Raises HomeKnown."""
    household = forms["household_form"].save(commit=False)
    home = open_home(
        household=household,
        home=forms["home_form"].save(commit=False),
        said=forms["consent_form"].said(),
        at=at,
    )
    return _ask(home, household, at.astimezone(home.tz).date(), forms["job_form"])


def _ask(home: Home, household: Household, on: date, form: JobForm) -> Job:
    return asking.ask(home=home, household=household, on=on, **form.cleaned_data)


def _new_at_known_home(request: StaffRequest, home: Home) -> HttpResponse:
    household = home.household()
    form = JobForm(request.POST if request.method == "POST" else None, prefix="job")
    on = timezone.localdate(timezone=home.tz)
    if household and (job := made(form, lambda: _ask(home, household, on, form))):
        return redirect(job)
    page = {"home": home, "household": household, "job_form": form}
    return render(request, "jobs/job_new.html", page, status=422 if form.is_bound else 200)


@allowed("sell", "book")
@require_GET
def job(request: StaffRequest, number: str) -> HttpResponse:
    return render(request, "jobs/job.html", page_of(find_job(number)))


def page_of(job: Job, **changed: Any) -> dict[str, Any]:
    """All that the job's page shows. Five queries."""
    visits = Booking.objects.select_related("crew").order_by("starts_at")
    prefetch_job(job, visits)
    offers, payments = list(job.offers.all()), list(job.payments.all())
    agreed = next((offer for offer in offers if offer.state == "agreed"), None)
    at = timezone.now()
    today = timezone.localdate(at, job.home.tz)
    return {
        "job": job,
        "path": path_of(job),
        "step": next_step(job, at),
        "offers": offers,
        "agreed": agreed,
        "cooling": agreed is not None and (agreed.held_until() or at) > at,
        "totals": agreed.totals() if agreed else None,
        "open_offer": next((offer for offer in offers if offer.state in OPEN), None),
        "may_offer": job.stage in BEFORE_AGREEMENT,
        "may_cancel": job.stage in BEFORE_FITTING,
        "visits": job.bookings.all(),
        "payments": payments,
        "due": paying.due_of(job, agreed, payments),
        "payment_form": PaymentForm(initial={"received_on": today}),
        "reason_form": ReasonForm(),
        "waiver_form": WaiverForm(),
        "day_form": DayForm(initial={"on": today}),
        **changed,
    }


class OnThePath(NamedTuple):
    word: str
    passed: bool
    now: bool


def path_of(job: Job) -> list[OnThePath]:
    """The stages from asked to handed over, and where the job is."""
    words = dict(stages())
    here = ON_THE_PATH.index(job.stage) if job.stage in ON_THE_PATH else 0
    return [
        OnThePath(words[stage], passed=place < here, now=place == here)
        for place, stage in enumerate(ON_THE_PATH)
    ]


def prefetch_job(job: Job, visits: Any) -> None:
    """Load offers with lines, payments and visits onto the job. Four queries."""
    prefetch_related_objects([job], "offers__lines", "payments", Prefetch("bookings", visits))


@allowed("sell")
@require_POST
def measured(request: StaffRequest, number: str) -> HttpResponse:
    job = find_job(number)
    form = DayForm(request.POST)
    if done(form, lambda: asking.measure(job=job, on=form.cleaned_data["on"])):
        return redirect(job)
    return render(request, "jobs/job.html", page_of(job, day_form=form), status=422)


@allowed("sell")
@require_POST
def close(request: StaffRequest, number: str) -> HttpResponse:
    """Decline a job before an agreement, cancel it after one."""
    job = find_job(number)
    form = ReasonForm(request.POST)
    end = asking.cancel if job.stage in BEFORE_FITTING else asking.decline
    if done(form, lambda: end(job=job, reason=form.cleaned_data["reason"], at=timezone.now())):
        messages.success(request, f"Job {job.number} is {job.get_stage_display()}.")
        return redirect(job)
    return render(request, "jobs/job.html", page_of(job, reason_form=form), status=422)


@allowed("sell")
@require_POST
def pay(request: StaffRequest, number: str) -> HttpResponse:
    job = find_job(number)
    form = PaymentForm(request.POST)
    at = timezone.now()
    if done(form, lambda: paying.record_payment(job=job, payment=form.payment(), at=at)):
        messages.success(request, "The payment is kept.")
        return redirect(f"{job.get_absolute_url()}#payments")
    return render(request, "jobs/job.html", page_of(job, payment_form=form), status=422)


@allowed("sell")
@require_GET
def receipt(request: StaffRequest, pk: int) -> HttpResponse:
    """A receipt to print: what was paid, for which job, what is still due."""
    payments = Payment.objects.select_related("job__home", "job__household")
    payment = get_object_or_404(payments, pk=pk)
    page = {
        "payment": payment,
        "job": payment.job,
        "due": paying.due(payment.job),
        "amount": abs(payment.amount),
    }
    return render(request, "jobs/receipt.html", page)
