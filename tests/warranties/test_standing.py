"""A promise is suspended only as its terms say, comes back after a check, ends with a reason."""

from datetime import date, timedelta
from itertools import count
from typing import Any

import pytest

from customers.models import Household, HouseholdLink, Plant
from shared.refusals import Refused
from tests.factories import NOON, make_household, make_plant, make_user
from tests.warranties.certified import make_certificate, make_open_promise
from warranties.actions import noticing, standing, transferring
from warranties.models import Check, Notice, Promise, Reading
from warranties.notices.writing import write
from warranties.told import told_of_rest

pytestmark = pytest.mark.django_db
_serial = count()
LATER = NOON + timedelta(days=150)


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


def touch(plant: Plant, day: int, **fields: Any) -> None:
    """Somebody measures the plant touching, that many days after the proof."""
    on = NOON.date() + timedelta(days=day)
    Reading.objects.create(plant=plant, on=on, **{"clearance_mm": 0, **fields})


def make_deaf() -> tuple[Promise, Plant]:
    """A promise whose plant was not cut after three notices, and was seen to touch."""
    promise = make_open_promise()
    plant = promise.home.plants.get()
    send_notices(promise, plant, 100, 114, 130)
    touch(plant, 140)
    return promise, plant


def told_of(promise: Promise) -> list[tuple[str, Household]]:
    told = Notice.objects.filter(kind__startswith="promise-").order_by("pk")
    return [(each.kind, each.household) for each in told]


def test_three_notices_two_weeks_apart_allow_it() -> None:
    promise, plant = make_deaf()

    standing.suspend(promise=promise, plant=plant, by=make_user(), at=LATER)

    assert promise.state == "suspended"
    reason = promise.changes.first()
    assert reason is not None
    assert "10 June 2026, 24 June 2026, 10 July 2026" in reason.reason


def test_who_holds_it_is_told_that_it_rests_and_from_then_on_it_counts() -> None:
    promise, plant = make_deaf()
    standing.suspend(promise=promise, plant=plant, by=None, at=LATER)
    notice = Notice.objects.get(kind="promise-rests")
    assert notice.household == promise.holder
    assert told_of_rest(promise) is None

    noticing.send(pk=notice.pk, at=notice.send_at)

    notice.refresh_from_db()
    assert told_of_rest(promise) == notice.sent_at
    written = write(notice, at=notice.send_at)
    said = "\n".join(str(block) for block in written.blocks)
    assert "“star jasmine”" in said
    assert "June 10, 2026; June 24, 2026; July 10, 2026" in said


def test_nobody_suspends_for_a_plant_that_does_not_touch() -> None:
    promise = make_open_promise()
    plant = promise.home.plants.get()
    send_notices(promise, plant, 100, 114, 130)
    touch(plant, 120)
    with pytest.raises(standing.NotSuspendable, match="Go and see first"):
        standing.suspend(promise=promise, plant=plant, by=None, at=LATER)

    touch(plant, 140, clearance_mm=25)

    with pytest.raises(standing.NotSuspendable, match="Go and see first"):
        standing.suspend(promise=promise, plant=plant, by=None, at=LATER)


def test_nobody_suspends_for_the_neighbours_plant() -> None:
    promise, plant = make_open_promise(), make_plant()

    with pytest.raises(standing.NotSuspendable, match="does not stand at this home"):
        standing.suspend(promise=promise, plant=plant, by=None, at=LATER)


def test_what_the_household_before_them_was_told_allows_nothing() -> None:
    promise, plant = make_deaf()
    Notice.objects.update(household=make_household())

    with pytest.raises(standing.NotSuspendable, match="0 were sent"):
        standing.suspend(promise=promise, plant=plant, by=None, at=LATER)


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
    touch(plant, 140, trimmed_to_mm=400)

    with pytest.raises(standing.NotSuspendable, match="0 were sent"):
        standing.suspend(promise=promise, plant=plant, by=None, at=LATER)


