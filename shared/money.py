"""Amounts of money: decimal, whole in the currency's smallest coin, never binary.

Rounding is half up, away from zero (the rule of most sales-tax statutes, for example
RCW 82.08.054: carried to the third decimal and up when that exceeds four). Parts of a total are
made by the method of largest remainders and sum to it exactly. Minor units are those of ISO 4217.
"""

from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from functools import cache

# Every currency of ISO 4217 list one that has a minor unit, by its number of decimals.
_CODES = {
    0: "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF",
    2: """
    AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BMD BND BOB BOV BRL BSD BTN BWP BYN BZD CAD
    CDF CHE CHF CHW CNY COP COU CRC CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS
    GIP GMD GTQ GYD HKD HNL HTG HUF IDR ILS INR IRR JMD KES KGS KHR KPW KYD KZT LAK LBP LKR LRD
    LSL MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MXV MYR MZN NAD NGN NIO NOK NPR NZD PAB
    PEN PGK PHP PKR PLN QAR RON RSD RUB SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP
    SZL THB TJS TMT TOP TRY TTD TWD TZS UAH USD USN UYU UZS VED VES WST XAD XCD XCG YER ZAR ZMW
    ZWG
    """,
    3: "BHD IQD JOD KWD LYD OMR TND",
    4: "CLF UYW",
}
DECIMALS = {code: decimals for decimals, codes in _CODES.items() for code in codes.split()}
_SIGNS = {"USD": "$", "EUR": "€", "GBP": "£"}
# Thousands and decimals. Spanish is that of the United States, which writes both as English does.
_MARKS = {"en": (",", "."), "es": (",", "."), "es-es": (".", ",")}


@cache
def smallest_coin(currency: str = "USD") -> Decimal:
    """Return the currency's smallest amount: 0.01 for USD, 1 for JPY.

    Raises ValueError for a code that ISO 4217 does not list with a minor unit.
    """
    if currency not in DECIMALS:
        raise ValueError(f"“{currency}” is no currency with coins in ISO 4217.")
    return Decimal(1).scaleb(-DECIMALS[currency])


def rounded(amount: Decimal, currency: str = "USD") -> Decimal:
    """Return the amount to the smallest coin, half up, away from zero."""
    return _finite(amount).quantize(smallest_coin(currency), ROUND_HALF_UP)


def allocate(
    total: Decimal, weights: Sequence[Decimal | int], currency: str = "USD"
) -> list[Decimal]:
    """Return the total's parts in proportion to the weights; they sum to it exactly.

    Each part is first rounded down (for a credit: further below zero), then the coins left over
    go one each to the largest remainders, ties to the earlier part. A weight of zero gets
    nothing. Raises ValueError where the weights are none, negative or all zero, or where the
    total is no whole number of the smallest coin.
    """
    coin = smallest_coin(currency)
    coins = Fraction(_finite(total)) / Fraction(coin)
    if coins.denominator != 1:
        raise ValueError(f"{total} is no whole number of {coin} {currency}.")
    shares = [Fraction(_finite(weight)) for weight in weights]
    if any(share < 0 for share in shares) or not sum(shares):
        raise ValueError("Weights are zero or more, and at least one is more than zero.")
    quotas = [coins * share / sum(shares) for share in shares]
    parts = [quota.numerator // quota.denominator for quota in quotas]
    left = int(coins) - sum(parts)
    by_remainder = sorted(range(len(parts)), key=lambda i: parts[i] - quotas[i])
    for index in by_remainder[:left]:
        parts[index] += 1
    return [part * coin for part in parts]


def money_text(amount: Decimal, currency: str = "USD", language: str = "en") -> str:
    """Return the amount as people read it: $1,234.50, -$3.00, 1,234 JPY.

    Rounded half up to the smallest coin. A language that is not known is written as English.
    """
    exact = rounded(amount, currency)
    thousands, decimals = _marks(language)
    digits = f"{abs(exact):,.{DECIMALS[currency]}f}"
    if (thousands, decimals) != (",", "."):
        digits = digits.translate(str.maketrans(",.", thousands + decimals))
    minus = "-" if exact < 0 else ""
    sign = _SIGNS.get(currency)
    if sign and decimals == ".":
        return f"{minus}{sign}{digits}"
    return f"{minus}{digits}\N{NO-BREAK SPACE}{sign or currency}"


def _marks(language: str) -> tuple[str, str]:
    tag = language.lower().replace("_", "-")
    return _MARKS.get(tag) or _MARKS.get(tag.split("-")[0], _MARKS["en"])


def _finite(amount: Decimal | int) -> Decimal:
    """Return the amount as Decimal. Raises TypeError for floats, ValueError for NaN, infinity."""
    if isinstance(amount, float):
        raise TypeError("Money is never a binary float.")
    exact = Decimal(amount)
    if not exact.is_finite():
        raise ValueError(f"{amount} is no amount of money.")
    return exact
