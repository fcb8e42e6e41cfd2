"""My home: what a household sees and says behind its link."""

from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils.timezone import now

from customers.links import link_token, make_link, revoke_link
from customers.models import Household, HouseholdLink, Ownership, Photo
from tests.customers.plan.houses import feature, house
from tests.factories import (
    NOON,
    make_home,
    make_household,
    make_notice,
    make_photo_file,
    make_plan,
    make_plant,
    make_watch,
)
from tests.warranties.certified import make_open_promise
from warranties.actions import answering
from warranties.models import Notice, Promise, Reading, Watch
from warranties.notices.leaving import leave_address, leave_token

pytestmark = pytest.mark.django_db
WHOLE = "http://testserver"


def told(**fields: str) -> Notice:
    """A notice that was sent, about a plant that touches in ten days."""
    home = make_home(household=make_household(**fields))
    today = now().astimezone(home.tz).date()
    soon, late = today + timedelta(days=10), today + timedelta(days=40)
    plant = make_plant(home=home)
    watch = make_watch(plant=plant, opens_on=soon, earliest_on=soon, latest_on=late)
    return make_notice(watch=watch, state="sent", sent_at=now())


def token_of(household: Household) -> str:
    make_link(household=household, purpose="my home", at=now(), days=30)
    return link_token(HouseholdLink.objects.latest("pk"))


def page(client: Client, household: Household) -> str:
    return client.get(f"/my-home/{token_of(household)}/").content.decode()


def test_shows_what_to_cut_and_by_when(client: Client) -> None:
    notice = told()
    assert notice.due_on is not None

    shown = page(client, notice.household)

    assert "Closed, but not for long" in shown
    assert "12 inches" in shown
    assert f"{notice.due_on:%B} {notice.due_on.day}, {notice.due_on.year}" in shown
    assert "It is done" in shown
    assert "I need help" in shown
    assert "1-800-222-1222" in shown


def test_speaks_spanish_to_a_spanish_household(client: Client) -> None:
    shown = page(client, told(language="es").household)

    assert '<html lang="es">' in shown
    assert "Ya está hecho" in shown
    assert "pulgadas" in shown


RESTS = {"en": ("Promise on hold", "Ask for the check"), "es": ("en pausa", "Pedir la revisión")}
IS_OVER = {"en": ("ended on", "Call us"), "es": ("terminó el", "Llámenos")}


@pytest.mark.parametrize("language", ["en", "es"])
def test_says_that_the_promise_rests_and_how_it_comes_back(client: Client, language: str) -> None:
    promise = make_open_promise(language=language)
    assert RESTS[language][0] not in page(client, promise.holder)
    promise.changes.create(kind="suspended", at=NOON + timedelta(days=150))
    Promise.objects.update(state="suspended")

    shown = page(client, promise.holder)

    for words in (*RESTS[language], promise.number, "2026", "tel:+16025550100"):
        assert words in shown


@pytest.mark.parametrize("language", ["en", "es"])
def test_says_that_the_promise_ended(client: Client, language: str) -> None:
    promise = make_open_promise(language=language)
    assert IS_OVER[language][0] not in page(client, promise.holder)
    Promise.objects.update(state="ended", ended_on=NOON.date())

    shown = page(client, promise.holder)

    for words in (*IS_OVER[language], promise.number, "2026"):
        assert words in shown
    assert "We write to you in time" not in shown


def test_a_new_owner_sees_that_the_promise_still_names_another(client: Client) -> None:
    promise = make_open_promise()
    buyer = make_household(name="Ilse Thorvald")
    Ownership.objects.update(until=now().date() - timedelta(days=3))
    Ownership.objects.create(
        home=promise.home, household=buyer, since=now().date() - timedelta(days=3)
    )

    shown = page(client, buyer)

    assert "Not yet in your name" in shown
    assert promise.number not in shown


def test_draws_the_home_and_numbers_its_plants(client: Client) -> None:
    notice = told()
    assert notice.plant is not None
    lantana = feature(notice.plant.mark, "plant on the ground", leg="leg-4")
    make_plan(home=notice.home, document=house(feature("pipe-1", "pipe"), lantana))

    shown = page(client, notice.household)

    assert shown.count('class="plan"') == 1
    assert "number 2 in the drawing" in shown
    assert "glass strip</text>" not in shown
    assert "at leg 4" not in shown.split("</figure>")[1]


