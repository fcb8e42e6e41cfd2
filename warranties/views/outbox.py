"""The outbox: what was told to whom, what a person must decide, letters, calls, mails kept."""

from datetime import datetime
from typing import Any

from django.contrib import messages
from django.core.paginator import Page, Paginator
from django.http import FileResponse, Http404, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import now
from django.views.decorators.http import require_GET, require_POST

from shared.kept import kept_names, kept_path, read_head, read_kept
from shared.paging import ROWS, first_of
from shared.requests import StaffRequest
from shared.roles import allowed
from warranties.actions import answering, letters, noticing
from warranties.models import IncomingText, Notice
from warranties.models.notice import notice_states
from warranties.notices.escalating import unreached
from warranties.notices.failing import unreachable
from warranties.notices.hours import may_write, next_hour
from warranties.notices.texting import kept_texts
from warranties.notices.writing import write
from warranties.tables import NoticeTable

KEPT_SHOWN = 50
# A mail's own HTML: no script, nothing fetched, its own styles, in a world of its own.
APART = "sandbox; default-src 'none'; style-src 'unsafe-inline'; img-src data:"


@allowed("notify")
@require_GET
def outbox(request: StaffRequest) -> HttpResponse:
    """What waits for a person first, then every notice, newest first; `?state=` narrows."""
    state = request.GET.get("state", "")
    notices = Notice.objects.select_related("household", "home")
    shown = notices.filter(state=state) if state else notices
    page = Paginator(shown, ROWS).get_page(request.GET.get("page"))
    held = notices.filter(state="held").prefetch_related("joined").order_by("send_at", "pk")
    facts = {
        "unreached": first_of(unreached(now()).select_related("plant")),
        "held": first_of(held),
        "calling": first_of(
            notices.asking_for_help().select_related("plant").order_by("answered_at", "pk")
        ),
        "texts": first_of(IncomingText.objects.for_a_person().select_related("household")),
        "letters": Notice.objects.for_a_person(now()).filter(channel="letter").count(),
        "batches": letters.batches(),
        "failed": unreachable().count(),
        "calls": Notice.objects.for_a_person(now()).filter(channel="call").count(),
        "table": NoticeTable(page.object_list),
        "page": page,
        "state": state,
        "states": notice_states(),
        "mails": kept_page(request.GET.get("mails")),
        "kept_texts": kept_texts(KEPT_SHOWN),
        "kept_shown": KEPT_SHOWN,
    }
    return render(request, "warranties/outbox.html", facts)


def kept_page(number: str | None) -> "Page[Any]":
    """A page of the kept mails, newest first: of all only names are read, of these the heads."""
    page: Page[Any] = Paginator(kept_names(), ROWS).get_page(number)
    page.object_list = [head for name in page.object_list if (head := read_head(name))]
    return page


@allowed("notify")
@require_POST
def decide(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Send a held notice (again), or drop it."""
    try:
        if request.POST.get("do") == "send":
            noticing.release(pk=pk, at=now())
            messages.success(request, "It goes out with the next sweep, within a minute.")
        else:
            noticing.drop(pk=pk, reason=f"Dropped by {request.user}.")
            messages.success(request, "It is not sent.")
    except noticing.NotDecidable as error:
        messages.error(request, str(error))
    return redirect("outbox")


@allowed("notify")
@require_POST
def take_on(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Somebody took a call for help on."""
    notice = get_object_or_404(Notice, pk=pk)
    answering.take_on(notice=notice, by=request.user, at=now())
    messages.success(request, "Taken on.")
    return redirect("outbox")


@allowed("notify")
@require_GET
def calls(request: StaffRequest) -> HttpResponse:
    """The households to be called, with what to say, and until when it is quiet there."""
    at = now()
    due = Notice.objects.for_a_person(at).filter(channel="call").order_by("send_at", "pk")
    due = due.select_related("household", "home", "plant", "booking")
    page = Paginator(due, ROWS).get_page(request.GET.get("page"))
    shown = [
        {"notice": each, "written": write(each, at=at), "quiet_until": _quiet_until(each, at)}
        for each in page
    ]
    return render(request, "warranties/calls.html", {"calls": shown, "page": page})


def _quiet_until(notice: Notice, at: datetime) -> datetime | None:
    """From when the home may be called, by its own clock, as no zone; None where it may now."""
    zone = notice.home.tz
    if may_write(at, zone):
        return None
    return next_hour(at, zone).astimezone(zone).replace(tzinfo=None)


@allowed("notify")
@require_POST
def called(request: StaffRequest, pk: int) -> HttpResponseBase:
    """They were called and told."""
    try:
        letters.mark_called(pk=pk, by=request.user, at=now())
    except noticing.NotDecidable as error:
        messages.error(request, str(error))
    return redirect("calls")


@allowed("notify")
@require_POST
def print_letters(request: StaffRequest) -> HttpResponseBase:
    """Put the due letters into a batch; its PDF can be fetched again at any time."""
    batch = letters.gather(by=request.user, at=now())
    if not batch:
        messages.info(request, "There is no letter to print.")
    return redirect("outbox")


@allowed("notify")
@require_GET
def letter_batch(_request: StaffRequest, batch: str) -> HttpResponse:
    """The letters of a batch as one PDF."""
    pdf = letters.pdf_of(batch=batch, at=now())
    if pdf is None:
        raise Http404
    response = HttpResponse(pdf, content_type="application/pdf")
    response.headers["Content-Disposition"] = f'attachment; filename="letters {batch}.pdf"'
    return response


@allowed("notify")
@require_GET
def mail(request: StaffRequest, name: str) -> HttpResponseBase:
    """A kept mail as text: its headers, its words, what is attached."""
    found = read_kept(name)
    if found is None:
        raise Http404
    if request.GET.get("as") == "file":
        path = kept_path(name)
        assert path is not None  # noqa: S101  # it was read just now
        return FileResponse(path.open("rb"), as_attachment=True, filename=f"{name}.eml")
    return render(request, "warranties/mail.html", {"mail": found})


@allowed("notify")
@require_GET
def mail_html(_request: StaffRequest, name: str) -> HttpResponse:
    """The HTML of a kept mail by itself, where it can neither run nor fetch anything."""
    found = read_kept(name)
    if found is None or not found.html:
        raise Http404
    response = HttpResponse(found.html)
    response.headers["Content-Security-Policy"] = APART
    return response
