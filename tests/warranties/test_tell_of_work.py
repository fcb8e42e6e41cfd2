"""What jobs reports reaches the household: offers, payments, visits; and the year's season."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.core import mail
from django.test import Client

from customers.actions import record_consent
from customers.models import Household
from jobs.actions import booking, offering, visiting
from jobs.actions.paying import record_payment
from jobs.models import Booking, Job, Offer, Payment
from tests.factories import (
    NOON,
    TODAY,
    make_crew,
    make_home,
    make_household,
    make_notice,
    make_offer,
    make_watch,
)
from tests.warranties.papers import text_of
from warranties.actions import noticing, telling
from warranties.models import Check, Notice
from warranties.notices import plan_notices
from warranties.notices.letter import letters_pdf

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)


def sent_words(kind: str) -> str:
    """Send the one notice of that kind and return its mail's subject and text."""
    notice = Notice.objects.get(kind=kind, state="planned")
    assert noticing.send(pk=notice.pk, at=notice.send_at) == "sent"
    return f"{mail.outbox[-1].subject}\n{mail.outbox[-1].body}"


def sent_offer() -> Offer:
    offer = make_offer(valid_until=TODAY + timedelta(days=30))
    offering.send(offer=offer, at=NOON)
    return offer


def test_an_offer_goes_to_the_household_with_the_way_to_agree(client: Client) -> None:
    offer = sent_offer()

    words = sent_words("offer")

    assert words.startswith(f"Our offer for {offer.job.home.street}")
    assert offer.number in words
    assert "April 1, 2026" in words
    assert (
        Household.objects.get().links.filter(purpose="offer", about=offer.job.number).count() == 1
    )


def test_an_offer_that_is_closed_is_not_sent() -> None:
    offer = sent_offer()
    Offer.objects.filter(pk=offer.pk).update(state="declined")
    notice = Notice.objects.get(kind="offer")

    assert noticing.send(pk=notice.pk, at=NOON) == "dropped"


def paid(amount: str = "100.00", on: date = TODAY) -> Payment:
    offer = make_offer()
    Offer.objects.filter(pk=offer.pk).update(state="agreed", agreed_at=NOON)
    kind = "refund" if amount.startswith("-") else "deposit"
    return Payment.objects.create(
        job=offer.job, kind=kind, way="card", amount=Decimal(amount), received_on=on
    )


def test_a_payment_is_confirmed_with_what_is_left() -> None:
    payment = paid()

    telling.tell_of_payment(payment=payment, at=NOON)

    words = sent_words("receipt")
    assert words.startswith("We have received $100.00")
    assert "March 2, 2026" in words
    assert "Still to be paid: $" in words


@pytest.mark.parametrize(("amount", "days"), [("-20.00", 0), ("100.00", 31)])
def test_no_receipt_for_what_is_paid_back_or_long_ago(amount: str, days: int) -> None:
    payment = paid(amount, TODAY - timedelta(days=days))

    assert telling.tell_of_payment(payment=payment, at=NOON) is None


@pytest.mark.parametrize("days", [0, 1])
def test_recording_a_payment_plans_its_receipt_with_the_day_that_it_came(days: int) -> None:
    """A check of yesterday that is entered today is told of today."""
    offer, day = make_offer(), TODAY - timedelta(days=days)
    Offer.objects.filter(pk=offer.pk).update(state="agreed", agreed_at=NOON)
    payment = Payment(kind="deposit", way="check", amount=Decimal("1.00"), received_on=day)

    record_payment(job=offer.job, payment=payment, at=NOON)

    notice = Notice.objects.get(kind="receipt")
    assert (notice.facts["amount"], notice.facts["on"]) == ("1.00", day.isoformat())
    assert notice.send_at == NOON


def test_the_mail_of_a_receipt_carries_it_as_a_paper() -> None:
    payment = paid("500.00")
    payment.job.household.language = "es"
    payment.job.household.save()
    telling.tell_of_payment(payment=payment, at=NOON)

    sent_words("receipt")

    (message,) = mail.outbox
    ((name, pdf, kind),) = [each for each in message.attachments if each[0].endswith(".pdf")]
    assert (name, kind) == (f"recibo-{payment.pk}.pdf", "application/pdf")
    assert isinstance(pdf, bytes)
    said = text_of(pdf)
    assert f"Recibo {payment.pk}" in said
    assert "$500.00" in said
    assert payment.job.number in said
    assert payment.job.household.name in said


def test_a_letter_says_what_its_code_opens() -> None:
    sent_offer()
    telling.tell_of_payment(payment=paid("500.00"), at=NOON)
    make_notice()

    words = text_of(letters_pdf(list(Notice.objects.order_by("pk")), at=NOON))

    assert words.count("This code opens your home's page. Or call") == 1
    assert words.count("This code opens the offer: there you agree") == 1
    assert words.count("there you tell us that it is done") == 1


