"""The editor's features: added, measured, touched; what is wrong stands at its field."""

from collections.abc import Callable
from decimal import Decimal

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from customers.models import Home, Plant
from tests.customers.plan.houses import feature, house, leg, touch
from tests.customers.planned import PIPE, document, field_error, post, text
from tests.factories import NOON, make_photo_file, make_plan
from warranties.models import Reading

pytestmark = pytest.mark.usefixtures("at_noon")


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
