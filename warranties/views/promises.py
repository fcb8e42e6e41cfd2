"""The promises: their list, one promise, and what may be done with it."""

from collections.abc import Callable
from datetime import date
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.forms import Form
from django.http import Http404, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import now
from django.views.decorators.http import require_GET, require_POST

from customers.drawn import ring_facts
from shared.answers import done, pdf_answer
from shared.paging import ROWS
from shared.requests import StaffRequest
from shared.roles import allowed
from warranties import tasks
from warranties.actions import promising, standing, transferring
from warranties.certificate import print_check_plan
from warranties.certificate.reading import paper_faults, price_of
from warranties.disclosures import due
from warranties.finding import promises_found
from warranties.forms.promises import CheckForm, EndForm, PlantForm, ReasonForm
from warranties.models import Certificate, CheckPlan, Promise, Transfer
from warranties.models.promise import named_holders
from warranties.notices import letter
from warranties.tables import PromiseTable

LISTED = ("in-force", "suspended", "ended")


@allowed("promise")
@require_GET
def promises(request: StaffRequest) -> HttpResponse:
    """All promises, newest first; by state or found by words."""
    state, find = request.GET.get("state", ""), request.GET.get("find", "").strip()
    shown = Promise.objects.select_related("home", "holder").order_by("-pk")
    if state in LISTED:
        shown = shown.filter(state=state)
    if find:
        shown = shown.filter(pk__in=[each.pk for each in promises_found(find)])
    page = Paginator(shown, ROWS).get_page(request.GET.get("page"))
    context = {
        "table": PromiseTable(page.object_list),
        "page": page,
        "state": state,
        "find": find,
    }
    return render(request, "warranties/promises.html", context)


@allowed("promise", "see_homes")
@require_GET
def promise(request: StaffRequest, number: str) -> HttpResponse:
    return _page(request, _promise(number))


@allowed("promise", "see_homes")
@require_GET
def certificate(_request: StaffRequest, number: str, edition: int) -> HttpResponse:
    """The PDF; made here and now where no worker has come to it yet."""
    shown = get_object_or_404(_promise(number).certificates, edition=edition)
    printed = promising.print_out(certificate=shown)
    with printed.file.open() as file:
        return pdf_answer(file.read(), f"{number}-{edition}.pdf")


@allowed("promise")
@require_GET
def certificate_read(request: StaffRequest, number: str, edition: int) -> HttpResponse:
    """What the law looks for on the issued pages, and what is missing there."""
    certificates = Certificate.objects.select_related("promise__job", "promise__terms")
    shown = get_object_or_404(certificates, promise__number=number, edition=edition)
    printed = promising.print_out(certificate=shown)
    price = price_of(printed)
    with printed.file.open() as file:
        faults = paper_faults(printed, file.read())
    context = {"certificate": printed, "faults": faults, "price": price, "due": due(price)}
    return render(request, "warranties/certificate_read.html", context)


@allowed("promise")
@require_GET
def certificate_for_post(_request: StaffRequest, number: str) -> HttpResponse:
    """The current certificate behind an address page for a window envelope."""
    shown = _promise(number).certificates.current().first()
    if shown is None:
        raise Http404("No certificate was issued yet.")
    printed = promising.print_out(certificate=shown)
    return pdf_answer(letter.certificate_for_post(printed, at=now()), f"{number}-post.pdf")


@allowed("promise", "see_homes")
@require_GET
def check_plan(_request: StaffRequest, number: str) -> HttpResponse:
    """The paper of a check plan."""
    plan = get_object_or_404(CheckPlan, number=number)
    return pdf_answer(print_check_plan(plan), f"{number}.pdf")


@allowed("promise")
@require_POST
def issue(request: StaffRequest, number: str) -> HttpResponseBase:
    """Write the next edition of the certificate."""
    shown, form = _promise(number), ReasonForm(request.POST)

    def act() -> None:
        made = standing.issue_again(promise=shown, by=request.user, at=now(), **form.cleaned_data)
        tasks.print_soon(made.pk)

    return _done(request, shown, ("issue", form), act)


