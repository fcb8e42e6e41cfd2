"""The plan to take away: SVG, DXF, paper; and its versions compared."""

import io
import xml.etree.ElementTree as ET  # our own drawing

import ezdxf
import pytest
from django.test import Client
from django.urls import reverse

from customers.models import Home
from tests.customers.plan.houses import feature, house, leg
from tests.factories import make_home, make_plan


@pytest.fixture
def home(db: None) -> Home:
    home = make_home(street="14 Juniper Bend")
    pipe = feature("pipe-1", "pipe", name="<hose> & bib")
    make_plan(home=home, document=house(pipe), stage="surveyed")
    make_plan(home=home, document=house(pipe, legs=(leg(2, 8_000, strip=""),)), stage="today")
    return home


def test_the_svg_is_a_drawing_of_that_version(office: Client, home: Home) -> None:
    response = office.get(reverse("plan-svg", args=[home.pk, "surveyed"]))

    drawing = ET.fromstring(response.content)  # noqa: S314  # our own
    assert response.headers["Content-Type"] == "image/svg+xml"
    assert "plan-14-juniper-bend-as-surveyed.svg" in response.headers["Content-Disposition"]
    assert "sandbox" in response.headers["Content-Security-Policy"]
    assert drawing.tag.endswith("svg")
    assert "<hose> & bib" in "".join(drawing.itertext())


def test_the_dxf_opens_in_a_drawing_program(office: Client, home: Home) -> None:
    response = office.get(reverse("plan-dxf", args=[home.pk, "today"]))

    file = ezdxf.filemanagement.read(io.StringIO(response.content.decode()))
    assert "wall" in {entity.dxf.layer for entity in file.modelspace()}


def test_the_paper_has_drawing_ring_and_words(tech: Client, home: Home) -> None:
    page = tech.get(reverse("plan-paper", args=[home.pk, "today"])).content.decode()

    assert 'class="plan"' in page
    assert "Open" in page
    assert "House: 4 legs" in page


@pytest.mark.parametrize("name", ["plan-svg", "plan-dxf", "plan-paper"])
def test_a_version_that_is_not_there_is_not_found(office: Client, home: Home, name: str) -> None:
    assert office.get(reverse(name, args=[home.pk, "fitted"])).status_code == 404


def test_two_versions_are_compared_in_words(office: Client, home: Home) -> None:
    page = office.get(reverse("plan-compare", args=[home.pk])).content.decode()

    assert "From as surveyed to as it is today" in page
    assert "Leg 2: strip was glass, is none." in page


def test_a_version_that_is_missing_is_named(office: Client, home: Home) -> None:
    asked = {"before": "fitted", "after": "today"}
    page = office.get(reverse("plan-compare", args=[home.pk]), asked).content.decode()

    assert "There is no plan as fitted." in page


def test_what_is_no_version_is_refused(office: Client, home: Home) -> None:
    page = office.get(reverse("plan-compare", args=[home.pk]), {"before": "x"}).content.decode()

    assert "x is not one of the available choices" in page
