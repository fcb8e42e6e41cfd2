import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.checkdigits import certificate_number, mod_97_10, read_certificate_number

numbers = st.builds(certificate_number, st.integers(1000, 9999), st.integers(1, 10**9 - 1))


@given(numbers)
def test_what_is_made_is_read(number: str) -> None:
    assert read_certificate_number(number) == number


def test_has_one_spelling() -> None:
    number = certificate_number(2026, 42)

    assert number == "RK-2026-00042-32"
    for typed in ("rk-2026-00042-32", " RK 2026 00042 32 ", "RK20260004232", "rk–2O26–OOO42–32"):
        assert read_certificate_number(typed) == number


@given(numbers, st.data())
def test_every_wrong_digit_is_caught(number: str, data: st.DataObject) -> None:
    at = data.draw(st.sampled_from([i for i, sign in enumerate(number) if sign.isdigit()]))
    wrong = data.draw(st.sampled_from([d for d in "0123456789" if d != number[at]]))

    with pytest.raises(ValueError, match="wrong digit"):
        read_certificate_number(number[:at] + wrong + number[at + 1 :])


@given(numbers)
def test_every_swap_of_two_digits_is_caught(number: str) -> None:
    signs = number.replace("-", "")
    for i in range(2, len(signs)):
        for j in range(i + 1, len(signs)):
            if signs[i] != signs[j]:
                swapped = list(signs)
                swapped[i], swapped[j] = swapped[j], swapped[i]
                with pytest.raises(ValueError, match="wrong digit"):
                    read_certificate_number("".join(swapped))


@pytest.mark.parametrize(
    "text", ["", "RK", "RK-2026-42-10", "2026-00042-32", "XX-2026-00042-32", "RK-2026-0004Z-32"]
)
def test_says_what_a_number_looks_like(text: str) -> None:
    with pytest.raises(ValueError, match="looks like RK"):
        read_certificate_number(text)


@pytest.mark.parametrize(("year", "serial"), [(26, 1), (2026, 0), (2026, 10**9), (2026, -1)])
def test_refuses_to_make_a_number_out_of_range(year: int, serial: int) -> None:
    with pytest.raises(ValueError, match=r"no year|not from"):
        certificate_number(year, serial)


@pytest.mark.parametrize("body", ["", "12a", "1 2", "٣"])
def test_refuses_other_signs(body: str) -> None:
    with pytest.raises(ValueError, match="signs"):
        mod_97_10(body)
