"""An enquiry, and how it ends where nothing comes of it."""

from django import forms

from jobs.models.job import job_kinds, sources
from shared.forms import DayField


class JobForm(forms.Form):
    """What is asked for. `on` is the day of the enquiry."""

    kind = forms.ChoiceField(label="What kind of work", choices=job_kinds)
    source = forms.ChoiceField(label="How they came to us", choices=sources, initial="other")
    wish = forms.CharField(
        label="What they asked for, in their words",
        required=False,
        max_length=5_000,
        widget=forms.Textarea(attrs={"rows": 4}),
    )


class ReasonForm(forms.Form):
    reason = forms.CharField(
        label="Why", max_length=200, help_text="Only we read this.", required=False
    )


class DayForm(forms.Form):
    on = DayField(label="On")
