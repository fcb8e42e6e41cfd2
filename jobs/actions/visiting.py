"""Arriving at a stop of the round, and leaving it done."""

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from jobs.models import Booking
from jobs.signals import crew_set_out, visit_made
from shared.refusals import Refused


class NotVisitable(Refused):
    """The stop cannot be marked so. The message is fit to show a person."""


@transaction.atomic
def set_out(*, booking: Booking, at: datetime) -> None:
    """The crew is on its way: the household is told, once."""
    held = _standing(booking)
    if held.arrived_at or held.done_at:
        raise NotVisitable(_("You are there already."))
    crew_set_out.send(sender=Booking, booking=held, at=at)


@transaction.atomic
def arrive(*, booking: Booking, at: datetime) -> None:
    """Keep when the crew arrived. A second tap changes nothing."""
    held = _standing(booking)
    if held.arrived_at is None:
        held.arrived_at = at
        held.save(update_fields=["arrived_at"])
    booking.refresh_from_db()


@transaction.atomic
def leave(*, booking: Booking, at: datetime) -> None:
    """Keep that the stop is done. A second tap changes nothing."""
    held = _standing(booking)
    if held.done_at is None:
        held.arrived_at = held.arrived_at or at
        held.done_at = at
        held.save(update_fields=["arrived_at", "done_at"])
        visit_made.send(sender=Booking, booking=held, at=at)
    booking.refresh_from_db()


@transaction.atomic
def take_up_again(*, booking: Booking) -> None:
    """Undo "done": the stop stands in the round again, with its time of arrival."""
    held = _standing(booking)
    held.done_at = None
    held.save(update_fields=["done_at"])
    booking.refresh_from_db()


def _standing(booking: Booking) -> Booking:
    held = Booking.objects.select_for_update().get(pk=booking.pk)
    if held.cancelled_at is not None:
        raise NotVisitable(_("This visit was cancelled."))
    return held
