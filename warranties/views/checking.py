"""The public page behind the code on a certificate."""

from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET

from warranties.certificate import standing_of


@require_GET
def check_any(request: HttpRequest) -> HttpResponseBase:
    """Ask for a number."""
    if number := request.GET.get("number", "").strip():
        return redirect("check", number.replace("/", " ")[:40])
    return render(request, "warranties/check.html", {})


@never_cache
@require_GET
def check(request: HttpRequest, number: str) -> HttpResponse:
    return render(request, "warranties/check.html", {"verdict": standing_of(number)})
