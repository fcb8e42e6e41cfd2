"""The firm as its papers and mails name it, read from settings."""

from dataclasses import dataclass

from django.conf import settings


@dataclass(frozen=True, slots=True)
class Firm:
    name: str
    address: str
    phone: str
    email: str
    currency: str
    units: str
    base_url: str


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
