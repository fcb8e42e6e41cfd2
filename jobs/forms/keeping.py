"""What the owner keeps: price books and crews."""

from decimal import Decimal
from typing import Any

from django import forms

from jobs.models import Crew, Price, PriceBook
from shared.forms import DayField


def not_below_zero(label: str, **kwargs: Any) -> forms.DecimalField:
    return forms.DecimalField(label=label, min_value=0, **kwargs)


class NewBookForm(forms.Form):
    name = forms.CharField(label="Name", max_length=100)
    valid_from = DayField(label="In force from")


class BookForm(forms.ModelForm):
    minimum = not_below_zero("Least that a fitting is done for", max_digits=12, decimal_places=2)
    tax_rate = not_below_zero(
        "Sales tax, as a fraction",
        max_value=Decimal("0.9999"),
        decimal_places=4,
        help_text="0.0725 is 7.25 %.",
    )
    deposit_share = not_below_zero(
        "Deposit, as a fraction of the total",
        max_value=1,
        decimal_places=4,
        help_text="0.3 is 30 %.",
    )

    class Meta:
        model = PriceBook
        fields = ("name", "minimum", "tax_rate", "deposit_share")
        labels = {"name": "Name"}


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
    hourly_cost = not_below_zero("What an hour of it costs us", max_digits=8, decimal_places=2)

    class Meta:
        model = Crew
        fields = ("name", "members", "hourly_cost", "active")
        labels = {
            "name": "Name",
            "members": "Who is in it",
            "active": "Works",
        }
        widgets = {"members": forms.CheckboxSelectMultiple}
