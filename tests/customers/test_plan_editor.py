"""The plan editor: each form, each refusal at its field, late edits, with and without htmx."""

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date
from decimal import Decimal
from html import unescape
from typing import Any

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.http import HttpResponse
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from customers.actions import planning
from customers.models import Home, Plan, Plant
from customers.plan.contacts import check_plan
from customers.plan.document import PlanDocument, Walk
from tests.customers.plan.houses import feature, house, leg, touch
from tests.factories import NOON, make_home, make_job, make_photo_file, make_plan
from warranties.models import Reading

LEG = {"surface": "stucco", "strip": "glass", "strip_state": "sound"}
PIPE = {"kind": "pipe", "name": "hose bib", "leg": "leg-1", "at": "6", "clearance": "0"}


@pytest.fixture(autouse=True)
def at_noon() -> Iterator[None]:
    with time_machine.travel(NOON, tick=False):
        yield


@pytest.fixture
def home(db: None) -> Home:
    return make_home()


@pytest.fixture
def walked(home: Home) -> Home:
    make_plan(home=home, document=house())
    return home


def base(home: Home) -> str:
    return planning.standing(home).base


def document(home: Home) -> PlanDocument:
    return planning.standing(home).document


def post(client: Client, home: Home, panel: str, given: dict[str, Any], **more: Any) -> Any:
    given = {"base": base(home), **given}
    return client.post(reverse("plan-panel", args=[home.pk, panel]), given, **more)


def text(response: Any) -> str:
    page = re.sub(r"<(svg|head).*?</\1>", "", response.content.decode(), flags=re.DOTALL)
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", "", page)))


def field_error(response: HttpResponse, name: str) -> str:
    """Return what stands as the error of that field, empty where nothing does."""
    found = re.search(
        rf'<ul class="errors" id="plan_{name}_error">(.*?)</ul>',
        response.content.decode(),
        re.DOTALL,
    )
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", "", found[1]))).strip() if found else ""


def test_a_whole_house_is_walked_leg_by_leg(tech: Client, home: Home) -> None:
    for length in ("32-9 11/16", "8 m", "10000 mm", "26' 2 15/16\""):
        response = post(tech, home, "new-leg", {**LEG, "length": length, "turn": "left"})
        assert response.status_code == 302

    page = text(tech.get(reverse("plan-edit", args=[home.pk])))

    assert "4 legs" in page
    assert "Closes to 0' 0 1/16\", one part in" in page
    assert "Closed." in page
    assert Plan.objects.get(home=home).revision == 4


def test_an_open_walk_says_how_far_it_is_off_and_what_would_close_it(
    tech: Client, home: Home
) -> None:
    for length in ("20", "10", "20"):
        post(tech, home, "new-leg", {**LEG, "length": length, "turn": "left"})

    page = text(tech.get(reverse("plan-edit", args=[home.pk])))

    assert "Does not close : it ends 10' 0\" from where it began." in page.replace(
        "close:", "close :"
    )
    assert "A leg of 10' 0\" straight ahead would close it." in page
    assert "Not closed: the plan has" in page


def test_a_leg_that_is_too_short_is_named_at_once(tech: Client, home: Home) -> None:
    for length in ("30", "20", "28", "20"):
        post(tech, home, "new-leg", {**LEG, "length": length, "turn": "left"})

    page = text(tech.get(reverse("plan-edit", args=[home.pk])))

    assert "Leg 1 looks 2' 0\" long, or leg 3 looks 2' 0\" short." in page


def test_what_stands_there_follows_once_every_walk_closes(tech: Client, home: Home) -> None:
    first = tech.get(reverse("plan-edit", args=[home.pk]))
    make_plan(home=home, document=house())
    later = tech.get(reverse("plan-edit", args=[home.pk]))

    assert "Add a leg" in text(first)
    assert "Add what stands there" in text(later)


def test_the_turn_is_the_button_and_the_angle_its_size(tech: Client, home: Home) -> None:
    for turn, angle in (("left", ""), ("right", "45"), ("straight", "")):
        post(tech, home, "new-leg", {**LEG, "length": "10", "turn": turn, "angle": angle})

    assert [leg.turn_deg for _, leg in document(home).legs] == [90, -45, 0]


def test_a_leg_begins_as_the_one_before_it_ended(tech: Client, walked: Home) -> None:
    page = tech.get(reverse("plan-panel", args=[walked.pk, "new-leg"])).content.decode()

    assert '<option value="glass" selected>glass</option>' in page


