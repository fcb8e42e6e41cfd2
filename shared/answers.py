"""Answers that the views of every app give alike."""

from collections.abc import Callable
from typing import TypeVar

from django.contrib import messages
from django.forms import BaseForm
from django.http import HttpRequest, HttpResponse

from shared.refusals import Refused

T = TypeVar("T")


def made(form: BaseForm, act: Callable[[], T], *, at: str | None = None) -> T | None:
    """Act where the form is valid and return what came of it; None where nothing did.

    A refusal then stands on the form, at the field that is named.
    """
    if not form.is_valid():
        return None
    try:
        return act()
    except Refused as refusal:
        form.add_error(at, str(refusal))
        return None


def done(form: BaseForm, act: Callable[[], object], *, at: str | None = None) -> bool:
    """Act as `made` does, and return whether it was done."""
    return made(form, lambda: (act(),), at=at) is not None


def tried(request: HttpRequest, act: Callable[[], object], *, said: str = "") -> bool:
    """Act and return whether it was done; the next page says so, or why not."""
    try:
        act()
    except Refused as refusal:
        messages.error(request, str(refusal))
        return False
    if said:
        messages.success(request, said)
    return True


def pdf_answer(data: bytes, name: str) -> HttpResponse:
    """A paper about people: shown, and kept by no cache."""
    return HttpResponse(
        data,
        content_type="application/pdf",
        headers={
            "Content-Disposition": f'inline; filename="{name}"',
            "Cache-Control": "private, no-store",
        },
    )
