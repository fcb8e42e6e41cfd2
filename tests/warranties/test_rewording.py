"""The firm's own words of notices: written, looked at on a real home, kept, taken back."""

from datetime import UTC, datetime
from decimal import Decimal
from importlib import import_module
from itertools import product

import pytest
from django.apps import apps
from django.core import mail
from django.core.mail import EmailMultiAlternatives
from django.test import Client
from django.utils.timezone import now
from pytest_django import Settings
from time_machine import TimeMachineFixture

from customers.actions import record_consent
from customers.models import Home, HouseholdLink
from tests.customers.plan.houses import feature, house
from tests.factories import (
    NOON,
    TODAY,
    make_home,
    make_household,
    make_job,
    make_notice,
    make_plan,
    make_plant,
    make_promise,
    make_user,
    make_watch,
)
from warranties import phrasing, segments
from warranties.actions import noticing, rewording
from warranties.models import Notice, NoticeWords
from warranties.notices.sample import TOKEN, sample
from warranties.notices.texting import kept_texts
from warranties.notices.words import shipped_words
from warranties.notices.writing import compose
from warranties.phrasing import OCCASIONS, Words, is_texted

pytestmark = pytest.mark.django_db
BODY = "Dear {name},\n\n{plants}\n\n<b>Best wishes</b>\n\n[Home]({my_home})\n"
TEXT = "{firm}: cut the {what}, {when}! {my_home} STOP ends this."
OWN = Words("The {what} at {street}", BODY, TEXT)
FRAME = "{firm}: {subject}. {agree} Reply STOP to end."
PAGE = "/words/trim-back/en/"


def a_home() -> Home:
    home = make_home(street="14 Juniper Bend")
    make_promise(job=make_job(home=home, stage="handed-over"))
    shrub = feature("plant-1", "plant on the ground", leg="leg-2", clearance_mm=Decimal(300))
    make_plan(home=home, stage="fitted", document=house(shrub))
    make_plant(home=home, mark="plant-1")
    return home


def post(client: Client, do: str, **changes: object) -> tuple[int, str]:
    answer = client.post(PAGE, {**OWN._asdict(), "do": do, **changes})
    return answer.status_code, answer.content.decode(errors="replace")


def keep(words: Words = OWN) -> NoticeWords:
    return rewording.keep_words(
        occasion="trim-back", language="en", words=words, by=make_user(), at=NOON
    )


def test_notices_go_out_in_the_firms_words_escaped() -> None:
    keep()
    watch = make_watch(plant=make_plant(home=make_home(street="2 Bend")), opens_on=TODAY)
    noticing.send(pk=make_notice(watch=watch).pk, at=NOON)

    (message,) = mail.outbox

    assert message.subject == "The the lantana at 2 Bend"
    assert "<b>Best wishes</b>" in message.body
    assert isinstance(message, EmailMultiAlternatives)
    assert "&lt;b&gt;Best wishes" in str(message.alternatives[0][0])
    assert "12 Depot Road" in message.body
    assert "/unsubscribe/" in message.body


def test_another_language_keeps_the_shipped_words() -> None:
    keep()
    home = make_home(household=make_household(language="es"))
    watch = make_watch(plant=make_plant(home=home), opens_on=TODAY)
    noticing.send(pk=make_notice(watch=watch, language="es").pk, at=NOON)

    assert mail.outbox[0].subject.startswith("Por favor")


def test_versions_are_kept_and_the_shipped_words_come_back(owner: Client) -> None:
    keep()
    keep(OWN._replace(subject="Once more"))

    shown = owner.get(PAGE).content.decode()
    assert 'value="Once more"' in shown
    assert 'value="The {what} at {street}"' in owner.get(f"{PAGE}?version=1").content.decode()
    assert owner.post(f"{PAGE}shipped/").status_code == 302

    assert list(NoticeWords.objects.values_list("version", "shipped")) == [
        (3, True),
        (2, False),
        (1, False),
    ]
    assert "Please cut back {what}" in owner.get(PAGE).content.decode()
    assert "as shipped" in owner.get("/words/").content.decode()


def test_keeps_good_words_from_the_page(owner: Client) -> None:
    assert post(owner, "keep")[0] == 302

    kept = NoticeWords.objects.get()
    assert (kept.version, kept.words) == (1, OWN)
    assert "your own, version 1" in owner.get("/words/").content.decode()


def test_lines_end_as_browsers_end_them(owner: Client) -> None:
    """A paragraph of its own is one, whatever the line ends are."""
    browsers = {"body": BODY.replace("\n", "\r\n"), "text": f"{TEXT}\r\nThank you"}

    assert post(owner, "keep", **browsers)[0] == 302
    assert NoticeWords.objects.get().words == OWN._replace(text=f"{TEXT}\nThank you")


def test_refuses_words_with_a_fault_and_says_which(owner: Client) -> None:
    status, shown = post(owner, "keep", body="{color}")

    assert status == 422
    assert "There is no field {color} here." in shown
    assert "must name {plants}" in shown
    assert not NoticeWords.objects.exists()


