"""Seals counted by lot, crew and surface; a lot called back, once a home."""

from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import timedelta

import pytest
from django.test import Client
from django.utils.timezone import now

from customers.actions import record_consent
from jobs.models import Job
from tests.factories import (
    NOON,
    TODAY,
    make_callback,
    make_crew,
    make_fitted_detail,
    make_home,
    make_job,
    make_promise,
    make_user,
)
from warranties import openings, sealing
from warranties.actions import checking, recalling
from warranties.markup import as_text
from warranties.models import Check, Notice, Promise, Recall, SealCount
from warranties.notices.writing import write

pytestmark = pytest.mark.django_db
LONG_AGO = TODAY - timedelta(days=731)


def sealed(lot: str, *, opened: int = 0, street: str = "", crew: str = "") -> Promise:
    """A promise two years old, its two collars sealed with the lot; so many of them opened."""
    job: Job = make_job(
        home=make_home(street=street) if street else make_home(),
        fitted_on=LONG_AGO,
        stage="handed-over",
    )
    if crew:
        job.crew = make_crew(name=crew)
        job.save()
    for _ in range(2):
        make_fitted_detail(job=job, photographs=0, lot=lot, surface="stucco")
    promise = make_promise(job=job, starts_on=LONG_AGO)
    for number in range(opened):  # at every age
        reported_at = NOON - number * timedelta(days=731) / opened
        make_callback(promise=promise, cause="open-joint", reported_at=reported_at)
    make_callback(promise=promise, cause="plant-contact")
    return promise


def recall(lot: str, reason: str = "It does not cure.") -> int:
    return recalling.recall_lot(
        lot=lot, reason=reason, today=TODAY, by=make_user(role="office"), at=now()
    )


def test_counts_each_sealing_once_and_only_what_a_seal_answers_for() -> None:
    sealed("B12", opened=2, crew="North crew")
    sealed("B13")

    recalling.count_seals(today=TODAY)
    recalling.count_seals(today=TODAY)  # again changes nothing

    found = {
        (each.group, each.name): (each.sealings, each.openings, round(each.seal_years, 2))
        for each in SealCount.objects.all()
    }
    assert found == {
        ("firm", ""): (2, 2, 4.0),
        ("lot", "B12"): (1, 2, 2.0),
        ("lot", "B13"): (1, 0, 2.0),
        ("crew", "North crew"): (1, 2, 2.0),
        ("surface", "stucco"): (2, 2, 4.0),
        ("age", "0-1"): (2, 0, 2.0),
        ("age", "1-3"): (2, 2, 2.0),
    }


def test_an_ended_promise_stands_no_longer() -> None:
    promise = sealed("B12")
    promise.state, promise.ended_on = "ended", LONG_AGO + timedelta(days=365)
    promise.save()

    recalling.count_seals(today=TODAY)

    assert SealCount.objects.get(group="lot").seal_years == pytest.approx(1.0, abs=0.01)


def test_a_bad_lot_is_checked_more_often_and_says_why() -> None:
    bad = sealed("B12", opened=14)
    good = [sealed(f"C{number}", street=f"{number} Far Field") for number in range(12)]
    calm = sealing.next_check(good[0].home, today=TODAY)

    recalling.count_seals(today=TODAY)
    check = checking.plan_seal_check(home=bad.home, today=TODAY)

    assert calm == sealing.next_check(good[0].home, today=TODAY)
    assert check
    assert "seals of lot B12 open 5.2 times as often" in check.why
    step = openings.step_of(bad.home)
    assert step.months < 12 == openings.step_of(good[0].home).months
    # By hand: (14 + 2) openings over (14 x 2/26 seal-years expected + 2), twelve months by that.
    assert step.ratio == pytest.approx((14 + 2) / (14 * 2 / 26 + 2), rel=0.01)
    assert openings.lots()[0].count.name == "B12"
    assert openings.lots()[0].stands_out


def test_few_openings_single_out_no_lot() -> None:
    sealed("B12", opened=1)
    sealed("B13")
    recalling.count_seals(today=TODAY)

    assert [lot.stands_out for lot in openings.lots()] == [False, False]


def test_a_recall_plans_one_check_a_home() -> None:
    first = sealed("B12")
    sealed("B13")

    assert recall("B12") == 1
    assert recall("B12") == 0
    second = sealed("B12", street="2 Kiln Street")
    assert recall("B12") == 1

    checks = Check.objects.exclude(recall=None)
    assert {each.home for each in checks} == {first.home, second.home}
    assert {each.due_on for each in checks} == {TODAY + timedelta(days=14)}
    assert Recall.objects.get().reason == "It does not cure."


@pytest.mark.parametrize(
    ("lot", "reason", "why"),
    [("B12", " ", "Say why"), ("Z99", "Bad.", "No home with a promise in force has lot Z99")],
)
def test_refuses_a_recall_without_a_reason_or_a_home(lot: str, reason: str, why: str) -> None:
    sealed("B12")

    with pytest.raises(recalling.NotRecallable, match=why):
        recall(lot, reason)
    assert not Recall.objects.exists()


def test_the_office_calls_a_lot_back(office: Client) -> None:
    sealed("B12/7", opened=3, street="=1+1 Kiln Street")
    recalling.count_seals(today=TODAY)

    shown = office.get("/lots/").content.decode()
    before = office.get("/lots/B12/7/").content.decode()
    said = office.post("/lots/B12/7/recall/", {"reason": "It does not cure."}, follow=True)
    table = b"".join(office.get("/lots/B12/7/?export=csv")).decode("utf-8-sig")

    assert "B12/7" in shown
    assert "none planned" in before
    assert "Lot B12/7 is called back: 1 new check." in said.content.decode()
    assert "'=1+1 Kiln Street" in table
    assert "due by" in table


def test_a_lots_page_asks_as_little_for_many_homes(
    office: Client,
    django_assert_max_num_queries: Callable[[int], AbstractContextManager[object]],
) -> None:
    for number in range(12):
        sealed("B12", street=f"{number} Kiln Street")

    with django_assert_max_num_queries(9):
        office.get("/lots/B12/")


def test_tells_each_household_on_its_channel_and_by_letter_too() -> None:
    by_mail, by_letter = sealed("B12"), sealed("B12")
    record_consent(household=by_letter.holder, channel="mail", given=False, how="told us", at=now())

    recall("B12")
    recall("B12")

    told = Notice.objects.filter(kind="recall")
    assert sorted(told.values_list("household", "channel")) == sorted(
        [
            (by_mail.holder_id, "mail"),
            (by_mail.holder_id, "letter"),
            (by_letter.holder_id, "letter"),
        ]
    )
    written = write(told.earliest("pk"), at=now())
    assert "It does not cure." in as_text(written.blocks)
