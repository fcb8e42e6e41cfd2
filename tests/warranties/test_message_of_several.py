"""A message of several notices stays whole: nothing of it is lost, nothing doubled."""

from datetime import timedelta
from importlib import import_module
from typing import Any

import pytest
from django.apps import apps
from django.core import mail
from django.core.mail import EmailMultiAlternatives
from django.db import IntegrityError, transaction
from django.test import Client
from django.utils.timezone import now

from customers.actions import record_consent
from customers.links import link_token
from tests.factories import (
    NOON,
    TODAY,
    make_booking,
    make_check,
    make_notice,
)
from tests.warranties.bundles import bundle
from tests.warranties.mails import send, sent
from warranties.actions import answering, bouncing, noticing
from warranties.actions.addresses import correct_address
from warranties.bounces import Report
from warranties.models import Notice
from warranties.notices import plan_notices
from warranties.notices.entrance import link_of
from warranties.notices.joining import join_waiting
from warranties.notices.posting import CannotTell, NotTaken
from warranties.notices.texting import kept_texts

pytestmark = pytest.mark.django_db
WEEK = timedelta(days=7)


def test_what_is_moot_by_now_is_left_out_of_the_message() -> None:
    carrier = bundle()
    plant = Notice.objects.filter(kind="trim-back").earliest("pk")
    answering.say_done(notice=plant, at=NOON)
    Notice.objects.filter(pk=plant.pk).update(state="joined", joined_to=carrier)

    assert send(carrier) == "sent"

    plant.refresh_from_db()
    assert (plant.state, plant.joined_to, plant.sent_at) == ("dropped", None, None)
    assert f"/notices/{plant.pk}/" not in sent().body
    assert sent().subject == "Please cut back the sage at 14 Juniper Bend, and 2 more"


def test_where_the_carrier_is_moot_the_next_part_carries_the_rest() -> None:
    carrier = bundle()
    Notice.objects.filter(pk=carrier.pk).update(after=make_notice(seen_at=NOON, state="dropped"))

    assert send(carrier) == "dropped"
    new = Notice.objects.get(state="planned")
    assert (carrier.joined.count(), new.joined.count()) == (0, 2)
    assert send(new) == "sent"

    assert sent().subject == "Please cut back 2 plants at 14 Juniper Bend, and 1 more"
    assert sent().message()["Message-ID"] == new.message_id
    assert Notice.objects.told().count() == 3


def test_a_word_that_is_changed_takes_nothing_else_with_it() -> None:
    carrier = bundle()
    Notice.objects.filter(pk=carrier.pk).update(kind="visit-booked", booking=make_booking())
    carrier.refresh_from_db()
    assert carrier.booking is not None

    noticing.plan_visit_notice(booking=carrier.booking, change="moved", at=NOON)

    carrier.refresh_from_db()
    assert carrier.state == "dropped"
    assert Notice.objects.filter(state="planned").count() == 2
    assert Notice.objects.filter(state="joined").count() == 2


def test_who_left_the_channel_meanwhile_gets_it_all_over_another() -> None:
    carrier = bundle()
    record_consent(household=carrier.household, channel="mail", given=False, how="left", at=NOON)

    assert send(carrier) == "planned"
    assert set(Notice.objects.values_list("channel", "state")) == {("text", "planned")}
    join_waiting(NOON)
    assert send(carrier) == "sent"

    assert len(kept_texts(9)) == 1
    assert mail.outbox == []


def test_a_bounce_takes_all_its_parts_on_as_one() -> None:
    carrier = bundle()
    send(carrier)
    report = Report(carrier.household.mail, "failed", True, "5.1.1", "No", carrier.message_id)

    assert carrier.joined.count() == 3
    assert bouncing.note_bounce(report=report, at=NOON)
    assert not bouncing.note_bounce(report=report, at=NOON)
    assert plan_notices(NOON) == 4

    on = Notice.objects.get(state="planned")
    assert (on.channel, on.joined.count()) == ("text", 3)
    assert send(on) == "sent"
    assert plan_notices(NOON) == 0


def test_seen_through_one_of_its_links_is_seen_in_all_parts(client: Client) -> None:
    carrier = bundle()
    send(carrier)
    Notice.objects.update(sent_at=now())
    check = Notice.objects.get(kind="seal-check")
    token = link_token(link_of(carrier, now()))
    carrier.household.links.update(expires_at=now() + WEEK)

    client.post(f"/my-home/{token}/notices/{check.pk}/help/")

    assert not Notice.objects.filter(seen_at=None).exists()
    assert list(Notice.objects.exclude(answer="")) == [check]


