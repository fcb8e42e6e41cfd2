"""The firm as its papers and mails name it, read from settings."""

from dataclasses import dataclass
from decimal import Decimal

from django.conf import settings
from phonenumber_field.phonenumber import PhoneNumber
from phonenumbers import NumberParseException

from shared.money import money_text

LETTER_PAPER = {"US", "CA", "MX"}  # the countries that print on it; all others on A4


@dataclass(frozen=True, slots=True)
class Firm:
    name: str
    address: str
    phone: str
    email: str
    currency: str
    units: str
    base_url: str
    envelope: str  # us10: a number 10 with its window low left; din-b: DIN 5008, form B

    @property
    def phone_shown(self) -> str:
        """The telephone number as people here write it; as it is where it cannot be read."""
        try:
            return PhoneNumber.from_string(self.phone, settings.FIRM_COUNTRY).as_national
        except NumberParseException:
            return self.phone


def money_said(amount: Decimal, language: str = "en") -> str:
    """Return the amount in the firm's currency as people of that language read it."""
    return money_text(amount, settings.FIRM_CURRENCY, language)


def the_firm() -> Firm:
    return Firm(
        name=settings.FIRM_NAME,
        address=settings.FIRM_ADDRESS,
        phone=settings.FIRM_PHONE,
        email=settings.FIRM_EMAIL,
        currency=settings.FIRM_CURRENCY,
        units=settings.FIRM_UNITS,
        base_url=settings.BASE_URL,
        envelope=settings.FIRM_ENVELOPE
        or ("us10" if settings.FIRM_COUNTRY in LETTER_PAPER else "din-b"),
    )
