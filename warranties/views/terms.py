"""The terms: what is in force, every version, a new one, counsel's name."""

from django.contrib import messages
from django.http import Http404, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import now
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from shared.models import languages
from shared.refusals import Refused
from shared.requests import StaffRequest
from shared.roles import allowed
from warranties.actions import terming
from warranties.certificate.record import common_values
from warranties.clauses import fill, read_clauses
from warranties.forms.promises import CounselForm, TermsForm
from warranties.models import Terms
from warranties.models.terms import papers


@allowed("keep_firm")
@require_GET
def all_terms(request: StaffRequest) -> HttpResponse:
    """Both papers in each language, newest first."""
    shown = Terms.objects.order_by("-paper", "language", "-version")
    return render(request, "warranties/all_terms.html", {"terms": shown})


@allowed("keep_firm")
@require_POST
def drafts(_request: StaffRequest) -> HttpResponseBase:
    """Bring in the shipped drafts of papers that have no terms yet."""
    terming.load_drafts(at=now())
    return redirect("all-terms")


@allowed("keep_firm", "promise")
@require_GET
def terms(request: StaffRequest, paper: str, language: str, version: int) -> HttpResponse:
    shown = get_object_or_404(Terms, paper=paper, language=language, version=version)
    return _page(request, shown, CounselForm())


@allowed("keep_firm")
@require_POST
def counsel(request: StaffRequest, paper: str, language: str, version: int) -> HttpResponseBase:
    """Note who has read this version."""
    shown = get_object_or_404(Terms, paper=paper, language=language, version=version)
    form = CounselForm(request.POST)
    if not form.is_valid():
        return _page(request, shown, form, status=422)
    terming.record_counsel(terms=shown, **form.cleaned_data)
    messages.success(request, "Noted. Certificates issued from now on say so.")
    return redirect(shown)


@allowed("keep_firm")
@require_http_methods(["GET", "HEAD", "POST"])
def terms_new(request: StaffRequest, paper: str, language: str) -> HttpResponseBase:
    """Write a new version, beginning from the newest. Its life has no default."""
    if paper not in dict(papers()) or language not in dict(languages()):
        raise Http404("No such paper.")
    newest = Terms.objects.newest(language, paper)
    form = TermsForm(request.POST or None, paper=paper, initial=_begin_with(newest))
    found = []
    if form.is_valid():
        try:
            made = terming.save_terms(
                paper=paper, language=language, wording=form.wording(), at=now()
            )
        except terming.TermsIncomplete as refusal:
            found = list(refusal.faults)
        except Refused as refusal:
            form.add_error(None, str(refusal))
        else:
            return redirect(made)
    context = {
        "form": form,
        "faults": found,
        "paper": dict(papers())[paper],
        "language": dict(languages())[language],
    }
    status = 422 if form.is_bound else 200
    return render(request, "warranties/terms_new.html", context, status=status)


def _begin_with(newest: Terms | None) -> dict[str, object]:
    """What a new version begins from: all but its basis, and nobody's approval."""
    if newest is None:
        return {}
    return {
        "title": newest.title,
        "suspend_after_notices": newest.suspend_after_notices,
        "years": newest.years,
        "body": newest.body,
    }


def _page(
    request: StaffRequest, shown: Terms, form: CounselForm, *, status: int = 200
) -> HttpResponse:
    wording = terming.Wording(title=shown.title, body=shown.body, basis=shown.basis)
    context = {
        "terms": shown,
        "clauses": read_clauses(fill(shown.body, common_values(shown))),
        "faults": terming.wording_faults(shown.paper, shown.language, wording),
        "newest": Terms.objects.newest(shown.language, shown.paper) == shown,
        "given": shown.promises.count() + shown.check_plans.count(),
        "form": form,
    }
    return render(request, "warranties/terms.html", context, status=status)