def test_a_touching_plant_that_is_in_no_plan_opens_the_ring_as_on_the_sheet(
    client: Client,
) -> None:
    notice = told()
    Watch.objects.update(touching=True)
    make_plan(home=notice.home, document=house())

    assert "May be open" in page(client, notice.household)


def test_bears_the_name_of_the_firm_not_of_the_program(client: Client) -> None:
    shown = page(client, told().household)

    assert "Ringkeep" not in shown
    assert "Dry Creek Barrier Co." in shown.split("</header>")[0].split("<header")[1]


def test_a_link_followed_by_a_mail_scanner_answers_nothing(client: Client) -> None:
    notice = told()
    token = token_of(notice.household)

    for said in ("done", "help"):
        answer = client.get(f"/my-home/{token}/notices/{notice.pk}/{said}/")
        assert answer.status_code == 200
        assert answer.headers["Cache-Control"].find("no-store") >= 0

    notice.refresh_from_db()
    assert (notice.answer, Reading.objects.count()) == ("", 1)


def test_done_keeps_a_trimmed_reading_and_forecasts_anew(client: Client) -> None:
    notice = told()
    before = Watch.objects.get()
    token = token_of(notice.household)

    answer = client.post(f"/my-home/{token}/notices/{notice.pk}/done/")

    reading = Reading.objects.latest("pk")
    watch = Watch.objects.get()
    today = now().astimezone(notice.home.tz).date()
    assert answer.headers["Location"] == f"/my-home/{token}/?said=done&of={notice.pk}"
    assert (reading.trimmed_to_mm, reading.clearance_mm, reading.way) == (305, None, "household")
    assert reading.on == today
    assert watch.cycle == reading.pk
    assert watch.opens_on is not None
    assert watch.opens_on > today + timedelta(days=10)
    assert watch.rate_mm == before.rate_mm
    shown = client.get(answer.headers["Location"]).content.decode()
    assert "Thank you" in shown
    assert "It is done" not in shown


def test_done_may_be_shown_by_one_photograph(client: Client) -> None:
    notice = told(language="es")
    token = token_of(notice.household)
    photo = f"/my-home/{token}/notices/{notice.pk}/photo/"
    assert client.post(photo, {"photo": make_photo_file()}).status_code == 302
    assert not Photo.objects.exists()  # Nothing was cut yet.

    after = client.post(f"/my-home/{token}/notices/{notice.pk}/done/").headers["Location"]
    assert "Enviar la fotografía" in client.get(after).content.decode()
    for _ in range(2):
        shown = client.post(photo, {"photo": make_photo_file()}).headers["Location"]

    reading = Reading.objects.get(way="household")
    assert reading.photo == Photo.objects.get(home=notice.home)
    assert "queda guardada" in client.get(shown).content.decode()
    assert "Enviar la fotografía" not in client.get(after).content.decode()


def test_what_is_no_photograph_is_refused_and_asked_for_again(client: Client) -> None:
    notice = told()
    token = token_of(notice.household)
    client.post(f"/my-home/{token}/notices/{notice.pk}/done/")

    nothing: dict[str, object] = {}
    for files in (nothing, {"photo": SimpleUploadedFile("x.jpg", b"<script>")}):
        answer = client.post(f"/my-home/{token}/notices/{notice.pk}/photo/", files)
        assert answer.status_code == 422
        assert "could not read that file" in answer.content.decode()
    assert Reading.objects.get(way="household").photo is None


def test_done_twice_is_done_once(client: Client) -> None:
    notice = told()
    token = token_of(notice.household)
    for _ in range(2):
        client.post(f"/my-home/{token}/notices/{notice.pk}/done/")

    assert Reading.objects.count() == 2
    assert (
        "You told us" in client.get(f"/my-home/{token}/notices/{notice.pk}/done/").content.decode()
    )


def test_help_waits_for_the_office_and_may_become_done(client: Client) -> None:
    notice = told()
    token = token_of(notice.household)

    client.post(f"/my-home/{token}/notices/{notice.pk}/help/")

    assert list(Notice.objects.waiting_for_a_person()) == [notice]
    assert "We ring you up" in page(client, notice.household)
    client.post(f"/my-home/{token}/notices/{notice.pk}/done/")
    assert not Notice.objects.waiting_for_a_person().exists()