def test_refuses_words_where_the_firm_has_no_postal_address(
    owner: Client, settings: Settings
) -> None:
    settings.FIRM_ADDRESS = " "

    assert "no postal address" in post(owner, "keep")[1]


def test_shows_them_as_a_real_home_gets_them_and_keeps_nothing(owner: Client) -> None:
    home = a_home()

    _, page = post(owner, "see", home=home.pk)
    _, html = post(owner, "mail", home=home.pk)
    _, pdf = post(owner, "letter", home=home.pk)

    assert "The the lantana at 14 Juniper Bend" in page
    assert "segment" in page
    assert "12 Depot Road" in page
    assert "&lt;b&gt;Best wishes&lt;/b&gt;" in html
    assert 'src="data:image/png;base64,' in html
    assert pdf.startswith("%PDF")
    assert not Notice.objects.exists()
    assert not HouseholdLink.objects.exists()
    assert mail.outbox == []


@pytest.mark.parametrize("occasion", OCCASIONS)
def test_every_occasion_can_be_looked_at(owner: Client, occasion: str) -> None:
    home = a_home()
    for language in ("en", "es"):
        address = f"/words/{occasion}/{language}/"
        initial = owner.get(address).context["form"].initial

        answer = owner.post(address, {**initial, "do": "see", "home": home.pk})

        assert answer.context["faults"] == []
        plain = answer.context["look"].plain
        assert "{" not in answer.context["look"].written.subject + plain


def test_texts_go_out_in_the_firms_words(settings: Settings) -> None:
    keep()
    household = make_household(mail="", channel_order=["text"])
    record_consent(household=household, channel="text", given=True, how="said", at=NOON)
    watch = make_watch(plant=make_plant(home=make_home(household=household)), opens_on=TODAY)

    noticing.send(pk=make_notice(watch=watch, channel="text").pk, at=NOON)

    (text,) = kept_texts(1)
    assert text.text.startswith("Dry Creek Barrier Co.: cut the the lantana, as soon as you can! h")
    assert text.text.endswith("/ STOP ends this.")


def test_a_text_is_shown_with_what_makes_it_dear(owner: Client) -> None:
    text = TEXT.replace("cut", "don’t forget to cut")
    home = a_home().pk

    _, page = post(owner, "see", home=home, text=text)
    assert "in UCS-2" in page
    assert "“’” (right single quotation mark; write &#x27;)" in page
    assert "4 segments" in page
    answer = owner.post(PAGE, {**OWN._asdict(), "text": text, "do": "keep"}, follow=True)
    assert "right single quotation mark" in answer.content.decode()
    assert NoticeWords.objects.get().text == text


def test_what_is_never_texted_asks_for_no_text(owner: Client) -> None:
    page = owner.get("/words/agreement/en/").content.decode()
    words = {"subject": "Yours", "body": "Hello"}

    assert "never goes out as a text" in page
    assert 'name="text"' not in page
    assert owner.post("/words/agreement/en/", {**words, "do": "keep"}).status_code == 302


def test_every_shipped_text_is_short(owner: Client, time_machine: TimeMachineFixture) -> None:
    """The visit is on a Monday: Saturday has an accent in Spanish, which makes a text dearer."""
    time_machine.move_to(datetime(2026, 6, 5, 19, tzinfo=UTC), tick=False)
    home = a_home()
    for occasion, language in product(OCCASIONS, ("en", "es")):
        notice = sample(occasion, language, home, now())
        assert notice
        written = compose(notice, shipped_words(occasion, language), token=TOKEN, at=now())

        assert "{" not in written.text, written.text
        assert bool(written.text) == is_texted(occasion)
        assert list(segments.cautions(written.text)) == [], written.text


def test_words_kept_before_keep_the_texts_that_they_went_out_in() -> None:
    """The step that gave each version a text of its own."""
    step = import_module("warranties.migrations.0003_keep_texts_as_they_went_out")
    for occasion, language in [("trim-back", "es"), ("offer", "en"), ("agreement", "en")]:
        NoticeWords.objects.create(
            occasion=occasion, language=language, version=1, subject="S", body="B", made_at=NOON
        )
    NoticeWords.objects.create(
        occasion="season", language="en", version=1, shipped=True, made_at=NOON
    )

    step.keep_texts(apps, None)

    assert dict(NoticeWords.objects.values_list("occasion", "text")) == {
        "trim-back": "{firm}: {subject}, {when}. {my_home} Responda ALTO para no recibir más.",
        "offer": "{firm}: {subject}. {agree} Reply STOP to end.",
        "agreement": "",
        "season": "",
    }
    assert phrasing.faults("offer", Words("S", "{until}\n\n[x]({agree})", FRAME)) == []


def test_unknown_words_are_not_found(owner: Client) -> None:
    for address in ("/words/nothing/en/", "/words/trim-back/fr/"):
        assert owner.get(address).status_code == 404
