"""Findings, decision, closing: the actions behind a callback."""

from datetime import timedelta
from typing import Any

import pytest
from django.db import IntegrityError

from tests.factories import (
    NOON,
    make_callback,
    make_clean_photo,
    make_fitted_detail,
    make_job,
    make_user,
)
from warranties.actions.callbacks import (
    CallbackClosed,
    Findings,
    NotDecidable,
    close,
    decide,
    record_findings,
)
from warranties.models import Callback

pytestmark = pytest.mark.django_db
LATER = NOON + timedelta(hours=1)


def find(callback: Callback, *, photographs: tuple[Any, ...] = (), **fields: Any) -> None:
    found: dict[str, Any] = {
        "findings": "A jasmine leans on the wall.",
        "cause": "plant-contact",
        **fields,
    }
    record_findings(
        callback=callback,
        found=Findings(**found),
        photographs=photographs,
        by=make_user(role="tech"),
        at=NOON,
    )


def settle(callback: Callback, decision: str = "covered", reason: str = "In the terms.") -> None:
    decide(callback=callback, decision=decision, reason=reason, by=make_user(role="tech"), at=LATER)


def test_keeps_what_was_found_with_photographs() -> None:
    callback = make_callback()

    find(callback, place="leg 4", remedy="Cut back.", photographs=(make_clean_photo(),))

    assert (callback.place, callback.cause, callback.remedy) == (
        "leg 4",
        "plant-contact",
        "Cut back.",
    )
    assert (callback.found_at, callback.stage) == (NOON, "looked at")
    assert callback.photos.get().home == callback.promise.home


def test_findings_can_be_added_to_and_each_version_is_kept() -> None:
    callback = make_callback()
    find(callback, cause="", photographs=(make_clean_photo(),))

    find(callback, photographs=(make_clean_photo("blue"),))

    assert callback.cause == "plant-contact"
    assert callback.photos.count() == 2
    assert list(callback.history.order_by("pk").values_list("cause", flat=True)) == [
        "",
        "",
        "plant-contact",
    ]


def test_refuses_findings_that_say_nothing() -> None:
    with pytest.raises(NotDecidable, match="even if it is nothing"):
        find(make_callback(), findings=" ")


def test_refuses_a_seal_of_another_home() -> None:
    callback, elsewhere = make_callback(), make_fitted_detail(job=make_job(), photographs=0)

    with pytest.raises(NotDecidable, match="is at another home"):
        find(callback, cause="open-joint", detail=elsewhere)

    callback.refresh_from_db()
    assert (callback.findings, callback.detail) == ("", None)


def test_decides_with_cause_and_reason() -> None:
    callback = make_callback()
    find(callback)

    settle(callback)

    assert (callback.decision, callback.reason) == ("covered", "In the terms.")
    assert (callback.decided_at, callback.decided_by) == (LATER, make_user(role="tech"))


def test_a_decision_can_be_changed_and_the_old_one_is_kept() -> None:
    callback = make_callback()
    find(callback)
    settle(callback, "covered", "Ours.")

    settle(callback, "courtesy", "First time.")

    decided = callback.history.exclude(decision="").order_by("pk")
    assert [(each.decision, each.reason) for each in decided] == [
        ("covered", "Ours."),
        ("courtesy", "First time."),
    ]


def test_refuses_a_decision_without_findings() -> None:
    with pytest.raises(NotDecidable, match="name its cause"):
        settle(make_callback())


def test_refuses_a_decision_without_a_cause() -> None:
    callback = make_callback()
    find(callback, cause="")

    with pytest.raises(NotDecidable, match="name its cause"):
        settle(callback)


@pytest.mark.parametrize(("decision", "reason"), [("covered", " "), ("", "Because.")])
def test_refuses_a_decision_without_a_reason(decision: str, reason: str) -> None:
    callback = make_callback()
    find(callback)

    with pytest.raises(NotDecidable, match="needs its reason"):
        settle(callback, decision, reason)

    callback.refresh_from_db()
    assert callback.decision == ""


def test_refuses_to_take_the_cause_from_under_a_decision() -> None:
    callback = make_callback()
    find(callback)
    settle(callback)

    with pytest.raises(NotDecidable, match="keeps a cause"):
        find(callback, cause="")


def test_the_database_too_refuses_a_decision_without_a_cause() -> None:
    with pytest.raises(IntegrityError):
        make_callback(decision="covered", reason="Because.", decided_at=NOON)


def test_closes_what_is_decided_and_done() -> None:
    callback = make_callback()
    find(callback, remedy="Cut back.")
    settle(callback)

    close(callback=callback, at=LATER)

    assert (callback.closed_at, callback.stage) == (LATER, "closed")


def test_refuses_to_close_before_a_decision_or_a_remedy() -> None:
    callback = make_callback()
    find(callback)

    with pytest.raises(NotDecidable, match="not decided yet"):
        close(callback=callback, at=LATER)
    settle(callback)
    with pytest.raises(NotDecidable, match="done about it"):
        close(callback=callback, at=LATER)


def test_nothing_changes_after_it_is_closed() -> None:
    callback = make_callback()
    find(callback, remedy="Cut back.")
    settle(callback)
    close(callback=callback, at=LATER)

    for act in (find, settle):
        with pytest.raises(CallbackClosed, match="closed"):
            act(callback)
    with pytest.raises(CallbackClosed):
        close(callback=callback, at=LATER)