@allowed("promise")
@require_POST
def suspend(request: StaffRequest, number: str) -> HttpResponseBase:
    shown = _promise(number)
    form = PlantForm(request.POST, home=shown.home)
    return _done(
        request,
        shown,
        ("suspend", form),
        lambda: standing.suspend(promise=shown, by=request.user, at=now(), **form.cleaned_data),
    )


@allowed("promise")
@require_POST
def reinstate(request: StaffRequest, number: str) -> HttpResponseBase:
    shown = _promise(number)
    form = CheckForm(request.POST, home=shown.home)
    return _done(
        request,
        shown,
        ("reinstate", form),
        lambda: standing.reinstate(promise=shown, by=request.user, at=now(), **form.cleaned_data),
    )


@allowed("promise")
@require_POST
def end(request: StaffRequest, number: str) -> HttpResponseBase:
    shown = _promise(number)
    form = EndForm(request.POST, day=_today(shown))
    return _done(
        request,
        shown,
        ("end", form),
        lambda: standing.end(promise=shown, by=request.user, at=now(), **form.cleaned_data),
    )


@allowed("promise")
@require_POST
def drop_transfer(request: StaffRequest, number: str) -> HttpResponseBase:
    shown = _promise(number)
    transfer = _open_transfer(shown)
    if transfer is None:
        raise Http404("No transfer is open.")
    return _done(
        request,
        shown,
        ("transfer", Form({})),
        lambda: transferring.drop_transfer(transfer=transfer, at=now()),
    )


def _done(
    request: StaffRequest, shown: Promise, named: tuple[str, Form], act: Callable[[], object]
) -> HttpResponseBase:
    """Act and go back to the page; where it is refused, the page again with what was typed."""
    name, form = named
    if done(form, act):
        messages.success(request, "Kept.")
        return redirect(shown)
    return _page(request, shown, status=422, **{name: form})


def _page(
    request: StaffRequest, shown: Promise, *, status: int = 200, **forms: Form
) -> HttpResponse:
    plan = shown.home.check_plans.first()
    holders, certificates = named_holders(shown), list(shown.certificates.all())
    context: dict[str, Any] = {
        "promise": shown,
        "holders": holders,
        "certificates": certificates,
        "renamed": _named_otherwise(certificates, holders),
        "changes": shown.changes.select_related("by"),
        **_on_its_way(shown),
        **ring_facts(shown.home, on=_today(shown)),
        "plan": plan,
        "checks": plan.checks.all() if plan else [],
        "refused": forms.get("transfer"),
        "issue_form": forms.get("issue") or ReasonForm(),
        "suspend_form": forms.get("suspend") or PlantForm(home=shown.home),
        "reinstate_form": forms.get("reinstate") or CheckForm(home=shown.home),
        "end_form": forms.get("end") or EndForm(day=_today(shown)),
        "asked": next(iter(forms), ""),
    }
    return render(request, "warranties/promise.html", context, status=status)


def _named_otherwise(certificates: list[Certificate], holders: str) -> str:
    """Whom the certificate that stands names, where that is not who holds it now; else ""."""
    current = next((each for each in certificates if each.replaced_at is None), None)
    named = str(current.record.get("holder", "")) if current else ""
    return "" if named == holders else named


def _promise(number: str) -> Promise:
    shown = Promise.objects.select_related("home", "holder", "terms", "job")
    return get_object_or_404(shown, number=number)


def _open_transfer(shown: Promise) -> Transfer | None:
    return shown.transfers.open().select_related("new").first()


def _on_its_way(shown: Promise) -> dict[str, Any]:
    transfer = _open_transfer(shown)
    voices = transfer.voices.select_related("household", "link") if transfer else []
    return {"transfer": transfer, "voices": voices}


def _today(shown: Promise) -> date:
    """The day it is at the home."""
    return now().astimezone(shown.home.tz).date()
