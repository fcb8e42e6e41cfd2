"""A notice as it would be today at a real home, to look at: none of it is kept or opens a page."""

from datetime import datetime, time, timedelta
from decimal import Decimal
from typing import Any

from customers.models import Home, Plant
from jobs.models import Booking
from warranties.models import Notice

TOKEN = "preview".ljust(76, "-")  # opens nothing, and is as long as one that does
AHEAD = timedelta(days=30)
TWO_WEEKS = timedelta(days=14)
KINDS = {"visit-moved": "visit-booked", "transfer-old": "transfer", "transfer-new": "transfer"}


def sample(occasion: str, language: str, home: Home, at: datetime) -> Notice | None:
    """Return the notice, not saved; None where nobody lives at the home. Two queries at most."""
    household = home.household()
    if household is None:
        return None
    kind = KINDS.get(occasion, occasion)
    return Notice(
        kind=kind,
        home=home,
        household=household,
        language=language,
        channel="mail",
        occasion=f"preview:{occasion}",
        planned_at=at,
        send_at=at,
        due_on=(at + AHEAD).astimezone(home.tz).date(),
        facts=_facts(kind, home, at),
        plant=_plant(home) if kind == "trim-back" else None,
        booking=_visit(home, at) if kind.startswith("visit") else None,
    )


def _facts(kind: str, home: Home, at: datetime) -> dict[str, Any]:
    """What is not read from rows; a job's own are those of the home's newest one."""
    if kind == "recall":
        return {"reason": "the sealant lets go of glass"}
    if kind.startswith("promise-"):
        return _of_promise(home, at)
    job = home.jobs.order_by("-pk").first() if kind in {"offer", "receipt", "balance"} else None
    if job is None:
        return {}
    return {
        "job": job.number,
        "offer": f"{job.number}-A",
        "total": "2450.00",
        "amount": "500.00",
        "on": at.astimezone(home.tz).date().isoformat(),
    }


def _of_promise(home: Home, at: datetime) -> dict[str, Any]:
    newest = home.promises.order_by("-pk").first()
    return {
        "promise": newest.number if newest else "RK-2026-00001-00",
        "plant": _plant(home).name,
        "told": [(at - weeks * TWO_WEEKS).isoformat() for weeks in (3, 2, 1)],
        "on": at.astimezone(home.tz).date().isoformat(),
        "why": "The house was taken down.",
    }


def _plant(home: Home) -> Plant:
    standing = home.plants.filter(removed_on=None).order_by("pk").first()
    return standing or Plant(home=home, name="lantana", kind="lantana", needs_mm=Decimal(305))


def _visit(home: Home, at: datetime) -> Booking:
    day = (at + timedelta(days=3)).astimezone(home.tz).date()
    starts = datetime.combine(day, time(9), tzinfo=home.tz)
    return Booking(home=home, starts_at=starts, ends_at=starts + timedelta(hours=2))
