"""What the named fields of a notice stand for: text, each on one line but {plants}."""

from datetime import date, datetime

from django.conf import settings
from django.urls import reverse
from django.utils.translation import gettext, override

from shared.days import day_said, time_said, weekday_said
from shared.firm import the_firm
from warranties import trimming
from warranties.clauses import fill
from warranties.models import Notice
from warranties.notices.entrance import answer_address, entrance
from warranties.notices.words import plant_words


def values_of(notice: Notice, *, token: str, at: datetime) -> dict[str, str]:
    """Return every field's value in the notice's language. `token` opens the home's page."""
    own = {
        "trim-back": _trim_back,
        "seal-check": _seal_check,
        "recall": _recall,
        "transfer": _transfer,
        "visit-booked": _visit,
        "visit-cancelled": _visit,
    }.get(notice.kind)
    with override(notice.language):
        return {**common(notice, token), **(own(notice, token, at) if own else {})}


def common(notice: Notice, token: str) -> dict[str, str]:
    firm = the_firm()
    return {
        "name": one_line(notice.household.name),
        "street": one_line(notice.home.street),
        "firm": one_line(firm.name),
        "phone": firm.phone_shown,
        "call": f"tel:{firm.phone}",
        "my_home": settings.BASE_URL + reverse("my-home", args=[token]),
    }


def told_with(notice: Notice) -> list[Notice]:
    """The notices about a plant that go out as this one, what is due first before the rest."""
    told = [each for each in [notice, *joined(notice)] if each.plant]
    return sorted(told, key=lambda each: each.due_on or date.max)


def joined(notice: Notice) -> list[Notice]:
    """The notices that go out with this one; none with one that was never kept."""
    if not notice.pk:
        return []
    return list(notice.joined.filter(state="joined").select_related("plant"))


def _trim_back(notice: Notice, token: str, at: datetime) -> dict[str, str]:
    told = told_with(notice)
    today = at.astimezone(notice.home.tz).date()
    plants = [one_line(each.plant.name) for each in told if each.plant]
    only = gettext("the %(plant)s") % {"plant": plants[0]} if plants else ""
    many = gettext("%(count)d plants") % {"count": len(plants)}
    return {
        "what": only if len(plants) == 1 else many,
        "plants": "\n\n".join(_plant(each, token, today) for each in told),
    }


def _plant(notice: Notice, token: str, today: date) -> str:
    plant = notice.plant
    assert plant is not None  # noqa: S101  # told_with leaves out the others
    name, place = one_line(plant.name), one_line(plant.place)
    language = notice.language
    by = notice.due_on
    values = {
        "plant": f"{name[:1].upper()}{name[1:]}{f', {place}' if place else ''}",
        "picture": "",
        "clear": trimming.clear_words(plant.needs_mm, units=settings.FIRM_UNITS, language=language),
        "when": gettext("by %(day)s") % {"day": weekday_said(by, language)}
        if by and by > today
        else gettext("as soon as you can"),
        "done": answer_address(token, notice, "done"),
        "help": answer_address(token, notice, "help"),
    }
    return fill(plant_words(language), values)


def _seal_check(notice: Notice, token: str, _at: datetime) -> dict[str, str]:
    return {
        "by": day_said(notice.due_on, notice.language) if notice.due_on else "",
        "help": answer_address(token, notice, "help"),
    }


def _recall(notice: Notice, token: str, at: datetime) -> dict[str, str]:
    reason = one_line(str(notice.facts.get("reason", "")))
    return {**_seal_check(notice, token, at), "reason": reason}


def _transfer(notice: Notice, token: str, at: datetime) -> dict[str, str]:
    if not notice.pk:
        return {"confirm": settings.BASE_URL + reverse("transfer", args=[token])}
    return {"confirm": entrance(notice, at)}


def _visit(notice: Notice, _token: str, _at: datetime) -> dict[str, str]:
    visit = notice.booking
    if visit is None:
        return {}
    tz = notice.home.tz
    starts, ends = visit.starts_at.astimezone(tz), visit.ends_at.astimezone(tz)
    return {
        "day": weekday_said(starts, notice.language),
        "starts": time_said(starts, notice.language),
        "ends": time_said(ends, notice.language),
    }


def one_line(text: str) -> str:
    """A name on one line, so that it cannot begin a mark or a header of ours."""
    return " ".join(text.replace("[", "(").replace("]", ")").split())
