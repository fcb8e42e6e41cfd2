from decimal import Decimal

from django import forms
from django.template import Context, Template
from pytest_django import Settings


def shown(template: str, **values: object) -> str:
    return Template("{% load ringkeep %}" + template).render(Context(values, autoescape=False))


def test_shows_money_and_lengths_as_the_firm_reads_them(settings: Settings) -> None:
    assert shown("{{ x|money }}", x=Decimal("1234.5")) == "$1,234.50"
    assert shown("{{ x|length }}", x=Decimal(305)) == "1' 0\""
    settings.FIRM_CURRENCY, settings.FIRM_UNITS = "EUR", "metric"
    assert shown("{{ x|length }}", x=Decimal(305)) == "0.305 m"
    assert "€" in shown("{{ x|money }}", x=Decimal(3))


def test_shows_a_dash_for_nothing() -> None:
    assert shown("{{ x|money }} {{ x|length }}", x=None) == "– –"


class Choosing(forms.Form):
    crew = forms.ChoiceField(
        choices=[("", "any"), ("a&b", "A & <B>"), ("Far", [("c", "Crew C")])], required=False
    )


def test_a_box_of_choices_escapes_marks_and_groups() -> None:
    box = str(Choosing({"crew": "a&b"})["crew"])

    assert box.startswith('<select name="crew" id="id_crew">')
    assert '<option value="">any</option>' in box
    assert '<option value="a&amp;b" selected>A &amp; &lt;B&gt;</option>' in box
    assert '<optgroup label="Far"><option value="c">Crew C</option></optgroup>' in box
