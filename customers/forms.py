"""What the office enters about households and homes. Other apps' pages use these forms too."""

from typing import Any
from zoneinfo import available_timezones

from django import forms
from django.conf import settings
from phonenumber_field.formfields import PhoneNumberField

from customers.actions import Said
from customers.models import Home, Household
from customers.models.household import channels
from shared.models import languages

CONSENT_WORDS = {
    "mail": "Mail",
    "text": "Text messages",
    "letter": "Letters",
    "call": "Telephone calls",
}


def phone_field(label: str) -> PhoneNumberField:
    return PhoneNumberField(
        label=label,
        required=False,
        help_text="With area code. From abroad with + and the country: +52 …",
        error_messages={
            "invalid": "This number does not exist as written. Check each digit and the area code."
        },
        widget=forms.TextInput(attrs={"type": "tel", "autocomplete": "off"}),
    )


class HouseholdForm(forms.ModelForm):
    """Who they are and how they are reached."""

    phone = phone_field("Telephone")
    second_phone = phone_field("Second telephone")
    language = forms.ChoiceField(label="Language we write to them in", choices=languages)

    class Meta:
        model = Household
        fields = (
            "name",
            "phone",
            "second_phone",
            "mail",
            "language",
            "postal_address",
            "note",
        )
        labels = {
            "name": "Name",
            "mail": "Mail",
            "postal_address": "Postal address",
            "note": "Note",
        }
        help_texts = {
            "name": "As they sign: Ana and Luis Ortega.",
            "postal_address": "Only where letters do not go to the home.",
            "note": "What the next person who calls them should know.",
        }
        widgets = {
            "mail": forms.EmailInput(attrs={"autocomplete": "off"}),
            "postal_address": forms.Textarea(attrs={"rows": 3}),
            "note": forms.Textarea(attrs={"rows": 3}),
        }


class HomeForm(forms.ModelForm):
    """Where it stands. Whether we know it already is the action's to say."""

    class Meta:
        model = Home
        fields = (
            "street",
            "unit",
            "city",
            "region",
            "postal_code",
            "neighbourhood",
            "country",
            "zone",
            "site_note",
        )
        labels = {
            "street": "House number and street",
            "unit": "Unit",
            "city": "City or town",
            "region": "State",
            "postal_code": "Postal code",
            "neighbourhood": "Neighbourhood",
            "country": "Country",
            "zone": "Time zone",
            "site_note": "On site",
        }
        help_texts = {
            "street": "14 Juniper Bend",
            "neighbourhood": "Community or part of the town, where it has a name.",
            "country": "Two letters: US.",
            "zone": "For visits and dates: America/Phoenix.",
            "site_note": "Gates, dogs, where to park.",
        }
        widgets = {"site_note": forms.Textarea(attrs={"rows": 3})}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not self.instance.pk:
            self.fields["country"].initial = settings.FIRM_COUNTRY
        for field in self.fields.values():
            field.widget.attrs.setdefault("autocomplete", "off")

    def clean_country(self) -> str:
        country = str(self.cleaned_data["country"]).upper()
        if not (country.isascii() and country.isalpha() and len(country) == 2):  # noqa: PLR2004
            raise forms.ValidationError("Write the country's two letters: US.")
        return country

    def clean_zone(self) -> str:
        zone = str(self.cleaned_data["zone"])
        if zone not in available_timezones():
            raise forms.ValidationError("No such time zone. Write it like America/Phoenix.")
        return zone


class ConsentForm(forms.Form):
    """What channels the household lets us use, and how we know."""

    mail = forms.BooleanField(label=CONSENT_WORDS["mail"], required=False)
    text = forms.BooleanField(label=CONSENT_WORDS["text"], required=False)
    letter = forms.BooleanField(label=CONSENT_WORDS["letter"], required=False)
    call = forms.BooleanField(label=CONSENT_WORDS["call"], required=False)
    how = forms.CharField(
        label="How we know",
        max_length=200,
        help_text="Told us by phone, signed at the fair, wrote to us …",
    )

    def said(self) -> Said:
        channels_said = {channel: self.cleaned_data[channel] for channel, _word in channels()}
        return Said(channels_said, self.cleaned_data["how"])


class OwnerForm(forms.Form):
    on = forms.DateField(
        label="From what day",
        widget=forms.DateInput(attrs={"type": "date"}),
        help_text="The first day on which the home is theirs.",
    )


class LinkForm(forms.Form):
    purpose = forms.CharField(
        label="What for", max_length=40, initial="my home", help_text="Only we read this."
    )
    days = forms.IntegerField(
        label="Good for how many days", min_value=1, max_value=400, initial=30
    )


class FindForm(forms.Form):
    """The filters of the list of homes, as they stand in its address."""

    find = forms.CharField(required=False, max_length=200)
    neighbourhood = forms.CharField(required=False, max_length=100)
    after = forms.IntegerField(required=False, min_value=1)
    before = forms.IntegerField(required=False, min_value=1)
