"""Planning: each occasion once, at its lead time, over an allowed channel, never a burst."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from customers.models import Consent, Household
from tests.factories import (
    NOON,
    TODAY,
    make_home,
    make_household,
    make_notice,
    make_plant,
    make_watch,
)
from warranties.actions import answering
from warranties.models import Notice, Watch
from warranties.notices import plan_notices

pytestmark = pytest.mark.django_db
MONDAY = NOON  # 2 March 2026, noon in Phoenix


def due_in(days: int, **fields: Any) -> Watch:
    return make_watch(opens_on=TODAY + timedelta(days=days), **fields)


def test_plans_the_first_reminder_six_weeks_ahead() -> None:
    watch = due_in(42)

    added = plan_notices(NOON)

    notice = Notice.objects.get()
    assert added == 1
    assert (notice.kind, notice.lead, notice.channel, notice.state) == (
        "trim-back",
        1,
        "mail",
        "planned",
    )
    assert notice.occasion == f"trim-back:plant-{watch.plant_id}:{watch.cycle}:1"
    assert (notice.plant, notice.home, notice.due_on) == (
        watch.plant,
        watch.plant.home,
        watch.opens_on,
    )
    assert notice.household == watch.plant.home.household()
    assert notice.send_at == NOON
    assert (notice.facts, notice.language, notice.planned_at) == ({}, "en", NOON)


def test_plans_nothing_twice() -> None:
    due_in(30)

    assert plan_notices(NOON) == 1
    assert plan_notices(NOON) == 0
    assert plan_notices(NOON + timedelta(hours=1)) == 0
    assert Notice.objects.count() == 1


def test_a_date_that_moves_makes_no_second_notice() -> None:
    watch = due_in(30)
    plan_notices(NOON)
    Watch.objects.filter(pk=watch.pk).update(opens_on=TODAY + timedelta(days=28))

    assert plan_notices(NOON) == 0


@pytest.mark.parametrize(
    ("days", "lead"),
    [(43, 1), (48, 1), (49, None), (27, 2), (28, 1), (13, 3), (14, 2), (0, 3), (-400, 3)],
)
def test_the_week_of_contact_decides_which_reminder_is_due(days: int, lead: int | None) -> None:
    due_in(days)

    plan_notices(MONDAY)

    assert [notice.lead for notice in Notice.objects.all()] == ([lead] if lead else [])


def test_reminders_follow_one_another_as_the_day_comes_near() -> None:
    due_in(42)

    leads = []
    for day in range(60):
        at = NOON + timedelta(days=day)
        if plan_notices(at):
            notice = Notice.objects.get(state="planned")
            leads.append((day, notice.lead))
            Notice.objects.filter(pk=notice.pk).update(state="sent", sent_at=at, seen_at=at)

    assert leads == [(0, 1), (21, 2), (35, 3)]


def test_an_outage_is_made_up_for_by_one_notice() -> None:
    due_in(21)
    for day in (0, 1, 7):
        plan_notices(NOON + timedelta(days=14 + day))

    assert [notice.lead for notice in Notice.objects.all()] == [3]


def test_waits_while_an_earlier_reminder_is_unsent_or_fresh() -> None:
    due_in(42)
    plan_notices(NOON)
    later = NOON + timedelta(days=21)

    assert plan_notices(later) == 0
    Notice.objects.update(state="sent", seen_at=NOON, sent_at=later - timedelta(days=5))
    assert plan_notices(later) == 0
    Notice.objects.update(sent_at=later - timedelta(days=7))
    assert plan_notices(later) == 1


def test_an_answer_ends_the_reminders_until_it_grows_again() -> None:
    due_in(42)
    plan_notices(NOON)
    Notice.objects.update(state="sent", sent_at=NOON)
    answering.say_done(notice=Notice.objects.get(), at=NOON)

    watch = Watch.objects.get()
    assert watch.opens_on is not None
    assert plan_notices(NOON + timedelta(days=8)) == 0
    again = datetime.combine(watch.opens_on - timedelta(days=42), NOON.timetz())
    assert plan_notices(again) == 1


def test_a_call_for_help_stops_the_reminders_until_somebody_took_it_on() -> None:
    due_in(42)
    plan_notices(NOON)
    Notice.objects.update(state="sent", sent_at=NOON, answer="help")
    later = NOON + timedelta(days=21)

    assert plan_notices(later) == 0
    Notice.objects.update(answer_handled_at=NOON)
    assert plan_notices(later) == 1


def test_plants_of_one_home_go_out_as_one() -> None:
    home = make_home()
    watches = [due_in(days, plant=make_plant(home=home)) for days in (42, 44, 30, 9)]
    due_in(42)

    assert plan_notices(NOON) == 5

    carrier = Notice.objects.get(home=home, state="planned")
    joined = Notice.objects.filter(joined_to=carrier, state="joined")
    assert {carrier.plant, *(each.plant for each in joined)} == {each.plant for each in watches}
    assert Notice.objects.filter(state="planned").count() == 2


@pytest.mark.parametrize("state", ["in-force", "suspended"])
def test_only_homes_with_a_standing_promise_are_told(state: str) -> None:
    due_in(30, promised=False)
    promised = due_in(30)
    promised.plant.home.promises.update(state=state)
    ended = due_in(30)
    ended.plant.home.promises.update(state="ended", ended_on=TODAY)

    plan_notices(NOON)

    assert [notice.plant for notice in Notice.objects.all()] == [promised.plant]


def test_plants_that_are_gone_and_homes_without_a_household_are_left_out() -> None:
    gone = due_in(30)
    gone.plant.removed_on = TODAY
    gone.plant.save()
    empty = due_in(30)
    empty.plant.home.ownerships.update(until=TODAY)
    make_watch(opens_on=None)

    assert plan_notices(NOON) == 0


def channel_for(household: Household) -> str | None:
    due_in(30, plant=make_plant(home=make_home(household=household)))
    plan_notices(NOON)
    notice = Notice.objects.first()
    return notice.channel if notice else None


def refuse(household: Household, *channels: str) -> Household:
    for channel in channels:
        Consent.objects.update_or_create(
            household=household,
            channel=channel,
            defaults={"given": False, "at": NOON, "how": "said so"},
        )
    return household


def test_without_consent_to_mail_a_letter_goes_out() -> None:
    assert channel_for(refuse(make_household(), "mail")) == "letter"


def test_without_an_address_a_letter_goes_out() -> None:
    assert channel_for(make_household(mail="")) == "letter"


def test_who_wants_no_letter_either_is_called() -> None:
    assert channel_for(refuse(make_household(), "mail", "letter")) == "call"


def test_who_wants_nothing_is_told_nothing() -> None:
    assert channel_for(refuse(make_household(), "mail", "letter", "call")) is None


def test_a_household_has_its_own_order() -> None:
    assert channel_for(make_household(channel_order=["call", "mail"])) == "call"


def test_a_household_without_mail_in_its_order_gets_none() -> None:
    assert channel_for(make_household(channel_order=["letter"])) == "letter"


def test_at_night_the_notice_waits_for_the_homes_morning() -> None:
    due_in(30)
    due_in(30, plant=make_plant(home=make_home(zone="America/New_York")))

    plan_notices(datetime(2026, 3, 3, 4, 0, tzinfo=UTC))  # 21:00 in Phoenix, 23:00 in New York

    mornings = [notice.send_at for notice in Notice.objects.order_by("send_at")]
    assert mornings == [
        datetime(2026, 3, 3, 13, 0, tzinfo=UTC),
        datetime(2026, 3, 3, 15, 0, tzinfo=UTC),
    ]


def test_the_spanish_household_gets_spanish() -> None:
    household = make_household(language="es")
    due_in(30, plant=make_plant(home=make_home(household=household)))

    plan_notices(NOON)

    assert Notice.objects.get().language == "es"


def test_takes_the_same_number_of_queries_for_any_number_of_plants() -> None:
    for _ in range(2):
        due_in(30)
    with CaptureQueriesContext(connection) as few:
        plan_notices(NOON)
    for _ in range(12):
        due_in(30)

    with CaptureQueriesContext(connection) as many:
        assert plan_notices(NOON) == 12
    assert len(many) == len(few) < 12


def test_day_of_the_home_counts_not_that_of_greenwich() -> None:
    """On Monday 2 March at 05:00 UTC it is still Sunday in Phoenix: the week before."""
    make_watch(opens_on=date(2026, 4, 19))

    assert plan_notices(datetime(2026, 3, 2, 5, 0, tzinfo=UTC)) == 0
    assert plan_notices(datetime(2026, 3, 2, 15, 0, tzinfo=UTC)) == 1


def test_a_notice_kept_by_hand_counts_as_told() -> None:
    make_notice(state="dropped")

    assert plan_notices(NOON) == 0