def test_what_is_left_is_said_once_the_work_is_handed_over_unless_paid_by_then() -> None:
    job = paid().job
    telling.tell_of_balance(job=job, at=NOON)

    assert "Still to be paid: $" in sent_words("balance")

    Notice.objects.update(state="planned", sent_at=None)
    Payment.objects.update(amount=Decimal(1_000_000))
    notice = Notice.objects.get(kind="balance")
    assert noticing.send(pk=notice.pk, at=NOON) == "dropped"


def test_nothing_is_said_where_nothing_is_left() -> None:
    job = Job.objects.get(pk=paid("1000000.00").job_id)

    assert telling.tell_of_balance(job=job, at=NOON) is None


def visit(hours: int = 48, purpose: str = "check", **household: Any) -> Booking:
    begins = NOON + timedelta(hours=hours)
    return booking.book(
        crew=make_crew(),
        home=make_home(household=make_household(**household)),
        purpose=purpose,
        starts_at=begins,
        ends_at=begins + HOUR,
        at=NOON,
    )


def told_at_once() -> None:
    Notice.objects.update(state="sent", sent_at=NOON)


def kinds() -> list[str]:
    return list(Notice.objects.order_by("pk").values_list("kind", flat=True))


def test_the_day_before_a_visit_is_told_of_once_in_the_morning() -> None:
    visit(hours=48)
    told_at_once()
    morning = NOON + timedelta(hours=20)  # 8:00 of the day before

    assert plan_notices(NOON) == 0
    assert plan_notices(morning - HOUR) == 0
    assert plan_notices(morning + HOUR * 5) == 1
    assert plan_notices(morning + HOUR * 6) == 0

    assert kinds() == ["visit-booked", "visit-tomorrow"]
    assert sent_words("visit-tomorrow").startswith("We come tomorrow, Wednesday, March 4, 2026")


def test_who_was_told_of_the_visit_today_is_not_told_of_tomorrow() -> None:
    visit(hours=24)

    assert plan_notices(NOON + HOUR) == 0


def test_a_letter_would_come_too_late_for_tomorrow() -> None:
    visit(channel_order=["letter", "call", "mail", "text"])

    plan_notices(NOON + timedelta(hours=25))

    assert Notice.objects.get(kind="visit-tomorrow").channel == "call"


def test_a_visit_that_was_cancelled_is_not_announced() -> None:
    made = visit()
    told_at_once()
    plan_notices(NOON + timedelta(hours=25))
    Booking.objects.filter(pk=made.pk).update(cancelled_at=NOON)
    notice = Notice.objects.get(kind="visit-tomorrow")

    assert noticing.send(pk=notice.pk, at=NOON + timedelta(hours=25)) == "dropped"


def test_a_crew_that_sets_out_says_so_once() -> None:
    made = visit(hours=1, language="es")

    visiting.set_out(booking=made, at=NOON)
    visiting.set_out(booking=made, at=NOON)

    assert kinds() == ["visit-booked", "visit-on-the-way"]
    assert "Vamos en camino" in sent_words("visit-on-the-way")
    visiting.arrive(booking=made, at=NOON)
    with pytest.raises(visiting.NotVisitable):
        visiting.set_out(booking=made, at=NOON)


def test_a_check_is_reported_with_what_was_found_an_hour_later() -> None:
    made = visit(hours=1)
    Check.objects.create(
        home=made.home, kind="seal", due_on=TODAY, booking=made, findings="One joint sealed anew."
    )

    visiting.leave(booking=made, at=NOON + HOUR)
    visiting.leave(booking=made, at=NOON + HOUR)

    notice = Notice.objects.get(kind="visit-report")
    assert notice.send_at == NOON + 2 * HOUR
    assert "One joint sealed anew." in sent_words("visit-report")


def test_a_visit_that_is_taken_up_again_is_not_reported() -> None:
    made = visit(hours=1)
    visiting.leave(booking=made, at=NOON)
    visiting.take_up_again(booking=made)
    notice = Notice.objects.get(kind="visit-report")

    assert noticing.send(pk=notice.pk, at=notice.send_at) == "dropped"


def test_the_season_is_told_of_once_a_year_where_plants_are_watched() -> None:
    watch = make_watch(opens_on=TODAY + timedelta(days=300))
    make_home(household=make_household(mail="other@example.com"))

    assert plan_notices(NOON.replace(month=1, day=31)) == 0
    assert plan_notices(NOON.replace(month=2, day=5)) == 1
    assert plan_notices(NOON.replace(month=2, day=6)) == 0
    assert plan_notices(NOON.replace(month=7)) == 0

    assert str(watch.plant.name) in sent_words("season")


def test_every_kind_goes_by_text_too() -> None:
    made = visit(hours=1, mail="", channel_order=["text"])
    household = Household.objects.get()
    record_consent(household=household, channel="text", given=True, how="told us", at=NOON)

    visiting.set_out(booking=made, at=NOON)

    notice = Notice.objects.get(kind="visit-on-the-way")
    assert noticing.send(pk=notice.pk, at=NOON) == "sent"
    assert notice.channel == "text"
