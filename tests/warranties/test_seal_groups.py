"""Which seals an opening counts for: by hand on houses with walls to all sides."""

from datetime import timedelta

import pytest
from django.test import Client
from django.utils.translation import override

from jobs.models import FittedDetail
from tests.factories import (
    NOON,
    TODAY,
    make_callback,
    make_crew,
    make_fitted_detail,
    make_home,
    make_job,
    make_promise,
)
from warranties import openings
from warranties.actions import checking, recalling
from warranties.models import Check, Promise, SealCount

pytestmark = pytest.mark.django_db
LONG_AGO = TODAY - timedelta(days=1461)  # Four years to the day: 4.0 seal-years.
SIDES = ("north", "east", "south", "west")


def sealed(*exposures: str, lot: str = "", **fields: object) -> Promise:
    """A promise of four years, with a detail of each exposure."""
    job = make_job(home=make_home(), fitted_on=LONG_AGO, stage="handed-over", **fields)
    for exposure in exposures:
        make_fitted_detail(job=job, photographs=0, exposure=exposure, lot=lot, surface="stucco")
    return make_promise(job=job, starts_on=LONG_AGO)


def opened(promise: Promise, exposure: str = "", *, days_ago: int = 0) -> None:
    details = FittedDetail.objects.filter(job=promise.job_id, exposure=exposure)
    make_callback(
        promise=promise,
        cause="open-joint",
        detail=details.first() if exposure else None,
        reported_at=NOON - timedelta(days=days_ago),
    )


def counted(*kinds: str) -> dict[str, tuple[int, float, float]]:
    recalling.count_seals(today=TODAY)
    rows = SealCount.objects.filter(group__in=kinds)
    return {row.name: (row.sealings, row.openings, round(row.seal_years, 2)) for row in rows}


def test_an_opening_counts_for_the_side_of_the_detail_that_opened() -> None:
    opened(sealed(*SIDES), "south")

    assert counted("exposure") == {
        "north": (1, 0, 1.0),
        "east": (1, 0, 1.0),
        "south": (1, 1, 1.0),
        "west": (1, 0, 1.0),
    }
    assert counted("firm", "surface") == {"": (1, 1, 4.0), "stucco": (1, 1, 4.0)}


def test_an_opening_that_nobody_can_place_is_shared_out_among_the_details() -> None:
    opened(sealed("south", "south", "south", "west"))

    assert counted("exposure") == {"south": (1, 0.75, 3.0), "west": (1, 0.25, 1.0)}


def test_what_is_not_known_of_a_detail_counts_for_no_group() -> None:
    promise = sealed("south", "", lot="")
    opened(promise)
    opened(promise, "south")

    assert counted("exposure") == {"south": (1, 1.5, 2.0)}
    assert counted("lot") == {}


def test_a_cut_back_leaves_no_seal() -> None:
    promise = sealed("south")
    assert promise.job
    make_fitted_detail(job=promise.job, photographs=0, exposure="north", code="cut-back")
    opened(promise)

    assert counted("exposure") == {"south": (1, 1, 4.0)}


def test_where_all_open_alike_every_side_has_the_same_rate() -> None:
    for exposures in (("south", "south", "west"), ("west",), SIDES, (*SIDES, "south")):
        opened(sealed(*exposures))

    found = counted("exposure")

    rates = [years / of for _homes, of, years in found.values()]
    assert rates == pytest.approx([4.0] * 4, rel=0.01)  # of years to two decimals
    assert sum(of for _homes, of, _years in found.values()) == pytest.approx(4)


def test_a_detail_of_another_job_counts_for_the_firm_alone() -> None:
    promise = sealed("south", crew=make_crew(name="North crew"))
    later = make_job(home=promise.home, kind="extension")
    far = make_fitted_detail(job=later, photographs=0, exposure="south")
    make_callback(promise=promise, cause="open-joint", detail=far)

    assert counted("firm") == {"": (1, 1, 4.0)}
    assert counted("exposure", "crew", "age") == {
        "south": (1, 0, 4.0),
        "North crew": (1, 0, 4.0),
        "0-1": (1, 0, 1.0),
        "1-3": (1, 0, 2.0),
        "3-6": (1, 0, 1.0),
    }


def test_an_opening_counts_for_the_age_at_which_it_was_reported() -> None:
    promise = sealed("south")
    opened(promise)
    opened(promise, days_ago=1461 - 365)  # on the first birthday
    opened(promise, days_ago=1461 - 364)

    assert counted("age") == {"0-1": (1, 1, 1.0), "1-3": (1, 1, 2.0), "3-6": (1, 1, 1.0)}


def bad_west() -> Promise:
    """Twenty houses; every second opened twice, nine of ten on the west side, at every age."""
    homes = [sealed(*SIDES) for _ in range(20)]
    for index, promise in enumerate(homes[::2]):
        opened(promise, "west" if index else "north", days_ago=index * 146)
        opened(promise, "west" if index else "east", days_ago=index * 146)
    return homes[1]


def test_a_bad_side_brings_the_check_of_every_home_that_has_it() -> None:
    good = bad_west()
    recalling.count_seals(today=TODAY)

    step = openings.step_of(good.home)

    # By hand: 18 openings in 20 of 80 seal-years, of 20 in all: (18 + 2) / (5 + 2).
    assert step.because == ("exposure", "west")
    assert step.ratio == pytest.approx(20 / 7)
    assert step.months == 4


def test_the_worst_of_four_sides_is_not_bad_for_being_the_worst() -> None:
    """Twelve openings, 5, 3, 2 and 2 to a side: so uneven they fall by chance every other time."""
    homes = [sealed(*SIDES) for _ in range(12)]
    sides = ["west"] * 5 + ["south"] * 3 + ["north"] * 2 + ["east"] * 2
    for promise, side in zip(homes, sides, strict=True):
        opened(promise, side)
    recalling.count_seals(today=TODAY)

    assert openings.step_of(homes[0].home).months == 12


def test_old_seals_that_open_more_are_checked_sooner_while_they_are_old() -> None:
    homes = [sealed("south") for _ in range(14)]
    for promise in homes:
        opened(promise)
    recalling.count_seals(today=TODAY)

    old, young = (openings.step_of(homes[0].home, age=band) for band in ("3-6", "0-1"))

    # By hand: all 14 openings in a quarter of the years: (14 + 2) / (3.5 + 2).
    assert (old.because, old.months) == (("age", "3-6"), 4)
    assert old.ratio == pytest.approx(16 / 5.5, rel=0.001)
    assert young.months == 12


def test_the_check_says_why_in_the_readers_language(tech: Client) -> None:
    home = bad_west().home
    recalling.count_seals(today=TODAY)

    check = checking.plan_seal_check(home=home, today=TODAY)

    assert check
    sentence = (
        "Seals every 4 months: seals that face west open 2.9 times as often as ours in general."
    )
    assert check.why == sentence
    assert sentence in tech.get(f"/homes/{home.pk}/readings/").content.decode()
    with override("es"):
        assert "orientadas al oeste" in Check.objects.get(pk=check.pk).why


def test_the_office_sees_every_group_beside_the_others(office: Client) -> None:
    bad_west()
    recalling.count_seals(today=TODAY)

    page = office.get("/lots/").content.decode()

    assert "Seals that face west" in page
    assert "2.9 times as often" in page
    assert "Seals on stucco" in page
    assert "Seals three to six years old" in page
