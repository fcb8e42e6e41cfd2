"""What every page may need: the bar's words, money, lengths, states."""

from collections.abc import Callable, Iterable
from datetime import date
from decimal import Decimal
from html import escape
from typing import Any, NamedTuple

from django import template
from django.conf import settings
from django.forms.utils import flatatt
from django.template import RequestContext
from django.urls import NoReverseMatch, reverse
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _

from shared import days
from shared.firm import money_said
from shared.length import Length, length_text

register = template.Library()


@register.filter
def money(amount: Decimal | None) -> str:
    """An amount in the firm's currency and the reader's language; a dash where there is none."""
    if amount is None:
        return "\N{EN DASH}"
    return money_said(Decimal(amount), get_language() or "en")


@register.filter
def length(mm: Decimal | None) -> str:
    """A length as the firm's tape shows it; a dash where there is none."""
    return "\N{EN DASH}" if mm is None else length_text(Length(Decimal(mm)), settings.FIRM_UNITS)


def _household_day(say: Callable[[Any, str], str]) -> Callable[[date | None], str]:
    """A filter that writes a day as households read it, in the language of the page."""

    def said(day: date | None) -> str:
        return say(day, get_language() or "en") if day else ""

    return said


for _name in ("day_said", "weekday_said", "month_day_said", "moment_said"):
    register.filter(_name, _household_day(getattr(days, _name)), expects_localtime=True)


class BarLink(NamedTuple):
    word: str
    address: str
    current: bool


# Word, name of the address, permission: in the order in which they stand on the bar.
BAR = (
    (_("Ledger"), "ledger", "see_ledger"),
    (_("Tray"), "tray", "sell"),
    (_("Round"), "round", "fit"),
    (_("Homes"), "homes", "see_homes"),
    (_("Diary"), "diary", "book"),
    (_("Promises"), "promises", "promise"),
    (_("Watch list"), "watch-list", "notify"),
    (_("Outbox"), "outbox", "notify"),
    (_("Callback"), "callbacks", "fit"),
    (_("Prices"), "prices", "keep_firm"),
    (_("People"), "people", "keep_firm"),
)


def _address(name: str) -> str | None:
    try:
        return reverse(name)
    except NoReverseMatch:
        return None


@register.simple_tag(takes_context=True)
def bar_links(context: RequestContext) -> list[BarLink]:
    """The signed-in person's words of the bar, the page they are on marked."""
    request = context["request"]
    return [
        BarLink(str(word), address, request.path.startswith(address))
        for word, name, code in BAR
        if request.user.has_perm(f"shared.{code}") and (address := _address(name))
    ]


@register.simple_tag
def options(groups: Iterable[tuple[str | None, list[dict[str, Any]], int]]) -> SafeString:
    """The choices of a box, as a widget's `optgroups` names them."""
    lines = []
    for group, choices, _index in groups:
        inside = "\n".join(
            f'<option value="{escape(str(each["value"]))}"{flatatt(each["attrs"])}>'
            f"{escape(str(each['label']))}</option>"
            for each in choices
        )
        lines.append(f'<optgroup label="{escape(group)}">{inside}</optgroup>' if group else inside)
    return mark_safe("\n".join(lines))  # noqa: S308  # each word was escaped
