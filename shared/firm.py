"""The firm as its papers and mails name it, read from settings."""

from dataclasses import dataclass

from django.conf import settings
from phonenumber_field.phonenumber import PhoneNumber
from phonenumbers import NumberParseException


@dataclass(frozen=True, slots=True)
class Firm:
    name: str
    address: str
    phone: str
    email: str
    currency: str
    units: str
    base_url: str

    @property
    def phone_shown(self) -> str:
        """The telephone number as people here write it; as it is where it cannot be read."""
        try:
            return PhoneNumber.from_string(self.phone, settings.FIRM_COUNTRY).as_national
        except NumberParseException:
            return self.phone


def the_firm() -> Firm:
    return Firm(
        name=settings.FIRM_NAME,
        address=settings.FIRM_ADDRESS,
        phone=settings.FIRM_PHONE,
        email=settings.FIRM_EMAIL,
        currency=settings.FIRM_CURRENCY,
        units=settings.FIRM_UNITS,
        base_url=settings.BASE_URL,
    )
