"""A payment as it is entered: always above zero, a refund too."""

from django import forms

from jobs.models import Payment
from jobs.models.costs import payment_kinds, payment_ways
from shared.forms import DayField


class PaymentForm(forms.Form):
    kind = forms.ChoiceField(label="What it is", choices=payment_kinds)
    way = forms.ChoiceField(label="How it came", choices=payment_ways)
    amount = forms.DecimalField(label="Amount", max_digits=12, decimal_places=2)
    received_on = DayField(label="On")
    reference = forms.CharField(
        label="Number of the check or transfer", required=False, max_length=100
    )

    def payment(self) -> Payment:
        return Payment(**self.cleaned_data)
