"""Which channels a household lets us use, since when and how we know."""

from collections.abc import Mapping
from datetime import datetime
from typing import NamedTuple

from django.db import transaction

from customers.models import Consent, Household


class Said(NamedTuple):
    """Yes or no to each channel that was asked about, and how we know."""

    channels: Mapping[str, bool]
    how: str


@transaction.atomic
def record_consent(
    *, household: Household, channel: str, given: bool, how: str, at: datetime
) -> Consent:
    """Note that the household lets us use the channel, or no longer does. History keeps both.

    Saying the same again changes nothing: the first time it was said counts.
    """
    said = household.consents.filter(channel=channel).first()
    if said and said.given == given:
        return said
    consent = said or Consent(household=household, channel=channel)
    consent.given, consent.how, consent.at = given, how, at
    consent.save()
    return consent


@transaction.atomic
def record_consents(*, household: Household, said: Said, at: datetime) -> None:
    """Note what the household says of several channels at once."""
    for channel, given in said.channels.items():
        record_consent(household=household, channel=channel, given=given, how=said.how, at=at)