@pytest.mark.parametrize(
    ("length", "said"),
    [
        ("", "required"),
        ("0", "leg 5 has no length"),
        ("1/16 in", "Is the unit right?"),
        ("9000", "Is the unit right?"),
        ("-3", "cannot be below zero"),
        ("twelve", "cannot be read at character 1"),
        ("24' 13\"", "12 in or more are a whole ft"),
    ],
)
def test_a_length_that_cannot_be_is_refused_at_its_field(
    tech: Client, walked: Home, length: str, said: str
) -> None:
    response = post(tech, walked, "new-leg", {**LEG, "length": length, "turn": "left"})

    assert response.status_code == 422
    assert said.lower() in field_error(response, "length").lower()
    assert (
        f'value="{length}"'.replace('13"', "13&quot;").replace("' ", "&#x27; ")
        in (response.content.decode())
        or not length
    )
    assert document(walked) == house()


@pytest.mark.parametrize(
    ("given", "field", "said"),
    [
        ({"angle": "180"}, "angle", "less than 180"),
        ({"angle": "square"}, "angle", "in degrees"),
        ({"rise": "200 ft"}, "rise", "twice its chord"),
        ({"strip": "aluminium"}, "strip", "indoors and dry garages only"),
        ({"strip_height": "x"}, "strip_height", "cannot be read"),
    ],
)
def test_what_is_wrong_with_a_leg_stands_at_its_field(
    tech: Client, walked: Home, given: dict[str, str], field: str, said: str
) -> None:
    response = post(tech, walked, "new-leg", {**LEG, "length": "20", "turn": "left", **given})

    assert response.status_code == 422
    assert said in field_error(response, field)


def test_a_walk_that_crosses_itself_says_so_at_the_leg(tech: Client, home: Home) -> None:
    """East 10 m, north 10, west 5, then south 15 through the first leg."""
    turned = ((10, 90), (10, 90), (5, 90), (15, -90), (5, -90), (5, -90))
    legs = tuple(
        leg(number, metres * 1000, turn_deg=Decimal(turn))
        for number, (metres, turn) in enumerate(turned, start=1)
    )
    make_plan(home=home, document=PlanDocument(walks=(Walk(id="walk-1", legs=legs),)))

    listed = text(tech.get(reverse("plan-edit", args=[home.pk])))
    panel = text(tech.get(reverse("plan-panel", args=[home.pk, "leg-4"])))

    assert "Turn: Leg 4 crosses leg 1." in listed
    assert panel.count("Turn: Leg 4 crosses leg 1.") == 2


def test_a_plan_without_ground_says_so(tech: Client, home: Home) -> None:
    post(tech, home, "new-walk", {"name": "Shed", "kind": "outbuilding"})

    page = text(tech.get(reverse("plan-edit", args=[home.pk])))

    assert "No wall meets the ground" in page
    assert "Closed." not in page


@pytest.mark.parametrize(
    ("given", "field", "said"),
    [
        ({"at": "40"}, "at", "beyond the end of leg 1"),
        ({"leg": "leg-9"}, "leg", "no leg"),
        ({"kind": "moat"}, "kind", "nobody knows the kind"),
        ({"kind": ""}, "kind", "required"),
        ({"at": ""}, "at", "required"),
        ({"touch": "gate-7"}, "touch", "to touch"),
        ({"touch": "leg-1"}, "touch", "stands at leg 1 anyway"),
        ({"width": "500 ft"}, "width", "over 100 m"),
        ({"width": "12"}, "width", "the unit is missing"),
        ({"clearance": "near"}, "clearance", "cannot be read"),
    ],
)
def test_what_is_wrong_with_a_feature_stands_at_its_field(
    tech: Client, walked: Home, given: dict[str, str], field: str, said: str
) -> None:
    response = post(tech, walked, "new-feature", {**PIPE, **given})

    assert response.status_code == 422
    assert said.lower() in field_error(response, field).lower()
    assert "hose bib" in response.content.decode()
    assert document(walked) == house()


def test_a_feature_is_added_and_opens_the_ring(tech: Client, walked: Home) -> None:
    response = post(tech, walked, "new-feature", PIPE, follow=True)

    assert "Open: there is one way in: ground > hose bib > building." in text(response)
    [pipe] = document(walked).features
    assert (pipe.id, pipe.name, pipe.at_mm) == ("pipe-1", "hose bib", Decimal("1828.8"))


def test_a_detail_fitted_at_a_contact_closes_it(tech: Client, walked: Home) -> None:
    post(tech, walked, "new-feature", PIPE)

    given = {**PIPE, "detail/house": "collar", "state/house": "sound"}
    response = post(tech, walked, "pipe-1", given, follow=True)

    assert "Closed." in text(response)


def test_a_measure_not_taken_is_kept_as_not_known(tech: Client, walked: Home) -> None:
    response = post(tech, walked, "new-feature", {**PIPE, "clearance": ""}, follow=True)

    assert document(walked).features[0].clearance_mm is None
    assert "Not known: what was not looked at counts as open." in text(response)


