"""The public pages behind the code on a certificate: a number, or the file itself."""

from hashlib import sha256

from django.http import HttpRequest, HttpResponse, HttpResponseBase, JsonResponse
from django.shortcuts import redirect, render
from django.utils.timezone import now
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST

from shared.signin import client_ip
from shared.tallying import tally
from warranties.certificate import Verdict, standing_of, verify
from warranties.certificate.schema import json_schema
from warranties.forms.promises import UploadForm
from warranties.models import Certificate

MINUTE = 60
NUMBERS_A_MINUTE = 30
FILES_A_MINUTE = 6


@require_GET
def check_any(request: HttpRequest) -> HttpResponseBase:
    """Ask for a number."""
    if number := request.GET.get("number", "").strip():
        return redirect("check", number.replace("/", " ")[:40])
    return _page(request)


@never_cache
@require_GET
def check(request: HttpRequest, number: str) -> HttpResponse:
    if _too_many(request, "number", NUMBERS_A_MINUTE):
        return _page(request, refusal=_("Too many questions. Wait a minute."), status=429)
    verdict = standing_of(number)
    newest = Certificate.objects.current().filter(promise__number=verdict.number).first()
    return _page(request, verdict=verdict, newest=newest)


@never_cache
@require_POST
def check_file(request: HttpRequest) -> HttpResponse:
    """Say what a file is. It is read in memory and not kept."""
    if _too_many(request, "file", FILES_A_MINUTE):
        return _page(request, refusal=_("Too many questions. Wait a minute."), status=429)
    form = UploadForm(request.POST, request.FILES)
    if not form.is_valid():
        return _page(request, form=form, status=422)
    return _page(request, verdict=verify(form.cleaned_data["file"].read()))


@require_GET
def schema(_request: HttpRequest) -> JsonResponse:
    """The shape of the JSON that goes along in every certificate, for who reads it by program."""
    return JsonResponse(json_schema(), json_dumps_params={"indent": 2})


def _page(
    request: HttpRequest,
    *,
    verdict: Verdict | None = None,
    newest: Certificate | None = None,
    form: UploadForm | None = None,
    refusal: str = "",
    status: int = 200,
) -> HttpResponse:
    context = {
        "verdict": verdict,
        "newest": newest,
        "form": form or UploadForm(),
        "refusal": refusal,
    }
    return render(request, "warranties/check.html", context, status=status)


def _too_many(request: HttpRequest, kind: str, most: int) -> bool:
    """Count this question; whether its sender has asked more often than that this minute."""
    sender = sha256(client_ip(request).encode()).hexdigest()[:32]
    key = f"check:{kind}:{sender}:{int(now().timestamp()) // MINUTE}"
    return tally(key, 2 * MINUTE) > most
