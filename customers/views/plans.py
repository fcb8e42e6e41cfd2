"""The plan editor: one form at a time, each change kept at once, with or without JavaScript.

With htmx the editor is swapped as a whole; without it the same forms go round by redirect.
"""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import now
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from customers import drawn
from customers.actions import planning
from customers.actions.planning import Faulty, PlanMoved, Standing
from customers.actions.planting import AskFirst
from customers.editor import shown_for_edit
from customers.forms.plans import PlanForm, StepForm
from customers.models import Home
from customers.plan.document import UnreadablePlan
from customers.plan.editing import NotEditable
from customers.views.panels import Panel, panel_of
from shared.photos import NotAPhoto
from shared.refusals import Refused
from shared.requests import StaffRequest
from shared.roles import allowed

START = "new-leg"
EDITORS = ("fit", "keep_homes")


@allowed(*EDITORS)
@require_http_methods(["GET", "HEAD", "POST"])
def edit(request: StaffRequest, pk: int, panel: str = "") -> HttpResponseBase:
    """The editor with one panel open; a POST keeps or removes what the panel is about."""
    home = get_object_or_404(Home, pk=pk)
    try:
        stood = planning.standing(home)
    except UnreadablePlan as error:
        return render(
            request, "customers/plan_unreadable.html", {"home": home, "error": error}, status=422
        )
    shown = panel_of(home, stood, panel or _first(stood), request.GET)
    if request.method != "POST":
        if shown is None:
            raise Http404("The plan has nothing of that name.")
        return _page(request, shown, shown.form())
    if shown is None:
        return _gone(request, home, stood, panel)
    form = shown.form(request.POST, request.FILES)
    if request.POST.get("do") == "remove" and shown.removable:
        form = StepForm(request.POST, document=stood.document)
        return _kept(request, shown, form, lambda: _edit(request, shown, form, shown.removed()))
    return _kept(request, shown, form, lambda: _edit(request, shown, form, shown.kept(form)))


@allowed(*EDITORS)
@require_POST
def undo(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Go back to before the last edit."""

    def act(home: Home, base: str) -> str:
        said = planning.undo(home=home, base=base, by=request.user, at=now())
        return _("Undone: {said}.").format(said=said)

    return _step(request, pk, act)


@allowed(*EDITORS)
@require_POST
def close(request: StaffRequest, pk: int) -> HttpResponseBase:
    """The home is measured: the plan as surveyed stays as it is."""

    def act(home: Home, base: str) -> str:
        on = now().astimezone(home.tz).date()
        planning.close_survey(home=home, base=base, on=on, by=request.user)
        return _("The survey is closed. What changes from now on changes the plan as it is today.")

    return _step(request, pk, act)


def _first(stood: Standing) -> str:
    """Return the panel that is open at first: the next leg, until every walk closes."""
    walks = shown_for_edit(stood.document).walks
    return "new-feature" if walks and all(walk.closes for walk in walks) else START


def _step(request: StaffRequest, pk: int, act: Callable[[Home, str], str]) -> HttpResponseBase:
    """Do what needs no more than the revision, and show the editor again."""
    home = get_object_or_404(Home, pk=pk)
    try:
        stood = planning.standing(home)
    except UnreadablePlan:
        return redirect("plan-edit", pk)
    shown = panel_of(home, stood, START, request.GET)
    assert shown is not None, "a leg can always be added"  # noqa: S101
    form = StepForm(request.POST, document=stood.document)
    return _kept(request, shown, form, lambda: act(home, form.cleaned_data["base"]))


def _edit(request: StaffRequest, shown: Panel, form: PlanForm, edit: planning.Edit) -> str:
    planning.edit_plan(
        home=shown.home,
        base=form.cleaned_data["base"],
        edit=edit,
        by=request.user,
        at=now(),
    )
    return _("Kept: {said}.").format(said=edit.said)


def _field_of(refusal: Exception) -> str | None:
    """The field at which the refusal is shown, or None for the form as a whole."""
    if isinstance(refusal, AskFirst):
        return "clearance"
    return "photo" if isinstance(refusal, NotAPhoto) else None


def _kept(
    request: StaffRequest, shown: Panel, form: PlanForm, act: Callable[[], str]
) -> HttpResponseBase:
    """Act, and show the editor anew; where it is refused, with what was typed and why."""
    if form.is_valid():
        try:
            said = act()
        except PlanMoved as moved:
            return _moved(request, shown, form, moved)
        except Faulty as faulty:
            form.add_problems(faulty.problems)
        except (Refused, NotEditable) as refusal:
            form.asks = isinstance(refusal, AskFirst)
            form.add_error(_field_of(refusal), str(refusal))
        else:
            return _anew(request, shown.home, shown.next_name, said)
    if not isinstance(form, StepForm):
        return _page(request, shown, form, status=422)
    refused = [str(each) for each in form.non_field_errors()] or [_("Try again.")]
    return _page(request, shown, shown.form(), status=422, refused=refused)


def _anew(request: StaffRequest, home: Home, name: str, said: str) -> HttpResponseBase:
    if not request.htmx:
        messages.success(request, said)
        return redirect("plan-panel", home.pk, name)
    stood = planning.standing(home)
    shown = panel_of(home, stood, name, request.POST)
    assert shown is not None, "what comes next can always be added"  # noqa: S101
    return _page(request, shown, shown.form(), said=said)


def _moved(request: StaffRequest, shown: Panel, form: PlanForm, moved: PlanMoved) -> HttpResponse:
    """Somebody was faster: say what changed, keep what was typed, let it be saved again."""
    stood = planning.standing(shown.home)
    again = panel_of(shown.home, stood, shown.name, request.GET)
    if again is None:
        return _gone(request, shown.home, stood, shown.name)
    form.rebased(stood.base)
    kept = again.form() if isinstance(form, StepForm) else form
    return _page(request, again, kept, status=409, moved=str(moved), changes=moved.changes)


def _gone(request: StaffRequest, home: Home, stood: Standing, name: str) -> HttpResponse:
    """What was being changed is no longer in the plan: what was typed can be added anew."""
    fallback = START if "length" in request.POST else "new-feature"
    shown = panel_of(home, stood, fallback, request.GET)
    assert shown is not None, "a leg or a feature can always be added"  # noqa: S101
    form = shown.form(request.POST, request.FILES)
    form.rebased(stood.base)
    gone = _("{name} was taken out of the plan meanwhile. What you typed is below: add it anew?")
    return _page(
        request, shown, form, status=409, moved=gone.format(name=name.replace("-", " ")), changes=[]
    )


def _page(
    request: StaffRequest, shown: Panel, form: PlanForm, *, status: int = 200, **more: Any
) -> HttpResponse:
    home, stood = shown.home, shown.stood
    on = now().astimezone(home.tz).date()
    plan = stood.plan
    context = {
        "home": home,
        "stood": stood,
        "panel": shown,
        "form": form,
        "ring": drawn.shown(home, plan, on=on) if plan else None,
        "listed": shown_for_edit(stood.document),
        "step": planning.last_step(plan),
        **more,
    }
    template = "customers/_plan_editor.html" if request.htmx else "customers/plan_edit.html"
    return render(request, template, context, status=status)
