"""What is entered of a plant that was measured, and of a check that was made."""

from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _

from customers.forms.measures import TapeField
from customers.models import Home, Photo, Plant
from jobs.forms.fitting import PhotographsForm
from shared.forms import DayField
from warranties.models import Check, Reading


class ReadingForm(PhotographsForm):
    """One plant's reading. `asks` is set once it looked odd: the question stands in the errors.

    `kept` is the photograph of a reading that was asked about, so that nobody takes it again.
    """

    clearance = TapeField(
        label=_("It stands clear by"),
        help_text=_("With its unit: 7 in, 1' 2\", 18 cm. 0 where it touches."),
        required=False,
    )
    trimmed_to = TapeField(label=_("Cut back to"), required=False)
    on = DayField(label=_("On"))
    kept = forms.ModelChoiceField(
        queryset=Photo.objects.none(), required=False, widget=forms.HiddenInput
    )
    confirmed = forms.BooleanField(label=_("Yes, it is so"), required=False)
    field_order = ("clearance", "trimmed_to", "on", "taken", "chosen", "kept", "confirmed")

    def __init__(self, data: Any = None, files: Any = None, *, plant: Plant, today: date) -> None:
        super().__init__(data, files, prefix=f"plant-{plant.pk}", initial={"on": today})
        self.plant, self.today, self.asks = plant, today, False
        self.fields["kept"].queryset = Photo.objects.filter(home=plant.home_id)  # type: ignore[attr-defined]

    def clean_on(self) -> date:
        on: date = self.cleaned_data["on"]
        if on > self.today:
            raise forms.ValidationError(_now("That day is still to come."))
        return on

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        said = (given.get("clearance"), given.get("trimmed_to"))
        if said == (None, None) and not self.errors:
            raise forms.ValidationError(_now("Was it measured, or cut? Say one of them at least."))
        return given

    def reading(self) -> Reading:
        """The reading as it was typed, not saved."""
        given = self.cleaned_data
        return Reading(
            plant=self.plant,
            on=given["on"],
            clearance_mm=given["clearance"],
            trimmed_to_mm=given["trimmed_to"],
            confirmed=given["confirmed"],
            way="tech",
        )

    def ask(self, question: str, photo: Photo | None) -> None:
        """Put the question; what was typed stays, and the photograph with it."""
        self.add_error(None, question)
        self.asks = True
        if photo:
            self.data = {**dict(self.data.items()), self.add_prefix("kept"): str(photo.pk)}


class CheckDoneForm(forms.Form):
    findings = forms.CharField(
        label=_("What you found"),
        widget=forms.Textarea(attrs={"rows": 3}),
        max_length=4000,
        error_messages={"required": _("Say what you found, even that all is well.")},
    )

    def __init__(self, data: Any = None, *, check: Check) -> None:
        super().__init__(data, prefix=f"check-{check.pk}")
        self.check = check


def open_checks(home: Home) -> list[Check]:
    """Checks of the home that wait to be made, the first due before the rest. One query."""
    return list(home.checks.filter(done_on=None).select_related("booking").order_by("due_on", "pk"))
