"""What a household fills in to agree on line."""

from datetime import datetime

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.actions.offering import Agreement
from jobs.actions.showing import read_token


class OnlineAgreementForm(forms.Form):
    by = forms.CharField(label=_("Your name, as you sign"), max_length=200)
    paperless = forms.BooleanField(
        label=_(
            "I take this agreement and the notice of cancellation on this page instead of on paper."
        )
    )
    agreed = forms.BooleanField(label=_("I have seen the warranty and I agree to this offer."))
    shown = forms.CharField(required=False, widget=forms.HiddenInput)

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