def test_an_address_that_is_none_takes_all_its_parts_on_at_once(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    carrier = bundle()
    fail_with(monkeypatch, NotTaken("550 5.1.1 no such user", permanent=True, no_such=True))

    assert send(carrier) == "planned"

    assert set(Notice.objects.values_list("channel", "state")) == {("text", "planned")}
    join_waiting(NOON)
    assert carrier.joined.count() == 3


def test_an_address_put_right_takes_all_its_parts_back() -> None:
    carrier = bundle()
    send(carrier)
    report = Report(carrier.household.mail, "failed", True, "5.1.1", "No", carrier.message_id)
    bouncing.note_bounce(report=report, at=NOON)
    plan_notices(NOON)

    taken = correct_address(
        household=carrier.household, channel="mail", address="right@example.com", at=NOON
    )
    join_waiting(NOON)

    assert taken == 4
    on = Notice.objects.get(state="planned")
    assert (on.channel, on.joined.count()) == ("mail", 3)


def fail_with(monkeypatch: pytest.MonkeyPatch, error: Exception) -> None:
    def post(_message: EmailMultiAlternatives, *, before: Any) -> None:
        before()
        raise error

    monkeypatch.setattr(noticing, "post", post)


def test_what_somebody_may_have_takes_nothing_more_along(monkeypatch: pytest.MonkeyPatch) -> None:
    """Its Message-ID would stand for two messages, and a mail program shows one of them."""
    carrier = bundle()
    with monkeypatch.context() as patch:
        fail_with(patch, CannotTell("line broke"))
        assert send(carrier) == "held"
    late = make_check(home=carrier.home, due_on=TODAY)
    noticing.release(pk=carrier.pk, at=NOON)

    plan_notices(NOON)

    assert carrier.joined.count() == 3
    assert Notice.objects.get(occasion=f"check:{late.pk}").state == "planned"


def test_what_nobody_has_goes_on_with_what_came_due(monkeypatch: pytest.MonkeyPatch) -> None:
    """Refused for now: the next try takes along what came due, and does not keep it waiting."""
    carrier = bundle()
    with monkeypatch.context() as patch:
        fail_with(patch, NotTaken("451 later", permanent=False))
        assert send(carrier) == "planned"
    make_check(home=carrier.home, due_on=TODAY)

    plan_notices(NOON)

    carrier.refresh_from_db()
    assert (carrier.joined.count(), carrier.send_at) == (4, NOON)


def test_a_message_that_comes_back_takes_in_one_that_formed_meanwhile() -> None:
    """Two carriers become one message with all parts: none is left in one that is in another."""
    carrier = bundle()
    Notice.objects.filter(pk=carrier.pk).update(state="held")
    for _ in range(2):
        make_check(home=carrier.home, due_on=TODAY)
    plan_notices(NOON)
    assert Notice.objects.filter(state="planned").count() == 1

    noticing.release(pk=carrier.pk, at=NOON)
    join_waiting(NOON)

    assert list(Notice.objects.filter(state="planned")) == [carrier]
    assert carrier.joined.count() == 5


def test_a_person_who_drops_a_message_drops_all_its_parts(office: Client) -> None:
    carrier = bundle()
    Notice.objects.filter(pk=carrier.pk).update(state="held")
    page = office.get("/outbox/").content.decode()
    assert "Growing season begins, seal check due, trim-back, trim-back for" in page

    noticing.drop(pk=carrier.pk, reason="They moved.")

    assert set(Notice.objects.values_list("state", "state_reason")) == {("dropped", "They moved.")}


@pytest.mark.parametrize("state", ["planned", "claimed", "held", "sent"])
def test_what_is_in_another_cannot_go_out_by_itself(state: str) -> None:
    carrier = bundle()
    part = carrier.joined.first()
    assert part is not None

    moments = {"sent_at": NOON, "claimed_at": NOON}
    with pytest.raises(IntegrityError), transaction.atomic():
        Notice.objects.filter(pk=part.pk).update(state=state, **moments)


def test_what_was_told_in_another_before_gets_what_stood_on_that_one_alone() -> None:
    """The migration's function, on rows as they were kept until then."""
    told, dropped = make_notice(state="sent", sent_at=NOON, bounced_at=NOON), make_notice()
    Notice.objects.filter(pk=dropped.pk).update(state="dropped")
    for carrier in (told, dropped):
        make_notice(state="joined", joined_to=carrier, channel="text")
    name = "warranties.migrations.0007_what_was_told_in_another_has_its_moment"

    import_module(name).keep_on_each(apps, None)

    columns = ("state", "channel", "sent_at", "bounced_at")
    rows = Notice.objects.exclude(joined_to=None).order_by("pk").values_list(*columns)
    assert list(rows) == [("joined", "mail", NOON, NOON), ("dropped", "text", None, None)]
