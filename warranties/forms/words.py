"""The words of a notice as the firm writes them, and at which home to look at them."""

from typing import Any

from django import forms

from customers.models import Home
from warranties.models import Promise
from warranties.phrasing import Words

HOMES_SHOWN = 30


class WordsForm(forms.Form):
    """Faults beyond an empty field are said by warranties/phrasing.py."""

    subject = forms.CharField(label="Subject", max_length=200)
    body = forms.CharField(
        label="Text",
        max_length=6_000,
        widget=forms.Textarea(attrs={"rows": 18, "spellcheck": "true"}),
        help_text="Empty lines part paragraphs. # begins a heading, - a line of a list,"
        " [words]({my_home}) is a button.",
    )
    home = forms.ModelChoiceField(
        label="Look at it as this home gets it", queryset=Home.objects.none(), empty_label=None
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        newest = Promise.objects.standing().order_by("-pk").values_list("home", flat=True)
        homes = Home.objects.filter(pk__in=list(newest[:HOMES_SHOWN])).order_by("street")
        field = self.fields["home"]
        field.queryset = homes  # type: ignore[attr-defined]
        field.required = False

    def words(self) -> Words:
        return Words(self.cleaned_data["subject"], self.cleaned_data["body"])
