"""What of our notices works, for the office and the owner."""

from typing import Any, Literal

from django.conf import settings
from django.http import HttpResponse
from django.shortcuts import render
from django.utils.timezone import now
from django.views.decorators.http import require_GET

from customers.models.household import channels
from shared.requests import StaffRequest
from shared.roles import allowed
from shared.wording import counted
from warranties import worked, working
from warranties.models.notice import notice_kinds


@allowed("notify")
@require_GET
def what_works(request: StaffRequest) -> HttpResponse:
    """Shares answered by kind, channel and reminder; plants cut before they touched."""
    at = now()
    told = worked.told(at)
    fates = worked.fates(at)
    page = {
        "tables": [
            _table("By what it is about", told, "kind", dict(notice_kinds())),
            _table("By channel", told, "channel", dict(channels())),
            _table("Reminders to cut back, by lead time", _trim_backs(told), "lead", _leads()),
        ],
        "in_time": working.said(working.cut_in_time(fates)),
        "open": fates.count("open"),
        "of": len(fates),
        "enough": working.ENOUGH,
    }
    return render(request, "warranties/what_works.html", page)


def _trim_backs(told: list[working.Told]) -> list[working.Told]:
    return sorted((each for each in told if each.kind == "trim-back"), key=lambda each: each.lead)


def _leads() -> dict[Any, str]:
    days = settings.NOTICE_LEADS
    return {
        lead: f"reminder {lead}, {counted(ahead, 'day')} ahead"
        for lead, ahead in enumerate(days, 1)
    }


def _table(
    title: str,
    told: list[working.Told],
    by: Literal["kind", "channel", "lead"],
    names: dict[Any, str],
) -> dict[str, Any]:
    rows = [
        {
            "name": names.get(line.name, f"reminder {line.name}"),
            "sent": line.sent,
            "shares": [working.said(each) for each in (line.seen, line.answered, line.came_back)],
        }
        for line in working.lines(told, by)
    ]
    return {"title": title, "rows": rows}
