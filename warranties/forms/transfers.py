"""What a household or the office enters when a home is sold."""

from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _
from phonenumber_field.formfields import PhoneNumberField

from customers.models import Household
from shared.forms import DayField
from shared.models import languages
from warranties.models.transfer import transfer_starters


class SoldForm(forms.Form):
    """The old household says to whom its home went."""

    prefix = "sold"
    on = DayField(label=_("From what day is the home theirs?"))
    name = forms.CharField(label=_("Name of the new owner"), max_length=200)
    mail = forms.EmailField(
        label=_("Their mail address"),
        required=False,
        help_text=_("If you know it. Otherwise we send them a letter to the home."),
        widget=forms.EmailInput(attrs={"autocomplete": "off"}),
    )
    phone = PhoneNumberField(
        label=_("Their telephone number"),
        required=False,
        help_text=_("If you know it."),
        widget=forms.TextInput(attrs={"type": "tel", "autocomplete": "off"}),
    )
    language = forms.ChoiceField(label=_("Language we write to them in"), choices=languages)

    def __init__(self, *args: Any, day: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["on"].initial = day

    def household(self) -> Household:
        """The new household, not kept yet."""
        given = self.cleaned_data
        return Household(
            name=given["name"],
            mail=given["mail"],
            phone=given["phone"],
            language=given["language"],
        )


class MoveForm(forms.Form):
    """The office notes who told us, and from which day the home is theirs."""

    on = DayField(label="From what day")
    told_by = forms.ChoiceField(label="Who told us", choices=transfer_starters)

    def __init__(self, *args: Any, day: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["on"].initial = day
