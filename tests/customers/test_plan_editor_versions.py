"""The editor over time: undo, late edits, a survey closed, many features."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from customers.models import Home, Plan
from customers.plan.contacts import check_plan
from tests.customers.plan.houses import feature, house, leg
from tests.customers.planned import LEG, PIPE, base, document, post, text
from tests.factories import make_home, make_job, make_plan

pytestmark = pytest.mark.usefixtures("at_noon")


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


def test_north_is_known_only_where_somebody_took_it(tech: Client, walked: Home) -> None:
    before = post(tech, walked, "settings", {"north_deg": "", "unit_hint": "m"}, follow=True)
    untaken = document(walked).north
    after = post(tech, walked, "settings", {"north_deg": "90", "unit_hint": "m"}, follow=True)

    assert (untaken, document(walked).north) == (None, Decimal(90))
    assert "Nobody took north yet" in text(before)
    assert "Nobody took north yet" not in text(after)


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
