"""Texts that households send: their no counts at once, their call for help is answered."""

import hashlib
import logging
from datetime import datetime, timedelta

from django.conf import settings
from django.db import transaction
from django.db.models import Q
from django.template.loader import render_to_string
from phonenumber_field.phonenumber import PhoneNumber
from phonenumbers import NumberParseException

from customers.actions import record_consent
from customers.models import Household
from shared.firm import the_firm
from shared.models import User
from warranties import replies, segments
from warranties.models import IncomingText
from warranties.notices.posting import CannotTell, NotTaken
from warranties.notices.texting import Text, post_text

log = logging.getLogger(__name__)
AT_MOST = timedelta(minutes=5)  # 47 CFR 64.1200(a)(12): later it is not covered any more.
LONGEST = 1600


class NotHearable(Exception):
    """The gateway's message cannot be read. The message is fit to show a person."""


@transaction.atomic
def hear(*, gateway_id: str, phone: str, words: str, at: datetime) -> IncomingText:
    """Keep a text and do what it asks for; the same text again changes nothing.

    A stop takes the consent of every household with that number. Raises NotHearable.
    """
    number = _number(phone)
    holders = list(
        Household.objects.filter(Q(phone=number) | Q(second_phone=number)).order_by("pk")
    )
    text, new = IncomingText.objects.get_or_create(
        gateway_id=gateway_id,
        defaults={
            "phone": number,
            "household": holders[0] if holders else None,
            "words": words[:LONGEST],
            "heard": replies.heard(words),
            "at": at,
            "read_at": at if replies.plain(words) else None,
        },
    )
    if new and text.heard == "stop":
        for each in holders:
            record_consent(
                household=each, channel="text", given=False, how=f"texted: {words}"[:200], at=at
            )
    return text


def _number(phone: str) -> PhoneNumber:
    refusal = "The sender is no telephone number."
    try:
        number = PhoneNumber.from_string(phone, region=settings.FIRM_COUNTRY)
    except NumberParseException as error:
        raise NotHearable(refusal) from error
    if not number.is_valid():
        raise NotHearable(refusal)
    return number


def answer_soon(at: datetime) -> int:
    """Answer the stops and calls for help of the last five minutes; return how many were.

    Each is answered once at most: where the gateway may have the answer it is not sent again.
    """
    waiting = IncomingText.objects.to_answer(at - AT_MOST).select_related("household")
    return sum(_answer(each, at) for each in waiting.order_by("at"))


def _answer(incoming: IncomingText, at: datetime) -> bool:
    mine = IncomingText.objects.filter(pk=incoming.pk, answered_at=None)
    if not mine.update(answered_at=at):
        return False
    try:
        post_text(_written(incoming), before=lambda: None)
    except NotTaken as error:
        log.warning("No answer to a text yet: %s", error)
        kept = None if not error.permanent else at
        IncomingText.objects.filter(pk=incoming.pk).update(answered_at=kept)
        return False
    except CannotTell as error:
        log.warning("It cannot be told whether a text was answered: %s", error)
    return True


def _written(incoming: IncomingText) -> Text:
    language = incoming.household.language if incoming.household else "en"
    firm = the_firm()
    name = f"warranties/notices/_heard_{incoming.heard}.{language}.txt"
    words = render_to_string(name, {"firm": firm, "phone": firm.phone_shown}).strip()
    told = hashlib.sha256(incoming.gateway_id.encode()).hexdigest()[:24]
    return Text(f"answer-{told}", str(incoming.phone), words, segments.count(words).parts)


def mark_read(*, pk: int, by: User, at: datetime) -> None:
    """A person has read it. Again changes nothing."""
    IncomingText.objects.for_a_person().filter(pk=pk).update(read_at=at)
    log.info("Text %s was read by %s.", pk, by)
