"""Like callbacks that were decided unlike: what the office should answer for, or mend."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from shared.requests import StaffRequest
from shared.roles import allowed
from warranties.decision import unlike
from warranties.models import Callback
from warranties.proposing import decided


@allowed("promise")
@require_GET
def unlike_cases(request: StaffRequest) -> HttpResponse:
    """Groups of the same cause and the same proposal with more than one decision. Two queries."""
    groups = unlike(decided())
    numbers = [case.number for group in groups for case in group]
    found = Callback.objects.for_a_page().select_related("decided_by")
    by_number = {each.number: each for each in found.filter(number__in=numbers)}
    shown = [[by_number[case.number] for case in group] for group in groups]
    return render(request, "warranties/callbacks_unlike.html", {"groups": shown})
