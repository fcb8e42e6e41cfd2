"""A visit: who goes where, what for, from when, for how long."""

from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django import forms

from customers.models import Home
from jobs.models import Crew, Job
from jobs.models.crew import purposes
from jobs.models.job import BEFORE_AGREEMENT, BEFORE_FITTING
from shared.forms import DayField


def lengths() -> list[tuple[str, str]]:
    """Minutes and their words: by quarters to two hours, by halves to ten."""
    minutes = [*range(15, 120, 15), *range(120, 601, 30)]
    return [(str(each), f"{each // 60}:{each % 60:02} h") for each in minutes]


class TimesForm(forms.Form):
    """When and who. The times are those of the home's zone."""

    crew = forms.ModelChoiceField(
        label="Crew", queryset=Crew.objects.filter(active=True).order_by("name")
    )
    day = DayField(label="Day")
    starts = forms.TimeField(
        label="From",
        widget=forms.TimeInput(attrs={"type": "time", "step": 900}, format="%H:%M"),
    )
    minutes = forms.TypedChoiceField(label="How long", choices=lengths, coerce=int)

    def moments(self, zone: ZoneInfo) -> tuple[datetime, datetime]:
        data = self.cleaned_data
        start = datetime.combine(data["day"], data["starts"], tzinfo=zone)
        # In UTC: two hours over the change of the clock are still two hours.
        start = start.astimezone(UTC)
        return start, start + timedelta(minutes=data["minutes"])


class VisitForm(TimesForm):
    """A visit for a job; a check or callback may go to a home (`home`, hidden) without one."""

    home = forms.ModelChoiceField(
        queryset=Home.objects.all(), required=False, widget=forms.HiddenInput
    )
    job = forms.ModelChoiceField(
        label="Job",
        queryset=Job.objects.filter(stage__in=(*BEFORE_AGREEMENT, *BEFORE_FITTING))
        .select_related("home")
        .order_by("-pk"),
        to_field_name="number",
        required=False,
    )
    purpose = forms.ChoiceField(label="What for", choices=purposes)
    note = forms.CharField(label="Note to the crew", required=False, max_length=200)

    field_order = ("job", "purpose", "crew", "day", "starts", "minutes", "note")

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("job"):
            data["home"] = data["job"].home
        elif not data.get("home"):
            self.add_error("job", "Choose the job.")
        return data
