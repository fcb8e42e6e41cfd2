"""Answers that the views of every app give alike."""

from collections.abc import Callable

from django.forms import Form
from django.http import HttpResponse

from shared.refusals import Refused


def done(form: Form, act: Callable[[], object]) -> bool:
    """Act where the form is valid, and return whether it was done; a refusal stands on the form."""
    if not form.is_valid():
        return False
    try:
        act()
    except Refused as refusal:
        form.add_error(None, str(refusal))
        return False
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
