from datetime import timedelta

import pytest

from jobs.actions.visiting import NotVisitable, arrive, leave, take_up_again
from tests.factories import NOON, make_booking

pytestmark = pytest.mark.django_db
LATER = NOON + timedelta(hours=1)


def test_keeps_when_the_crew_came_and_went() -> None:
    stop = make_booking()

    arrive(booking=stop, at=NOON)
    leave(booking=stop, at=LATER)

    assert (stop.arrived_at, stop.done_at) == (NOON, LATER)


def test_a_second_tap_changes_nothing() -> None:
    stop = make_booking()

    for at in (NOON, LATER):
        arrive(booking=stop, at=at)
        leave(booking=stop, at=at)

    assert (stop.arrived_at, stop.done_at) == (NOON, NOON)


def test_leaving_without_a_word_of_arriving_keeps_both() -> None:
    stop = make_booking()

    leave(booking=stop, at=NOON)

    assert (stop.arrived_at, stop.done_at) == (NOON, NOON)


def test_a_stop_can_be_taken_up_again() -> None:
    stop = make_booking(arrived_at=NOON, done_at=LATER)

    take_up_again(booking=stop)

    assert (stop.arrived_at, stop.done_at) == (NOON, None)


def test_refuses_a_visit_that_was_cancelled() -> None:
    stop = make_booking(cancelled_at=NOON)

    for act in (arrive, leave):
        with pytest.raises(NotVisitable, match="cancelled"):
            act(booking=stop, at=NOON)
