"""Model fields for money and lengths, so that every column of a kind is of one size."""

from decimal import Decimal
from typing import Any

from django.db import models

MOST_MONEY = Decimal("9999999999.99")  # what a column of money can hold


class MoneyField(models.DecimalField):
    """An amount in the firm's currency, exact to the cent."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("max_digits", 12)
        kwargs.setdefault("decimal_places", 2)
        super().__init__(*args, **kwargs)


class LengthField(models.DecimalField):
    """A length in millimetres, exact to a 64th of an inch and finer (four places)."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("max_digits", 12)
        kwargs.setdefault("decimal_places", 4)
        super().__init__(*args, **kwargs)
