"""A length in a form: read as typed, refused with a reason, and the same when saved untouched."""

from decimal import Decimal

import pytest
from django import forms
from hypothesis import given
from hypothesis import strategies as st

from customers.forms.measures import TapeField
from shared.length import System

SYSTEMS: list[System] = ["imperial", "metric"]


def field(system: System = "imperial", *, lone: bool = False, signed: bool = False) -> TapeField:
    made = TapeField(required=False, lone=lone, signed=signed)
    made.system = system
    return made


@given(
    st.decimals(min_value=-90_000, max_value=90_000, places=4),
    st.sampled_from(SYSTEMS),
    st.booleans(),
)
def test_saved_untouched_it_stays_the_same(mm: Decimal, system: System, lone: bool) -> None:
    made = field(system, lone=lone, signed=True)

    assert made.clean(made.prepare_value(mm)) == mm


@pytest.mark.parametrize(
    ("typed", "system", "mm"),
    [
        ("24", "imperial", "7315.2"),
        ("7.48", "metric", "7480"),
        ("24-6 1/2", "metric", "7480.3"),
        (" 0 ", "imperial", "0"),
        ("", "imperial", None),
    ],
)
def test_a_lone_number_is_in_the_plan_s_unit(typed: str, system: System, mm: str | None) -> None:
    assert field(system, lone=True).clean(typed) == (None if mm is None else Decimal(mm))


@pytest.mark.parametrize("typed", ["36", "-3 in", "three", "1/3 in", "9" * 61])
def test_what_is_no_length_is_refused(typed: str) -> None:
    with pytest.raises(forms.ValidationError):
        field().clean(typed)


def test_below_zero_only_where_it_may_be() -> None:
    assert field(signed=True).clean("-2 in") == Decimal("-50.8")
