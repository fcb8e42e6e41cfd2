"""What a household fills in to agree on line."""

from datetime import datetime
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.actions.offering import Agreement
from jobs.actions.showing import read_token


class OnlineAgreementForm(forms.Form):
    """With `files`, the household takes its papers as files already and is not asked again.

    The code stands in the PDF alone: who types it has opened it (15 USC 7001(c)(1)(C)(ii)).
    """

    by = forms.CharField(label=_("Your name, as you sign"), max_length=200)
    code = forms.CharField(
        label=_("Code of this paper"),
        max_length=20,
        help_text=_("Open the offer as a PDF: six letters and digits stand below its sums."),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    paperless = forms.BooleanField(
        label=_("I have read this and take these papers as files instead of on paper.")
    )
    agreed = forms.BooleanField(label=_("I have seen the warranty and I agree to this offer."))
    shown = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, files: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if files:
            del self.fields["paperless"], self.fields["code"]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        shown, _at = read_token(data.get("shown", "")) or (None, None)
        typed = "".join(data.get("code", "").split()).upper()
        if typed and shown and typed != shown.code:
            self.add_error("code", _("This is not the code in the PDF of the offer as it is now."))
        return data

    def agreement(self, at: datetime) -> Agreement:
        """What the page that they read carries: no page of ours, nothing shown."""
        data = self.cleaned_data
        shown, shown_at = read_token(data["shown"]) or (None, None)
        return Agreement(
            by=data["by"],
            how="online",
            at=at,
            warranty_shown_at=shown_at,
            code=shown.code if shown else "",
        )


class WaiverForm(forms.Form):
    """The household's own handwritten statement of an emergency (16 CFR 429.0(a)(3))."""

    photo = forms.FileField(
        label="Photograph of their statement",
        help_text="In their hand, dated and signed: the emergency, and that they waive the right "
        "to cancel within three business days.",
    )
    note = forms.CharField(label="What it says, in short", max_length=200)
