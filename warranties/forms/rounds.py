"""A round of checks: the crew, the day, how long."""

from datetime import timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django import forms

from jobs.forms.booking import TimesForm
from warranties.actions.rounds import Round


def ways() -> list[tuple[str, str]]:
    return [(str(each), f"{each} min") for each in (0, 15, 30, 45, 60)]


class RoundForm(TimesForm):
    between = forms.TypedChoiceField(
        label="The way to the next", choices=ways, coerce=int, initial="15"
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["minutes"].label = "Each stop takes"
        self.fields["starts"].label = "First stop at"

    def round_in(self, zone: ZoneInfo) -> Round:
        starts_at, ends_at = self.moments(zone)
        return Round(
            crew=self.cleaned_data["crew"],
            starts_at=starts_at,
            stop=ends_at - starts_at,
            between=timedelta(minutes=self.cleaned_data["between"]),
        )
