"""The plan to take away: as SVG, as DXF, on paper; and two of its versions compared."""

from django import forms
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils.text import slugify
from django.utils.timezone import now
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_safe

from customers import drawn
from customers.models import Home, Plan
from customers.models.plan import plan_stages
from customers.plan.compare import differences
from customers.plan.document import PlanDocument, UnreadablePlan
from customers.plan.drawing import Drawing, as_dxf
from shared.requests import StaffRequest
from shared.roles import allowed


class CompareForm(forms.Form):
    before = forms.ChoiceField(label=_("From"), choices=plan_stages)
    after = forms.ChoiceField(label=_("To"), choices=plan_stages)


@allowed("see_homes")
@require_safe
def svg(_request: StaffRequest, pk: int, stage: str) -> HttpResponse:
    """The drawing of that version as a file of its own."""
    ring, _picture = _ring(pk, stage)
    response = HttpResponse(ring.drawing, content_type="image/svg+xml")
    response.headers["Content-Disposition"] = _named(ring, "svg")
    # Opened by itself the file may run and fetch nothing.
    response.headers["Content-Security-Policy"] = "default-src 'none'; sandbox"
    return response


@allowed("see_homes")
@require_safe
def dxf(_request: StaffRequest, pk: int, stage: str) -> HttpResponse:
    """The drawing of that version for a drawing program, in millimetres."""
    ring, picture = _ring(pk, stage)
    response = HttpResponse(as_dxf(picture), content_type="image/vnd.dxf")
    response.headers["Content-Disposition"] = _named(ring, "dxf")
    return response


@allowed("see_homes")
@require_safe
def paper(request: StaffRequest, pk: int, stage: str) -> HttpResponse:
    """The drawing and the plan in words on one page, for Letter and A4."""
    return render(request, "customers/plan_paper.html", {"ring": _ring(pk, stage)[0]})


@allowed("see_homes")
@require_safe
def compare(request: StaffRequest, pk: int) -> HttpResponse:
    """What differs between two versions of the plan, in words."""
    home, stages = get_object_or_404(Home, pk=pk), dict(plan_stages())
    plans = {plan.stage: plan for plan in Plan.objects.filter(home=home) if plan.document}
    kept = [stage for stage in stages if stage in plans]
    first, last = (kept[0], kept[-1]) if kept else ("surveyed", "today")
    form = CompareForm({"before": first, "after": last, **request.GET.dict()})
    page = {"home": home, "form": form, "kept": [stages[stage] for stage in kept]}
    if form.is_valid():
        before, after = form.cleaned_data["before"], form.cleaned_data["after"]
        missing = [stages[stage] for stage in (before, after) if stage not in plans]
        page |= {"missing": missing, "before": stages[before], "after": stages[after]}
        if not missing:
            page |= _differences(plans[before], plans[after])
    return render(request, "customers/plan_compare.html", page)


def _differences(before: Plan, after: Plan) -> dict[str, object]:
    try:
        found = differences(
            PlanDocument.from_json(before.document),
            PlanDocument.from_json(after.document),
            translate=gettext,
        )
    except UnreadablePlan as error:
        return {"unreadable": str(error)}
    return {"differences": found}


def _ring(pk: int, stage: str) -> tuple[drawn.ShownPlan, Drawing]:
    """Raises Http404 where there is no such plan, or nothing in it that can be drawn."""
    home = get_object_or_404(Home, pk=pk)
    plan = get_object_or_404(Plan, home=home, stage=stage)
    try:
        ring = drawn.shown(home, plan, on=now().astimezone(home.tz).date())
    except UnreadablePlan as error:
        raise Http404(str(error)) from error
    if ring.picture is None:
        raise Http404("There is nothing to draw yet.")
    return ring, ring.picture


def _named(ring: drawn.ShownPlan, ending: str) -> str:
    name = slugify(f"plan {ring.home.street} {ring.plan.get_stage_display()}")
    return f'attachment; filename="{name}.{ending}"'