def test_nobody_answers_for_another_household(client: Client) -> None:
    notice = told()
    stranger = token_of(make_household())

    for method in (client.get, client.post):
        answer = method(f"/my-home/{stranger}/notices/{notice.pk}/done/")
        assert answer.status_code == 404
    notice.refresh_from_db()
    assert notice.answer == ""


def test_nobody_answers_for_a_home_that_they_sold(client: Client) -> None:
    notice = told()
    token = token_of(notice.household)
    sold_on = now().date() - timedelta(days=3)
    Ownership.objects.filter(home=notice.home).update(until=sold_on)
    readings = Reading.objects.count()

    answer = client.post(f"/my-home/{token}/notices/{notice.pk}/done/")

    assert answer.status_code == 404
    assert Reading.objects.count() == readings


def test_a_form_from_elsewhere_is_refused() -> None:
    notice = told()
    token = token_of(notice.household)

    answer = Client(enforce_csrf_checks=True).post(f"/my-home/{token}/notices/{notice.pk}/done/")

    assert answer.status_code == 403


@pytest.mark.parametrize("over", ["expired", "revoked", "altered"])
def test_a_dead_link_gives_the_firms_phone(client: Client, over: str) -> None:
    token = token_of(told().household)
    link = HouseholdLink.objects.latest("pk")
    if over == "expired":
        HouseholdLink.objects.update(expires_at=now())
    elif over == "revoked":
        revoke_link(link=link, at=now())
    else:
        token += "x"

    answer = client.get(f"/my-home/{token}/")

    assert answer.status_code == 404
    assert "+16025550100" in answer.content.decode()


def test_guessing_is_throttled(client: Client) -> None:
    codes = [client.get(f"/my-home/guess-{number}/").status_code for number in range(21)]

    assert codes == [404] * 20 + [429]
    assert client.get("/unsubscribe/guess/").status_code == 429
    assert client.get(f"/unsubscribe/{leave_token(told())}/").status_code == 200


def mails_are_on(household: Household) -> bool:
    return bool(household.consents.get(channel="mail").given)


def leave(client: Client, notice: Notice, **body: str) -> int:
    return client.post(f"/unsubscribe/{leave_token(notice)}/", body).status_code


def test_one_click_leaves_without_cookie_or_token_and_without_redirect() -> None:
    """RFC 8058; ../shared/standards/law.md 5.4, M-10 and M-14."""
    notice = told()
    address = leave_address(notice).removeprefix("http://127.0.0.1:8000")
    for _ in range(2):
        answer = Client(enforce_csrf_checks=True).post(
            address,
            "List-Unsubscribe=One-Click",
            content_type="application/x-www-form-urlencoded",
        )
        assert answer.status_code == 200
        assert not mails_are_on(notice.household)


def test_one_click_takes_a_multipart_form() -> None:
    """M-12."""
    notice = told()

    assert (
        leave(Client(enforce_csrf_checks=True), notice, **{"List-Unsubscribe": "One-Click"}) == 200
    )
    assert not mails_are_on(notice.household)


def test_following_the_link_changes_nothing(client: Client) -> None:
    """M-11."""
    notice = told()

    assert client.get(f"/unsubscribe/{leave_token(notice)}/").status_code == 200
    assert client.head(f"/unsubscribe/{leave_token(notice)}/").status_code == 200
    assert mails_are_on(notice.household)


def test_other_bodies_and_altered_tokens_change_nothing(client: Client) -> None:
    """M-13."""
    notice = told()

    assert leave(client, notice) == 400
    assert leave(client, notice, **{"List-Unsubscribe": "yes"}) == 400
    altered = leave_token(notice)[:-1] + "_"
    click = {"List-Unsubscribe": "One-Click"}
    assert client.post(f"/unsubscribe/{altered}/", click).status_code == 404
    assert mails_are_on(notice.household)


def test_the_way_out_stays_open_for_years(client: Client) -> None:
    """M-08: the law asks for 30 days; ours never closes."""
    notice = told()
    HouseholdLink.objects.all().delete()
    Notice.objects.update(planned_at=now() - timedelta(days=2_000))

    assert leave(client, notice, **{"List-Unsubscribe": "One-Click"}) == 200


def test_mails_can_be_had_again(client: Client) -> None:
    notice = told()
    token = token_of(notice.household)
    answering.leave_channel(notice=notice, at=now())
    assert "We send you no mails" in page(client, notice.household)

    client.post(f"/my-home/{token}/mails/", {"mails": "yes"})

    assert mails_are_on(notice.household)
