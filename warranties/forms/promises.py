"""What the office enters about promises and terms, and strangers about certificates."""

from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from customers.models import Home, Plant
from shared.forms import DayField
from warranties.actions.terming import Wording
from warranties.models import Check
from warranties.models.terms import bases

LARGEST_UPLOAD = 2_000_000  # bytes; our certificates have about 60,000


class ReasonForm(forms.Form):
    """Why something is done, in a sentence."""

    reason = forms.CharField(label="Reason", max_length=400)


class EndForm(ReasonForm):
    """When and why a promise ends."""

    reason = forms.CharField(label="Reason", max_length=400, help_text="The holder reads it.")
    on = DayField(label="Ends on")

    def __init__(self, *args: Any, day: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["on"].initial = day


class PlantForm(forms.Form):
    """For which plant the promise is suspended."""

    plant = forms.ModelChoiceField(label="Plant that was not cut", queryset=Plant.objects.none())

    def __init__(self, *args: Any, home: Home, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        plants = home.plants.filter(removed_on=None).order_by("mark")
        self.fields["plant"].queryset = plants  # type: ignore[attr-defined]


class CheckForm(forms.Form):
    """Which check found the ring closed again."""

    check = forms.ModelChoiceField(
        label="Check that found the ring closed", queryset=Check.objects.none()
    )

    def __init__(self, *args: Any, home: Home, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        made = Check.objects.filter(home=home).exclude(done_on=None).order_by("-done_on")
        self.fields["check"].queryset = made  # type: ignore[attr-defined]


class TermsForm(forms.Form):
    """A new version of the terms. Whose life it lasts for has no default: it must be chosen."""

    title = forms.CharField(
        label="Title",
        max_length=200,
        help_text="It must say “Limited warranty” or “Full … warranty”.",
    )
    basis = forms.ChoiceField(
        label="How long it lasts", choices=lambda: [("", "Choose"), *bases()], required=True
    )
    suspend_after_notices = forms.IntegerField(
        label="Notices before it may be suspended",
        required=False,
        min_value=1,
        max_value=20,
        help_text="Printed for {notices}. Empty: it is never suspended.",
    )
    years = forms.IntegerField(
        label="Years", min_value=1, max_value=50, help_text="Printed for {years}."
    )
    body = forms.CharField(
        label="Text",
        widget=forms.Textarea(attrs={"rows": 30, "spellcheck": "true"}),
        help_text="## begins a clause, - a line of a list, 1. a step. {firm}, {address}, {phone},"
        " {email}, {life} and {clearance} are filled in. Keep the names in [brackets]: decisions"
        " point to them.",
    )
    counsel_name = forms.CharField(
        label="Counsel who approved this text",
        required=False,
        max_length=200,
        help_text="Empty: certificates say “draft, not reviewed by counsel”.",
    )
    counsel_on = DayField(label="Approved on", required=False)

    def __init__(self, *args: Any, paper: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        unused = ("years",) if paper == "promise" else ("basis", "suspend_after_notices")
        for name in unused:
            del self.fields[name]

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if bool(cleaned.get("counsel_name")) != bool(cleaned.get("counsel_on")):
            self.add_error("counsel_on", "Counsel's name and the day belong together.")
        return cleaned

    def wording(self) -> Wording:
        return Wording(**self.cleaned_data)


class CounselForm(forms.Form):
    """Who read the terms, and when."""

    name = forms.CharField(label="Counsel who approved this text", max_length=200)
    on = DayField(label="Approved on")


class UploadForm(forms.Form):
    """A file that somebody wants to know about."""

    file = forms.FileField(
        label=_("The certificate's PDF file"),
        max_length=200,
        widget=forms.ClearableFileInput(attrs={"accept": "application/pdf"}),
    )

    def clean_file(self) -> Any:
        file = self.cleaned_data["file"]
        if file.size > LARGEST_UPLOAD:
            raise forms.ValidationError(_("This file is larger than any certificate of ours."))
        return file
