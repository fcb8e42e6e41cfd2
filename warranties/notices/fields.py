"""What the named fields of a notice stand for: text, each on one line but {plants}."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal

from django.conf import settings
from django.urls import reverse
from django.utils.translation import gettext, override, pgettext

from customers.models import Plant
from jobs.actions.paying import due
from jobs.models import Job
from shared.days import day_said, time_said, weekday_said
from shared.firm import the_firm
from shared.money import money_text
from warranties import trimming
from warranties.clauses import fill
from warranties.models import Notice, Watch
from warranties.notices.entrance import answer_address, entrance
from warranties.notices.pictures import Picture
from warranties.notices.words import plant_words


@dataclass(frozen=True, slots=True)
class Case:
    """A part of a message about to be written: a notice, or `told`, the plants of one home.

    The token opens the household's page.
    """

    notice: Notice
    token: str
    at: datetime
    told: Sequence[Notice] = ()
    pictures: Mapping[int, Picture] = field(default_factory=dict)

    @property
    def language(self) -> str:
        return self.notice.language


def values_of(case: Case) -> dict[str, str]:
    """Return every field's value in the notice's language."""
    own = {
        "trim-back": _trim_back,
        "seal-check": _seal_check,
        "recall": _recall,
        "transfer": _transfer,
        "visit-booked": _visit,
        "visit-cancelled": _visit,
        "visit-tomorrow": _visit,
        "visit-on-the-way": _visit,
        "visit-report": _report,
        "offer": _offer,
        "receipt": _receipt,
        "balance": _balance,
        "season": _season,
        "promise-rests": _standing,
        "promise-again": _standing,
        "promise-ended": _standing,
    }.get(case.notice.kind)
    with override(case.language):
        return {**common(case.notice, case.token), **(own(case) if own else {})}


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


def _trim_back(case: Case) -> dict[str, str]:
    plants = [one_line(each.plant.said) for each in case.told if each.plant]
    only = gettext("the %(plant)s") % {"plant": plants[0]} if plants else ""
    many = gettext("%(count)d plants") % {"count": len(plants)}
    return {
        "what": only if len(plants) == 1 else many,
        "when": _by(case.notice if not case.told else case.told[0], case),
        "plants": "\n\n".join(_plant(case, each, each.plant) for each in case.told if each.plant),
    }


def _by(notice: Notice, case: Case) -> str:
    """By when to cut, in a few words, for texts. No letter in them needs the wide alphabet."""
    by = notice.due_on
    if not by or by <= case.at.astimezone(notice.home.tz).date():
        return gettext("as soon as you can")
    return pgettext("short", "by %(day)s") % {"day": day_said(by, case.language)}


def _plant(case: Case, notice: Notice, plant: Plant) -> str:
    name, place = one_line(plant.said), one_line(plant.place_said)
    today = case.at.astimezone(notice.home.tz).date()
    by, picture = notice.due_on, case.pictures.get(plant.pk)
    values = {
        "plant": f"{name[:1].upper()}{name[1:]}{f', {place}' if place else ''}",
        "picture": f"![{picture.words}](cid:{picture.name})" if picture else "",
        "clear": trimming.clear_words(
            plant.needs_mm, units=settings.FIRM_UNITS, language=case.language
        ),
        "when": gettext("by %(day)s") % {"day": weekday_said(by, case.language)}
        if by and by > today
        else gettext("as soon as you can"),
        "done": answer_address(case.token, notice, "done"),
        "help": answer_address(case.token, notice, "help"),
    }
    return fill(plant_words(case.language), values)


def _seal_check(case: Case) -> dict[str, str]:
    due = case.notice.due_on
    return {
        "by": day_said(due, case.language) if due else "",
        "help": answer_address(case.token, case.notice, "help"),
    }


def _recall(case: Case) -> dict[str, str]:
    reason = one_line(str(case.notice.facts.get("reason", "")))
    return {**_seal_check(case), "reason": reason}


def _transfer(case: Case) -> dict[str, str]:
    if not case.notice.pk:
        return {"confirm": settings.BASE_URL + reverse("transfer", args=[case.token])}
    return {"confirm": entrance(case.notice, case.at)}


def _visit(case: Case) -> dict[str, str]:
    visit, tz = case.notice.booking, case.notice.home.tz
    if visit is None:
        return {}
    starts, ends = visit.starts_at.astimezone(tz), visit.ends_at.astimezone(tz)
    return {
        "day": weekday_said(starts, case.language),
        "starts": time_said(starts, case.language),
        "ends": time_said(ends, case.language),
    }


def _report(case: Case) -> dict[str, str]:
    """What was noted at the checks of the visit, once the crew has written it down."""
    visit = case.notice.booking
    noted = visit.checks.exclude(findings="") if visit and visit.pk else []
    return {
        **_visit(case),
        "found": " ".join(one_line(each.findings) for each in noted) or "–",
    }


def _offer(case: Case) -> dict[str, str]:
    facts, until = case.notice.facts, case.notice.due_on
    return {
        "number": str(facts.get("offer", "")),
        "total": _money(facts.get("total"), case.language),
        "until": day_said(until, case.language) if until else "",
        "agree": _to_agree(case),
    }


def _to_agree(case: Case) -> str:
    if case.notice.pk:
        return entrance(case.notice, case.at)
    return settings.BASE_URL + reverse("offer-agree", args=[case.token])


def _balance(case: Case) -> dict[str, str]:
    """As it stands now, not as it stood when the notice was planned. Up to four queries."""
    number = str(case.notice.facts.get("job", ""))
    job = Job.objects.filter(number=number).first()
    return {"number": number, "left": _money(due(job) if job else None, case.language)}


def _receipt(case: Case) -> dict[str, str]:
    facts = case.notice.facts
    on = date.fromisoformat(facts["on"]) if "on" in facts else None
    return {
        **_balance(case),
        "amount": _money(facts.get("amount"), case.language),
        "day": day_said(on, case.language) if on else "",
    }


def _standing(case: Case) -> dict[str, str]:
    """What became of the promise, as it was written down with the notice."""
    facts, tz = case.notice.facts, case.notice.home.tz
    days = [datetime.fromisoformat(each).astimezone(tz) for each in facts.get("told", ())]
    on = facts.get("on")
    return {
        "promise": str(facts.get("promise", "")),
        "plant": one_line(str(facts.get("plant", ""))),
        "told": "; ".join(day_said(each, case.language) for each in days),
        "day": day_said(date.fromisoformat(on), case.language) if on else "",
        "why": one_line(str(facts.get("why", ""))),
    }


def _season(case: Case) -> dict[str, str]:
    watched = Watch.objects.growing().filter(plant__home=case.notice.home, opens_on__isnull=False)
    names = [one_line(each.plant.said) for each in watched.select_related("plant")]
    return {"plants_named": ", ".join(names) or "–"}


def _money(amount: object, language: str) -> str:
    exact = Decimal(str(amount or 0))
    return money_text(max(exact, Decimal(0)), settings.FIRM_CURRENCY, language)


def one_line(text: str) -> str:
    """A name on one line, so that it cannot begin a mark or a header of ours."""
    return " ".join(text.replace("[", "(").replace("]", ")").split())