def test_a_plant_is_measured_and_photographed(tech: Client, walked: Home) -> None:
    plant = {
        "kind": "plant on the ground",
        "name": "lantana",
        "leg": "leg-4",
        "at": "10",
        "width": "3 ft",
        "clearance": "12 in",
        "plant_kind": "lantana",
        "photo": make_photo_file(),
    }

    response = post(tech, walked, "new-feature", plant, follow=True)

    row = Plant.objects.get(home=walked)
    assert (row.mark, row.kind) == ("plant-1", "lantana")
    assert row.photo is not None
    assert Reading.objects.get(plant=row).clearance_mm == Decimal("304.8")
    assert "Closed. The lantana at leg 4" in text(response)


def test_an_odd_measure_is_asked_about_at_its_field(
    sign_in: Callable[[str], Client], tech: Client, walked: Home
) -> None:
    plant = {"kind": "plant on the ground", "leg": "leg-4", "at": "10", "clearance": "4 in"}
    post(tech, walked, "new-feature", plant)

    with time_machine.travel(NOON.replace(month=6), tick=False):
        tech = sign_in("tech")
        odd = {**plant, "clearance": "13 ft"}
        asked = post(tech, walked, "plant-1", odd)
        kept = post(tech, walked, "plant-1", {**odd, "confirmed": "on"})

    assert asked.status_code == 422
    assert field_error(asked, "clearance")
    assert "I looked again: it is so" in text(asked)
    assert kept.status_code == 302


def test_what_is_no_photograph_is_refused_at_its_field(tech: Client, walked: Home) -> None:
    file = SimpleUploadedFile("IMG_0001.jpg", b"no photograph", content_type="image/jpeg")
    plant = {"kind": "plant on the ground", "leg": "leg-4", "at": "10", "photo": file}

    response = post(tech, walked, "new-feature", plant)

    assert response.status_code == 422
    assert field_error(response, "photo")
    assert not document(walked).features


def test_touches_are_added_changed_and_dropped(tech: Client, home: Home) -> None:
    wall = feature("garden-wall-1", "garden wall", name="gate wall")
    bush = feature("plant-1", "plant on the ground", touches=(touch("leg-2", 100),))
    make_plan(home=home, document=house(wall, bush))
    given = {
        "kind": bush.kind,
        "leg": "leg-1",
        "at": "2 m",
        "gap/leg-2": "8 in",
        "drop/leg-2": "on",
        "touch": "garden-wall-1",
        "touch_gap": "2 in",
    }

    post(tech, home, "plant-1", given)

    assert document(home).features[1].touches == (touch("garden-wall-1", Decimal("50.8")),)  # type: ignore[arg-type]


def test_a_form_saved_untouched_changes_nothing(tech: Client, home: Home) -> None:
    odd = feature(
        "door-1", "door", width_mm=Decimal("914.4"), sill_mm=None, at_mm=Decimal("2345.67")
    )
    kept = house(odd, legs=(leg(1, "7481.3", rise_mm=Decimal("-12.7"), turn_deg=Decimal("-22.5")),))
    make_plan(home=home, document=kept)

    for panel in ("leg-1", "door-1"):
        page = tech.get(reverse("plan-panel", args=[home.pk, panel]))
        form = page.context["form"]
        given = {name: form[name].value() for name in form.fields}
        shown = {
            name: form.fields[name].prepare_value(value)
            for name, value in given.items()
            if value not in (None, False, [])
        }
        assert post(tech, home, panel, shown).status_code == 302

    assert document(home) == kept


def test_a_leg_is_removed_and_brought_back_by_undo(tech: Client, walked: Home) -> None:
    post(tech, walked, "leg-2", {"do": "remove"})
    gone = document(walked)
    tech.post(reverse("plan-undo", args=[walked.pk]), {"base": base(walked)})

    assert gone.leg("leg-2") is None
    assert document(walked) == house()


def test_a_leg_with_something_at_it_says_what_stands_there(tech: Client, home: Home) -> None:
    make_plan(home=home, document=house(feature("pipe-1", "pipe", name="hose bib")))

    response = post(tech, home, "leg-1", {"do": "remove"})

    assert response.status_code == 422
    assert "Move or remove first what stands at leg 1: hose bib." in text(response)


def test_a_late_edit_is_refused_with_what_changed_and_what_was_typed(
    tech: Client, walked: Home
) -> None:
    old = base(walked)
    post(tech, walked, "new-feature", PIPE)

    late = {**LEG, "base": old, "length": "24-6 1/2", "turn": "right", "angle": "30"}
    response = post(tech, walked, "new-leg", late)

    page = response.content.decode()
    assert response.status_code == 409
    assert "The plan was changed meanwhile." in text(response)
    assert "Hose bib (pipe 1) is new." in text(response)
    assert 'value="24-6 1/2"' in page
    assert f'name="base" value="{base(walked)}"' in page
    again = post(tech, walked, "new-leg", {**late, "base": base(walked)})
    assert again.status_code == 302


