from datetime import UTC, datetime

import pytest

from tests.factories import NOON, TODAY, make_promise
from warranties.actions.callbacks import NotReportable, log_callback

pytestmark = pytest.mark.django_db


def test_takes_the_report_under_the_years_next_number() -> None:
    promise = make_promise()

    first = log_callback(promise=promise, report=" One in the tub. ", at=NOON)
    second = log_callback(promise=promise, report="Another.", stung=True, at=NOON)

    assert (first.number, second.number) == ("CB-2026-0001", "CB-2026-0002")
    assert (first.report, first.reported_at, first.stage) == ("One in the tub.", NOON, "reported")
    assert (first.is_about_a_sting, second.is_about_a_sting) == (False, True)
    assert first.history.count() == 1


def test_the_year_is_the_homes_own() -> None:
    new_year_in_utc = datetime(2027, 1, 1, 3, 0, tzinfo=UTC)

    assert log_callback(
        promise=make_promise(), report="One.", at=new_year_in_utc
    ).number.startswith("CB-2026-")


def test_a_suspended_promise_still_takes_reports() -> None:
    promise = make_promise(state="suspended")

    log_callback(promise=promise, report="One.", at=NOON)

    assert promise.callbacks.count() == 1


def test_refuses_a_promise_that_has_ended() -> None:
    promise = make_promise(state="ended", ended_on=TODAY)

    with pytest.raises(NotReportable, match="ended on 2 March 2026"):
        log_callback(promise=promise, report="One.", at=NOON)


def test_refuses_silence() -> None:
    with pytest.raises(NotReportable, match="in their words"):
        log_callback(promise=make_promise(), report=" ", at=NOON)
