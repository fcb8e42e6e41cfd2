"""The lines of an offer and the agreement to it."""

from typing import Any

from django import forms

from jobs.actions.offering import Agreement, Line
from jobs.models import Offer, PriceBook
from jobs.models.offer import MINIMUM_CODE, agreed_ways
from shared.forms import DayField
from shared.models import languages

EMPTY_ROWS = 3


class LineForm(forms.Form):
    """One line; a row without a code is no line."""

    code = forms.ChoiceField(label="Item", required=False)
    text = forms.CharField(label="As the household reads it", required=False, max_length=200)
    quantity = forms.DecimalField(
        label="Quantity", required=False, min_value=0, max_digits=10, decimal_places=3
    )
    unit_price = forms.DecimalField(
        label="Price for one", required=False, min_value=0, max_digits=12, decimal_places=2
    )

    def __init__(self, *args: Any, codes: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["code"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101  # for the types
        field.choices = [("", "—"), *codes]
        self.fields["unit_price"].widget.attrs["placeholder"] = "from the book"

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("code") and not data.get("quantity"):
            self.add_error("quantity", "How many, or how long?")
        if not data.get("code") and (data.get("quantity") or data.get("text")):
            self.add_error("code", "Which item?")
        return data


class BaseLines(forms.BaseFormSet):
    def lines(self) -> list[Line]:
        """The lines as entered, in their order; removed and empty rows left out."""
        return [
            Line(data["code"], data["quantity"], data["text"], data["unit_price"])
            for form in self.forms
            if (data := form.cleaned_data) and data.get("code") and not data.get("DELETE")
        ]


LineFormSet = forms.formset_factory(
    LineForm, formset=BaseLines, extra=EMPTY_ROWS, max_num=200, can_delete=True
)


def line_formset(offer: Offer, data: Any = None) -> BaseLines:
    """The offer's lines with three empty rows below. Two queries."""
    kept = [
        {
            "code": line.code,
            "text": line.text,
            "quantity": line.quantity_text,
            "unit_price": line.unit_price,
        }
        for line in offer.lines.all()
        if line.code != MINIMUM_CODE
    ]
    formset = LineFormSet(
        data, initial=kept, prefix="lines", form_kwargs={"codes": book_codes(offer.book)}
    )
    assert isinstance(formset, BaseLines)  # noqa: S101  # for the types
    return formset


def book_codes(book: PriceBook) -> list[tuple[str, str]]:
    return [
        (price.code, f"{price.text} ({price.price} {price.per})") for price in book.prices.all()
    ]


class OfferForm(forms.Form):
    language = forms.ChoiceField(
        label="Language we talk about it in",
        choices=languages,
        help_text="The papers speak the same.",
    )
    deposit = forms.DecimalField(
        label="Deposit",
        required=False,
        min_value=0,
        max_digits=12,
        decimal_places=2,
        help_text="Empty: the price book's share of the total.",
    )
    valid_until = DayField(label="Valid until")
    note = forms.CharField(
        label="Note to the household",
        required=False,
        max_length=2_000,
        widget=forms.Textarea(attrs={"rows": 3}),
    )


def moment(label: str, **kwargs: Any) -> forms.DateTimeField:
    """A moment to the minute, typed in the time zone that is active while the form is read."""
    widget = forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M")
    return forms.DateTimeField(label=label, widget=widget, **kwargs)


class AgreementForm(forms.Form):
    """What the office records when a household agreed on paper, at the home or at our place."""

    by = forms.CharField(label="Who agreed", max_length=200)
    how = forms.ChoiceField(
        label="How", choices=lambda: [way for way in agreed_ways() if way[0] != "online"]
    )
    agreed_at = moment("When they agreed")
    warranty_shown_at = moment(
        "When the warranty was shown",
        required=False,
        help_text="Before they agreed. Needed unless they agreed at our place of business.",
    )
    code = forms.CharField(
        label="Code of the paper",
        max_length=20,
        help_text="Six letters and digits at the foot of the paper that they read and signed.",
    )
    told_orally = forms.BooleanField(
        label="We told them aloud that they may cancel within three business days, and that "
        "they may read the warranty first",
        required=False,
    )

    def agreement(self) -> Agreement:
        data = self.cleaned_data
        return Agreement(
            by=data["by"],
            how=data["how"],
            at=data["agreed_at"],
            warranty_shown_at=data["warranty_shown_at"],
            told_orally_at=data["agreed_at"] if data["told_orally"] else None,
            code=data["code"],
        )