def test_an_edit_of_what_is_gone_keeps_what_was_typed(tech: Client, walked: Home) -> None:
    old = base(walked)
    post(tech, walked, "leg-2", {"do": "remove"})

    response = post(tech, walked, "leg-2", {**LEG, "base": old, "length": "24-7", "turn": "left"})

    assert response.status_code == 409
    assert "leg 2 was taken out of the plan meanwhile" in text(response)
    assert 'value="24-7"' in response.content.decode()


def test_a_late_undo_undoes_nothing(tech: Client, walked: Home) -> None:
    post(tech, walked, "new-feature", PIPE)
    old = base(walked)
    post(tech, walked, "new-feature", {**PIPE, "name": "second"})

    response = tech.post(reverse("plan-undo", args=[walked.pk]), {"base": old})

    assert response.status_code == 409
    assert len(document(walked).features) == 2


def test_with_htmx_only_the_editor_comes_back(tech: Client, walked: Home) -> None:
    response = post(tech, walked, "new-feature", PIPE, headers={"HX-Request": "true"})

    page = response.content.decode()
    assert response.status_code == 200
    assert page.lstrip().startswith('<div id="editor"') or '<div id="editor"' in page[:300]
    assert "<html" not in page
    assert "Kept: hose bib added." in page
    assert 'class="plan"' in page


def test_the_survey_is_closed_and_the_job_is_measured(tech: Client, walked: Home) -> None:
    job = make_job(home=walked, asked_on=date(2026, 3, 1))

    response = tech.post(
        reverse("plan-close", args=[walked.pk]), {"base": base(walked)}, follow=True
    )

    job.refresh_from_db()
    assert "The survey is closed." in text(response)
    assert job.stage == "measured"


def test_a_survey_that_does_not_close_is_not_done(tech: Client, home: Home) -> None:
    make_plan(home=home, document=house(legs=(leg(2, 9_000),)))

    response = tech.post(reverse("plan-close", args=[home.pk]), {"base": base(home)})

    assert response.status_code == 422
    assert "Put right first: The walk ends" in text(response)


def test_north_and_units_are_kept(tech: Client, walked: Home) -> None:
    post(tech, walked, "settings", {"north_deg": "-15.5", "unit_hint": "m"})

    page = text(tech.get(reverse("plan-edit", args=[walked.pk])))
    assert document(walked).north_deg == Decimal("-15.5")
    assert "10.000 m" in page


def test_several_walks_are_walked_each_on_its_own(tech: Client, walked: Home) -> None:
    post(tech, walked, "new-walk", {"name": "Garage", "kind": "garage"})
    post(tech, walked, "new-leg", {**LEG, "walk": "walk-2", "length": "20", "turn": "right"})

    assert [len(walk.legs) for walk in document(walked).walks] == [4, 1]


def test_a_plan_that_cannot_be_read_is_not_edited(tech: Client, walked: Home) -> None:
    Plan.objects.filter(home=walked).update(document={"schema": 99})

    response = tech.get(reverse("plan-edit", args=[walked.pk]))

    assert response.status_code == 422
    assert "schema 1, not 99" in text(response)


def test_names_are_shown_as_written(tech: Client, walked: Home) -> None:
    named = {**PIPE, "name": "<b>bib</b>"}

    response = post(tech, walked, "new-feature", named, follow=True)

    page = response.content.decode()
    assert "<b>bib</b>" not in page
    assert "&lt;b&gt;bib" in page


def test_the_editor_asks_as_often_for_many_features_as_for_one(tech: Client) -> None:
    pipes = tuple(feature(f"pipe-{n}", "pipe", at_mm=Decimal(500 * n)) for n in range(1, 13))
    one, many = make_home(), make_home()
    make_plan(home=one, document=house(pipes[0]))
    make_plan(home=many, document=house(*pipes))
    tech.get(reverse("plan-edit", args=[one.pk]))

    with CaptureQueriesContext(connection) as for_one:
        tech.get(reverse("plan-edit", args=[one.pk]))
    with CaptureQueriesContext(connection) as for_many:
        tech.get(reverse("plan-edit", args=[many.pk]))

    assert len(for_many) == len(for_one) <= 12


def test_the_page_and_the_ring_check_agree_when_a_plan_has_problems(
    tech: Client, home: Home
) -> None:
    wrong = house(replace(feature("pipe-1", "pipe"), leg="leg-99"))
    make_plan(home=home, document=wrong)

    page = text(tech.get(reverse("plan-edit", args=[home.pk])))

    assert not check_plan(wrong).closed
    assert "Not closed: the plan has a problem" in page
    assert "there is no leg" in page
