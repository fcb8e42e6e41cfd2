"""Work at a home, announced by whoever knows of it."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from shared.forms import DayField
from warranties.actions.announcing import Work
from warranties.models.announced import works


class WorkForm(forms.Form):
    kind = forms.ChoiceField(label=_("What is planned"), choices=works)
    on = DayField(label=_("When it will be done"))
    note = forms.CharField(
        label=_("What we should know"),
        required=False,
        max_length=200,
        help_text=_("Where, and who does it."),
    )

    def work(self) -> Work:
        given: dict[str, Any] = self.cleaned_data
        return Work(kind=given["kind"], on=given["on"], note=given["note"])
