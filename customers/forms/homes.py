"""What the office enters about households and homes. Other apps' pages use these forms too."""

from collections.abc import Iterator
from typing import Any
from zoneinfo import available_timezones

from django import forms
from django.conf import settings
from phonenumber_field.formfields import PhoneNumberField

from customers.actions import Said
from customers.importing.fields import DATES, LABELS
from customers.models import Home, Household, ImportRun
from customers.models.household import channels
from shared.forms import DayField
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
        if not (country.isascii() and country.isalpha() and len(country) == 2):  # noqa: PLR2004  # ISO 3166-1
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
    on = DayField(
        label="From what day",
        help_text="The first day on which the home is theirs.",
    )


class LinkForm(forms.Form):
    days = forms.IntegerField(
        label="Good for how many days", min_value=1, max_value=400, initial=30
    )


class FindForm(forms.Form):
    """The filters of the list of homes, as they stand in its address."""

    find = forms.CharField(required=False, max_length=200)
    neighbourhood = forms.CharField(required=False, max_length=100)
    after = forms.IntegerField(required=False, min_value=1)
    before = forms.IntegerField(required=False, min_value=1)


class TableForm(forms.Form):
    """A table of homes that somebody sends."""

    file = forms.FileField(
        label="Table (.csv or .xlsx)",
        help_text="With headings in its first row. Up to 64 MB.",
        widget=forms.FileInput(attrs={"accept": ".csv,.tsv,.txt,.xlsx"}),
    )


GROUPS = (
    ("Household", ("name", "given_name", "family_name", "phone", "second_phone", "mail",
                   "language", "mail_consent", "note", "since")),
    ("Home", ("address", "house_number", "street", "unit", "city", "region", "postal_code",
              "country", "neighbourhood")),
    ("Work done", ("installed_on", "price")),
    ("Promise given", ("promise_number", "promised_on", "promise_text", "promise_until",
                       "promise_lasts")),
)  # fmt: skip


class ColumnsForm(forms.Form):
    """Which column of a table holds what, and what holds for every row that does not say it."""

    city = forms.CharField(label="City or town, where a row names none", required=False)
    region = forms.CharField(label="State, where a row names none", required=False)
    area_code = forms.RegexField(
        r"^[2-9]\d{2}$",
        label="Area code of telephone numbers without one",
        required=False,
        error_messages={"invalid": "Three digits: 602."},
    )
    promise_lasts = forms.ChoiceField(
        label="A promise lasts, where a row does not say it",
        required=False,
        choices=[
            ("", "not said"),
            ("home", "as long as the home stands"),
            ("household", "as long as the household owns the home"),
        ],
    )
    day_first = forms.ChoiceField(
        label="3/9/2024 means",
        required=False,
        choices=[("", "not said"), ("no", "March 9"), ("yes", "September 3")],
    )

    def __init__(self, *args: Any, run: ImportRun, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.run = run
        self.headings: list[str] = run.survey["headings"]
        held = {
            heading: code
            for code, headings in run.columns.get("columns", {}).items()
            for heading in headings
        }
        for at, heading in enumerate(self.headings):
            self.fields[f"column_{at}"] = forms.ChoiceField(
                label=heading, choices=_column_choices, required=False, initial=held.get(heading)
            )
        always = run.columns.get("always", {})
        for code in ("city", "region", "area_code", "promise_lasts"):
            self.fields[code].initial = always.get(code, "")
        told = run.columns.get("day_first")
        self.fields["day_first"].initial = "" if told is None else "yes" if told else "no"

    def rows(self) -> Iterator[tuple[str, list[str], forms.BoundField]]:
        """Each column of the table: heading, examples, what it holds."""
        examples = self.run.survey.get("examples", {})
        for at, heading in enumerate(self.headings):
            yield heading, examples.get(heading, []), self[f"column_{at}"]

    def rest(self) -> list[forms.BoundField]:
        """The fields that are about every row; the order of dates only where it must be asked."""
        codes = ["city", "region", "area_code", "promise_lasts"]
        return [self[code] for code in (*codes, *(["day_first"] if self.asks else []))]

    @property
    def asks(self) -> list[str]:
        """The columns whose days could be read in two ways."""
        return list(self.run.survey.get("asks", []))

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        held = self._held(data)
        unclear = [heading for code in DATES for heading in held.get(code, ())]
        unclear = [heading for heading in unclear if heading in self.asks]
        if unclear and not data.get("day_first"):
            self.add_error(
                "day_first", f"“{unclear[0]}” has days that could be read in two ways: say which."
            )
        return data

    def columns(self) -> dict[str, Any]:
        """Return the answer as ImportRun.columns keeps it."""
        data = self.cleaned_data
        always = {code: data[code] for code in ("city", "region", "area_code", "promise_lasts")}
        return {
            "columns": self._held(data),
            "always": {code: said for code, said in always.items() if said},
            "day_first": {"yes": True, "no": False}.get(data.get("day_first", "")),
        }

    def _held(self, data: dict[str, Any]) -> dict[str, list[str]]:
        held: dict[str, list[str]] = {}
        for at, heading in enumerate(self.headings):
            if code := data.get(f"column_{at}"):
                held.setdefault(code, []).append(heading)
        return held


def _column_choices() -> list[Any]:
    groups = [(group, [(code, LABELS[code]) for code in codes]) for group, codes in GROUPS]
    return [("", "leave it out"), *groups]