def test_a_plant_that_was_seen_clear_was_cut_by_somebody() -> None:
    promise, plant = make_deaf()
    touch(plant, 145, clearance_mm=plant.needs_mm)
    touch(plant, 149)

    with pytest.raises(standing.NotSuspendable, match="0 were sent"):
        standing.suspend(promise=promise, plant=plant, by=None, at=LATER)


def test_terms_without_the_clause_never_allow_it() -> None:
    promise = make_open_promise()
    promise.terms.suspend_after_notices = None
    promise.terms.save()
    plant = promise.home.plants.get()
    send_notices(promise, plant, 100, 114, 130)

    with pytest.raises(standing.NotSuspendable, match="do not allow"):
        standing.suspend(promise=promise, plant=plant, by=None, at=NOON)


def test_a_check_brings_it_back() -> None:
    promise, plant = make_deaf()
    standing.suspend(promise=promise, plant=plant, by=None, at=LATER)
    old = Check.objects.create(
        home=promise.home, kind="trim", due_on=date(2026, 4, 1), done_on=date(2026, 4, 1)
    )
    new = Check.objects.create(
        home=promise.home, kind="trim", due_on=date(2026, 8, 5), done_on=date(2026, 8, 5)
    )

    with pytest.raises(standing.NotReinstatable, match="a check at this home"):
        standing.reinstate(promise=promise, check=old, by=None, at=NOON + timedelta(days=160))
    with pytest.raises(standing.NotReinstatable, match="star jasmine touches still"):
        standing.reinstate(promise=promise, check=new, by=None, at=NOON + timedelta(days=160))
    touch(plant, 156, trimmed_to_mm=400)
    standing.reinstate(promise=promise, check=new, by=None, at=NOON + timedelta(days=160))

    assert promise.state == "in-force"
    assert [kind for kind, _ in told_of(promise)] == ["promise-rests", "promise-again"]


def test_it_ends_with_a_reason_and_only_once() -> None:
    promise = make_open_promise()

    with pytest.raises(Refused, match="Say why"):
        standing.end(promise=promise, on=date(2026, 5, 1), reason=" ", by=None, at=NOON)
    with pytest.raises(Refused, match="before it began"):
        standing.end(promise=promise, on=date(2026, 3, 1), reason="Gone", by=None, at=NOON)
    with pytest.raises(Refused, match="a day to come"):
        standing.end(promise=promise, on=date(2026, 5, 1), reason="Gone", by=None, at=NOON)
    standing.end(promise=promise, on=date(2026, 5, 1), reason="Taken down.", by=None, at=LATER)
    with pytest.raises(standing.PromiseEnded, match="1 May 2026"):
        standing.end(promise=promise, on=date(2026, 5, 1), reason="Again", by=None, at=LATER)

    assert (promise.state, promise.ended_on) == ("ended", date(2026, 5, 1))
    assert told_of(promise) == [("promise-ended", promise.holder)]
    said = str(write(Notice.objects.get(), at=LATER).blocks)
    assert "ended on May 1, 2026. The reason: Taken down." in said


def test_what_has_ended_goes_to_nobody() -> None:
    """A transfer on its way is called off with it: no yes brings it back to life."""
    certificate = make_certificate()
    promise = certificate.promise
    move = transferring.Move(make_household(name="Okafor"), NOON.date())
    transfer = transferring.start_transfer(promise=promise, move=move, at=NOON)
    transferring.agree(transfer=transfer, household=transfer.old, at=NOON)
    standing.end(promise=promise, on=NOON.date(), reason="Taken down.", by=None, at=LATER)

    with pytest.raises(transferring.NotTransferable, match="closed"):
        transferring.agree(transfer=transfer, household=transfer.new, at=LATER)

    promise.refresh_from_db()
    assert (promise.state, promise.holder) == ("ended", transfer.old)
    assert promise.certificates.current().get() == certificate
    assert not HouseholdLink.objects.filter(purpose="transfer", revoked_at=None).exists()


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
