"""A day that was entered stands in its field again, whatever language the page speaks.

A slip in its year is refused there: sums with the calendar's own ends would overflow.
"""

from collections.abc import Iterator
from datetime import date

import pytest
from django import forms
from django.core.exceptions import ValidationError
from django.urls import get_resolver
from django.utils.translation import override

get_resolver().url_patterns  # noqa: B018  # loads every form that a page uses


def every(kind: type[forms.BaseForm]) -> Iterator[type[forms.BaseForm]]:
    for form in kind.__subclasses__():
        yield form
        yield from every(form)


DAYS = sorted(
    {
        (f"{form.__module__}.{form.__name__}", name): field
        for form in every(forms.BaseForm)
        if form.__module__.split(".")[0] in {"shared", "customers", "jobs", "warranties"}
        for name, field in getattr(form, "base_fields", {}).items()
        if isinstance(field, forms.DateField)
    }.items(),
    key=lambda each: each[0],
)


each_day = pytest.mark.parametrize(
    "field", [field for _, field in DAYS], ids=[".".join(at) for at, _ in DAYS]
)


@each_day
@pytest.mark.parametrize("language", ["en", "es"])
def test_a_browser_can_read_the_day(field: forms.DateField, language: str) -> None:
    with override(language):
        shown = field.widget.render("on", date(2026, 11, 25))

    assert 'type="date"' in shown
    assert 'value="2026-11-25"' in shown


@each_day
@pytest.mark.parametrize("day", ["0001-01-01", "9999-12-31"])
def test_a_slip_in_the_year_is_refused(field: forms.DateField, day: str) -> None:
    with pytest.raises(ValidationError, match="year"):
        field.clean(day)
