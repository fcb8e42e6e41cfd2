"""What works: shares with their counts, and whether plants were cut before they touched."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.utils.timezone import now
from pytest_django import DjangoAssertNumQueries

from customers.models import Plant
from tests.factories import make_notice, make_plant, make_watch
from warranties.calibration import share
from warranties.models import Notice, Reading
from warranties.working import Look, Told, cut_in_time, fate, lines, said

TOLD, BY = date(2026, 3, 2), date(2026, 4, 13)
DAY = timedelta(days=1)


def test_adds_up_by_any_of_the_three() -> None:
    told = [
        Told("trim-back", "mail", 1, 10, 1, 6, 4),
        Told("trim-back", "text", 2, 5, 0, 5, 5),
        Told("seal-check", "mail", 1, 4, 0, 2, 1),
    ]

    by_channel = lines(told, "channel")

    assert [(each.name, each.sent) for each in by_channel] == [("mail", 14), ("text", 5)]
    assert (by_channel[0].answered.hits, by_channel[0].answered.of) == (5, 14)
    assert [each.name for each in lines(told, "kind")] == ["trim-back", "seal-check"]
    assert [each.sent for each in lines(told, "lead")] == [14, 5]
    assert lines([], "lead") == []


@pytest.mark.parametrize(
    ("looks", "became"),
    [
        ([], "open"),
        ([Look(TOLD - DAY, 0, cut=True)], "open"),  # before we told of it
        ([Look(TOLD, 40, cut=True)], "in time"),
        ([Look(TOLD, 40, cut=False)], "open"),
        ([Look(TOLD, 40, cut=False), Look(BY, 0, cut=False), Look(BY, 0, cut=True)], "touched"),
        ([Look(TOLD, 0, cut=True)], "touched"),
        ([Look(BY, None, cut=True)], "in time"),
        ([Look(BY + DAY, None, cut=True)], "open"),  # nobody measured, and it was late
        ([Look(BY + DAY, 10, cut=True)], "in time"),
        ([Look(TOLD, 40, cut=True), Look(BY, 0, cut=False)], "in time"),  # it grew again
    ],
)
def test_the_fate_of_a_plant(looks: list[Look], became: str) -> None:
    assert fate(TOLD, BY, looks) == became


def test_what_is_not_known_is_left_out() -> None:
    assert cut_in_time(["in time", "touched", "open", "in time"])[:2] == (2, 3)
    assert cut_in_time(["open"])[:3] == (0, 0, None)


@pytest.mark.parametrize(
    ("hits", "of", "words"),
    [
        (0, 0, "none yet"),
        (3, 3, "3 of 3, too few for a share"),
        (19, 19, "19 of 19, too few for a share"),
        (15, 20, "75% (15 of 20; 51% to 91%)"),  # exact: 0.5090 to 0.9134
    ],
)
def test_no_share_without_its_count_and_none_from_a_few(hits: int, of: int, words: str) -> None:
    assert said(share(hits, of)) == words


def sent(plant: Plant, **fields: Any) -> Notice:
    watch = make_watch(plant=plant)
    notice = make_notice(watch=watch, state="sent", sent_at=now() - 30 * DAY, **fields)
    notice.due_on = (now() - 10 * DAY).date()
    notice.save()
    return notice


@pytest.mark.django_db
def test_the_page_counts_what_went_out_in_few_queries(
    office: Client, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    cut, touched = make_plant(), make_plant(mark="plant-2", name="sage")
    sent(cut, answer="done", answered_at=now(), seen_at=now())
    sent(touched, bounced_at=now())
    on = (now() - 20 * DAY).date()
    Reading.objects.create(plant=cut, on=on, trimmed_to_mm=Decimal(305))
    Reading.objects.create(plant=touched, on=on, clearance_mm=Decimal(0))

    with django_assert_num_queries(6):  # session, user, rights; notices, plants told of, readings
        page = office.get("/outbox/what-works/").content.decode()

    assert "1 of 2, too few for a share" in page
    assert "Trim-back" in page
    assert "reminder 1, 42 days ahead".capitalize() in page
    assert "%" not in page.partition("<table")[2]


@pytest.mark.django_db
def test_nothing_was_sent_yet(office: Client) -> None:
    page = office.get("/outbox/what-works/").content.decode()

    assert "We have told of no plant yet." in page
    assert "None was sent yet." in page
