"""The right address in place of one that does not work."""

from django import forms

from customers.forms.homes import phone_field


class MailForm(forms.Form):
    address = forms.EmailField(label="The right mail address")


class NumberForm(forms.Form):
    address = phone_field("The right telephone number")


FORMS = {"mail": MailForm, "text": NumberForm}
