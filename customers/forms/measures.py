"""Fields for lengths and angles, typed as a tape or a laser shows them."""

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from shared.length import Length, System, Unit, UnreadableLength, length_text

# The keys of a telephone: digits, dash, slash and space at a size that a thumb hits.
TAPE_KEYS = {"inputmode": "tel", "autocomplete": "off", "autocapitalize": "off"}
NOTHING = Decimal(0)


class TapeField(forms.CharField):
    """A length in millimetres, None where it is left empty.

    `lone` says that a number without a unit is in feet, or metres where the plan is metric;
    elsewhere only 0 may stand alone. `signed` lets it be below zero.
    """

    widget = forms.TextInput(attrs=TAPE_KEYS)

    def __init__(self, *, lone: bool = False, signed: bool = False, **kwargs: Any) -> None:
        self.system: System = "imperial"
        self.lone, self.signed = lone, signed
        super().__init__(max_length=60, **kwargs)

    def to_python(self, value: Any) -> Any:
        text = str(super().to_python(value) or "").strip()
        if not text:
            return None
        below = self.signed and text.startswith(("-", "\N{MINUS SIGN}"))
        try:
            mm = self._read(text[1:].strip() if below else text).mm
        except UnreadableLength as error:
            raise forms.ValidationError(error.said(gettext)) from error
        return -mm if below else mm

    def _read(self, text: str) -> Length:
        if text == "0":
            return Length(NOTHING)
        feet_or_metres: Unit = "m" if self.system == "metric" else "ft"
        return Length.parse(text, unit=feet_or_metres if self.lone else None)

    def validate(self, value: Any) -> None:
        if self.required and value is None:
            raise forms.ValidationError(self.error_messages["required"], code="required")

    def run_validators(self, value: Any) -> None:
        """The text was read already: what is left is a number."""

    def prepare_value(self, value: Any) -> Any:
        """Return the length as it would be typed: saved again untouched, it stays the same."""
        if not isinstance(value, Decimal):
            return value
        length = Length(abs(value))
        texts = (length_text(length, self.system, denominator) for denominator in (16, 64))
        text = next((each for each in texts if Length.parse(each) == length), str(length))
        return f"-{text}" if value < 0 else text


class AngleField(forms.DecimalField):
    """Degrees of a turn, left out where it is square."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(
            required=False,
            min_value=0,
            max_digits=6,
            decimal_places=2,
            widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
            error_messages={"invalid": _("Write the angle in degrees: 45 or 22.5.")},
            **kwargs,
        )
