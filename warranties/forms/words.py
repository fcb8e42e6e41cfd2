"""The words of a notice as the firm writes them, and at which home to look at them."""

from typing import Any

from django import forms
from django.db.models import QuerySet

from customers.models import Home
from warranties.models import Promise
from warranties.phrasing import LONGEST_TEXT, Words, is_texted

HOMES_SHOWN = 30


class WordsForm(forms.Form):
    """Faults beyond an empty field are said by warranties/phrasing.py."""

    subject = forms.CharField(label="Subject", max_length=200)
    body = forms.CharField(
        label="Mail, letter and call",
        max_length=6_000,
        widget=forms.Textarea(attrs={"rows": 18, "spellcheck": "true"}),
        help_text="Empty lines part paragraphs. # begins a heading, - a line of a list,"
        " [words]({my_home}) is a button.",
    )
    text = forms.CharField(
        label="Text message",
        max_length=LONGEST_TEXT,
        widget=forms.Textarea(attrs={"rows": 4, "spellcheck": "true"}),
        help_text="Plain words, sent as they stand. It names {firm} and the link, and says how to"
        " end texts.",
    )
    home = forms.ModelChoiceField(
        label="Look at it as this home gets it", queryset=Home.objects.none(), empty_label=None
    )

    def __init__(self, *args: Any, occasion: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["home"]
        field.queryset = _homes()  # type: ignore[attr-defined]
        field.required = False
        if not is_texted(occasion):
            del self.fields["text"]

    def words(self) -> Words:
        given = self.cleaned_data
        return Words(given["subject"], _lines(given["body"]), _lines(given.get("text", "")))


def _lines(typed: str) -> str:
    """Browsers end lines with two characters; our marks know one."""
    return typed.replace("\r\n", "\n")


def _homes() -> QuerySet[Home]:
    """The homes with the newest promises; where nothing is promised yet, the newest homes."""
    promised = Promise.objects.standing().order_by("-pk").values_list("home", flat=True)
    newest = list(promised[:HOMES_SHOWN]) or list(
        Home.objects.order_by("-pk").values_list("pk", flat=True)[:HOMES_SHOWN]
    )
    return Home.objects.filter(pk__in=newest).order_by("street")
