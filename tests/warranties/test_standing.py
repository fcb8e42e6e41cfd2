"""A promise is suspended only as its terms say, comes back after a check, ends with a reason."""

from datetime import date, timedelta
from itertools import count

import pytest

from customers.models import Plant
from shared.refusals import Refused
from tests.factories import NOON, make_user
from tests.warranties.certified import make_certificate, make_open_promise
from warranties.actions import standing
from warranties.models import Check, Notice, Promise, Reading

pytestmark = pytest.mark.django_db
_serial = count()


def send_notices(promise: Promise, plant: Plant, *days: int) -> None:
    for day in days:
        serial = next(_serial)
        Notice.objects.create(
            household=promise.holder,
            home=promise.home,
            plant=plant,
            kind="trim-back",
            occasion=f"trim-back:{plant.mark}:{serial}",
            channel="mail",
            send_at=NOON,
            state="sent",
            sent_at=NOON + timedelta(days=day),
        )


def test_three_notices_two_weeks_apart_allow_it() -> None:
    promise = make_open_promise()
    plant = promise.home.plants.get()
    send_notices(promise, plant, 100, 114, 130)

    standing.suspend(promise=promise, plant=plant, by=make_user(), at=NOON + timedelta(days=150))

    assert promise.state == "suspended"
    reason = promise.changes.first()
    assert reason is not None
    assert "10 June 2026, 24 June 2026, 10 July 2026" in reason.reason


@pytest.mark.parametrize("days", [(100, 114), (100, 105, 130), ()])
def test_fewer_or_hurried_notices_do_not(days: tuple[int, ...]) -> None:
    promise = make_open_promise()
    plant = promise.home.plants.get()
    send_notices(promise, plant, *days)

    with pytest.raises(standing.NotSuspendable, match="The terms ask for 3 notices"):
        standing.suspend(promise=promise, plant=plant, by=None, at=NOON + timedelta(days=150))


def test_notices_before_the_plant_was_cut_do_not_count() -> None:
    promise = make_open_promise()
    plant = promise.home.plants.get()
    send_notices(promise, plant, 100, 114, 130)
    Reading.objects.create(plant=plant, on=date(2026, 7, 20), clearance_mm=0, trimmed_to_mm=400)

    with pytest.raises(standing.NotSuspendable, match="0 were sent"):
        standing.suspend(promise=promise, plant=plant, by=None, at=NOON + timedelta(days=150))


def test_terms_without_the_clause_never_allow_it() -> None:
    promise = make_open_promise()
    promise.terms.suspend_after_notices = None
    promise.terms.save()
    plant = promise.home.plants.get()
    send_notices(promise, plant, 100, 114, 130)

    with pytest.raises(standing.NotSuspendable, match="do not allow"):
        standing.suspend(promise=promise, plant=plant, by=None, at=NOON)


def test_a_check_brings_it_back() -> None:
    promise = make_open_promise()
    plant = promise.home.plants.get()
    send_notices(promise, plant, 100, 114, 130)
    standing.suspend(promise=promise, plant=plant, by=None, at=NOON + timedelta(days=150))
    old = Check.objects.create(
        home=promise.home, kind="trim", due_on=date(2026, 4, 1), done_on=date(2026, 4, 1)
    )
    new = Check.objects.create(
        home=promise.home, kind="trim", due_on=date(2026, 8, 5), done_on=date(2026, 8, 5)
    )

    with pytest.raises(standing.NotReinstatable, match="a check at this home"):
        standing.reinstate(promise=promise, check=old, by=None, at=NOON + timedelta(days=160))
    standing.reinstate(promise=promise, check=new, by=None, at=NOON + timedelta(days=160))

    assert promise.state == "in-force"


def test_it_ends_with_a_reason_and_only_once() -> None:
    promise = make_open_promise()

    with pytest.raises(Refused, match="Say why"):
        standing.end(promise=promise, on=date(2026, 5, 1), reason=" ", by=None, at=NOON)
    with pytest.raises(Refused, match="before it began"):
        standing.end(promise=promise, on=date(2026, 3, 1), reason="Gone", by=None, at=NOON)
    standing.end(promise=promise, on=date(2026, 5, 1), reason="Taken down.", by=None, at=NOON)
    with pytest.raises(standing.PromiseEnded, match="1 May 2026"):
        standing.end(promise=promise, on=date(2026, 5, 1), reason="Again", by=None, at=NOON)

    assert (promise.state, promise.ended_on) == ("ended", date(2026, 5, 1))


def test_a_new_name_makes_a_new_edition() -> None:
    certificate = make_certificate()
    promise = certificate.promise
    promise.holder.name = "Ana Ortega"
    promise.holder.save()

    new = standing.issue_again(promise=promise, reason="Married.", by=None, at=NOON)

    certificate.refresh_from_db()
    assert (new.edition, new.record["holder"]) == (2, "Ana Ortega")
    assert certificate.replaced_at == NOON
    assert {"renamed", "issued"} <= set(promise.changes.values_list("kind", flat=True))
