"""What the owner keeps: price books and crews."""

from django import forms

from jobs.models import Crew, Price, PriceBook
from shared.forms import DayField


class NewBookForm(forms.Form):
    name = forms.CharField(label="Name", max_length=100)
    valid_from = DayField(label="In force from")


class BookForm(forms.ModelForm):
    class Meta:
        model = PriceBook
        fields = ("name", "minimum", "tax_rate", "deposit_share")
        help_texts = {"minimum": ""}
        labels = {
            "name": "Name",
            "minimum": "Least that a fitting is done for",
            "tax_rate": "Sales tax, as a fraction",
            "deposit_share": "Deposit, as a fraction of the total",
        }

    def clean_deposit_share(self):  # type: ignore[no-untyped-def]  # a Decimal
        share = self.cleaned_data["deposit_share"]
        if not 0 <= share <= 1:
            raise forms.ValidationError("Between 0 and 1: 0.3 is 30 %.")
        return share

    def clean_tax_rate(self):  # type: ignore[no-untyped-def]  # a Decimal
        rate = self.cleaned_data["tax_rate"]
        if not 0 <= rate < 1:
            raise forms.ValidationError("From 0 to below 1: 0.0725 is 7.25 %.")
        return rate


PriceFormSet = forms.inlineformset_factory(
    PriceBook,
    Price,
    fields=("code", "text", "text_es", "unit", "price", "cost"),
    labels={
        "code": "Item",
        "text": "As the household reads it",
        "text_es": "In Spanish",
        "unit": "For one",
        "price": "We ask",
        "cost": "It costs us",
    },
    extra=2,
    can_delete=True,
)


class CrewForm(forms.ModelForm):
    class Meta:
        model = Crew
        fields = ("name", "members", "hourly_cost", "active")
        labels = {
            "name": "Name",
            "members": "Who is in it",
            "hourly_cost": "What an hour of it costs us",
            "active": "Works",
        }
        widgets = {"members": forms.CheckboxSelectMultiple}
