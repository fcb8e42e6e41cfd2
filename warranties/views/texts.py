"""Texts from households: brought by the gateway, read by the office."""

import json
from hmac import compare_digest

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponseBase, JsonResponse
from django.shortcuts import redirect
from django.utils.timezone import now
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_POST

from shared.requests import StaffRequest
from shared.roles import allowed
from warranties.actions import hearing


@csrf_exempt  # The gateway posts here without a cookie; the shared secret is the proof.
@require_POST
def incoming(request: HttpRequest) -> JsonResponse:
    """Take a text as JSON, `{"id", "from", "text"}`; answer `{"heard"}` once it is kept.

    404 where no secret is set or another one came, 400 where the message cannot be read.
    """
    secret = settings.TEXT_WEBHOOK_SECRET
    brought = request.headers.get("Authorization", "")
    if not secret or not compare_digest(brought.encode(), f"Bearer {secret}".encode()):
        raise Http404
    at = now()
    try:
        gateway_id, phone, words = _fields(request.body)
        text = hearing.hear(gateway_id=gateway_id, phone=phone, words=words, at=at)
    except hearing.NotHearable as error:
        return JsonResponse({"error": str(error)}, status=400)
    hearing.answer_soon(now())
    return JsonResponse({"heard": text.heard})


def _fields(body: bytes) -> tuple[str, str, str]:
    try:
        brought = json.loads(body)
        fields = [brought[name] for name in ("id", "from", "text")]
    except (ValueError, KeyError, TypeError, RecursionError):
        fields = []
    if not fields or not all(isinstance(each, str) for each in fields) or not fields[0]:
        raise hearing.NotHearable('A text is {"id": "...", "from": "...", "text": "..."}.')
    gateway_id, phone, words = (each.replace("\0", "") for each in fields)
    return gateway_id[:200], phone[:40], words


@allowed("notify")
@require_POST
def read(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Somebody of the office read it."""
    hearing.mark_read(pk=pk, by=request.user, at=now())
    return redirect("outbox")
