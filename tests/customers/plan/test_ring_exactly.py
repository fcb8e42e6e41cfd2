"""The ring check against brute force on small plans, and against networkx on large ones."""

import random
from collections.abc import Iterator
from datetime import date, timedelta
from decimal import Decimal
from itertools import combinations

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from customers.plan.cut import minimum_cut
from customers.plan.ring import Contact, RingCheck, check_ring, opens_on

SURFACES = ["ground", "building", "wall", "pipe", "shrub", "step"]
costs = st.one_of(
    st.integers(0, 5),
    st.decimals(0, 20, places=2),
    st.sampled_from([Decimal(3000000000), Decimal("1e25"), Decimal("0.001")]),
)
contact = st.builds(
    Contact,
    st.sampled_from(SURFACES),
    st.sampled_from(SURFACES),
    st.sampled_from([None, None, "strip"]),
    st.sampled_from(["sound", "sound", "damaged", "unknown"]),
    st.sampled_from([0, 0, 0, 25]),
    st.lists(st.tuples(st.sampled_from(["collar", "cap", "cut back"]), costs), max_size=2),
)
plans = st.lists(contact, max_size=9).map(
    lambda contacts: [*contacts, Contact("ground", "building", "strip")]
)


def is_open(contact: Contact) -> bool:
    if contact.state == "unknown":
        return True
    if contact.detail and contact.state == "sound":
        return False
    return contact.clearance_mm == 0


def paths(contacts: list[Contact], passed: tuple[str, ...] = ("ground",)) -> Iterator[tuple]:
    """Every simple path by exhaustion."""
    if passed[-1] == "building":
        yield passed
        return
    for contact in contacts:
        for here, there in ((contact.a, contact.b), (contact.b, contact.a)):
            if here == passed[-1] and there not in passed:
                yield from paths(contacts, (*passed, there))


def cheapest(contacts: list[Contact]) -> tuple[Decimal, int] | None:
    """The cost, then the number of details, of the best closing: every subset is tried."""
    closings = []
    priced = [each for each in contacts if each.options]
    for size in range(len(priced) + 1):
        for barred in combinations(priced, size):
            left = [each for each in contacts if not any(each is other for other in barred)]
            if not any(paths(left)):
                cost = sum(min(Decimal(cost) for _, cost in each.options) for each in barred)
                closings.append((Decimal(cost), size))
    return min(closings, default=None)


@pytest.mark.long(10)
@settings(max_examples=3000, deadline=None)
@given(plans)
def test_agrees_with_brute_force(contacts: list[Contact]) -> None:
    check = check_ring(contacts)

    passable = [each for each in contacts if is_open(each)]
    every = sorted(set(paths(passable)), key=len)
    assert check.closed == (not every)
    assert {way.surfaces for way in check.ways_in} == set(every[:50]) or len(every) > 50
    assert [len(way.surfaces) for way in check.ways_in] == [len(way) for way in every[:50]]
    assert (check.more, check.more_is_exact) == (max(0, len(every) - 50), True)
    assert set(check.unknown) == {each for each in contacts if each.state == "unknown"}
    best = cheapest(passable)
    closing = check.cheapest_closing
    assert (closing and (closing.cost, len(closing.details))) == best
    assert bool(check.stands_in_the_way) == (best is None)
    if closing is not None:
        assert fitted(contacts, check).closed


def fitted(contacts: list[Contact], check: RingCheck) -> RingCheck:
    """Check the ring again as if the proposal had been carried out."""
    assert check.cheapest_closing is not None
    proposed = {id(each.contact) for each in check.cheapest_closing.details}
    return check_ring(
        Contact(each.a, each.b, "detail") if id(each) in proposed else each for each in contacts
    )


@settings(max_examples=500, deadline=None)
@given(plans, st.sets(st.sampled_from(["collar", "cap", "cut back"])))
def test_forbidding_is_as_if_the_option_were_not_there(
    contacts: list[Contact], forbidden: set[str]
) -> None:
    without = [
        Contact(
            each.a,
            each.b,
            each.detail,
            each.state,
            each.clearance_mm,
            [option for option in each.options if option[0] not in forbidden],
        )
        for each in contacts
    ]

    constrained = check_ring(contacts, forbidden=forbidden).cheapest_closing

    plain = check_ring(without).cheapest_closing
    assert (constrained and constrained.cost) == (plain and plain.cost)


def large_plan(seed: int, surfaces: int, contacts: int, highest: int) -> list[Contact]:
    draw = random.Random(seed)  # noqa: S311
    names = ["ground", "building", *(f"surface {number}" for number in range(surfaces))]
    made = []
    for _ in range(contacts):
        a, b = draw.sample(names, 2)
        cost = Decimal(draw.randrange(highest)) / 100
        made.append(Contact(a, b, options=[("strip", cost)] if draw.random() < 0.95 else []))
    return made


def by_networkx(contacts: list[Contact]) -> tuple[Decimal | None, nx.Graph]:
    graph = nx.Graph()
    for each in contacts:
        cost = int(Decimal(each.options[0][1]) * 100) if each.options else None
        if not graph.has_edge(each.a, each.b):
            graph.add_edge(each.a, each.b, capacity=0)
        edge = graph[each.a][each.b]
        if cost is None:
            edge.pop("capacity", None)  # networkx: an edge without one is endless.
        elif "capacity" in edge:
            edge["capacity"] += cost
    try:
        return Decimal(nx.maximum_flow_value(graph, "ground", "building")) / 100, graph
    except nx.NetworkXUnbounded:
        return None, graph


@pytest.mark.parametrize("highest", [100, 10**6, 10**12], ids=["cents", "thousands", "overflow"])
@pytest.mark.parametrize(
    ("surfaces", "contacts"), [(30, 200), (400, 1200), (2000, 5000)], ids=["thick", "mid", "large"]
)
def test_the_cut_costs_what_flows(surfaces: int, contacts: int, highest: int) -> None:
    plan = large_plan(surfaces + highest, surfaces, contacts, highest)

    closing = check_ring(plan).cheapest_closing

    flow, graph = by_networkx(plan)
    assert (closing and closing.cost) == flow
    if closing:
        graph.remove_edges_from((each.contact.a, each.contact.b) for each in closing.details)
        assert not nx.has_path(graph, "ground", "building")


@settings(max_examples=300, deadline=None)
@given(
    st.dictionaries(
        st.tuples(st.integers(0, 7), st.integers(0, 7)).filter(lambda ends: ends[0] < ends[1]),
        st.one_of(st.integers(0, 9), st.integers(2**29, 2**33), st.integers(0, 2**200)),
        max_size=20,
    )
)
def test_no_size_of_cost_overflows(edges: dict[tuple[int, int], int]) -> None:
    cut = minimum_cut(8, [(*ends, cost) for ends, cost in edges.items()], 0, 1)

    graph = nx.Graph()
    graph.add_nodes_from(range(8))
    graph.add_edges_from((*ends, {"capacity": cost}) for ends, cost in edges.items())
    assert cut.flow == nx.maximum_flow_value(graph, 0, 1)
    assert 0 in cut.near
    assert 1 not in cut.near
    crossing = (cost for (a, b), cost in edges.items() if (a in cut.near) != (b in cut.near))
    assert cut.flow == sum(crossing)


DAY = date(2026, 3, 1)
days = st.integers(-3, 12).map(lambda offset: DAY + timedelta(offset))
growing = st.tuples(st.integers(-2, 9), st.sampled_from([0, 1, 2])).map(
    lambda growth: lambda on: growth[0] - growth[1] * (on - DAY).days
)
dated = st.builds(
    Contact,
    st.sampled_from(SURFACES),
    st.sampled_from(SURFACES),
    st.sampled_from([None, "strip"]),
    st.sampled_from(["sound", "sound", "sound", "damaged", "unknown"]),
    st.one_of(st.sampled_from([0, 25]), growing),
    opens_on=st.none() | days,
)


@settings(max_examples=1000, deadline=None)
@given(st.lists(dated, max_size=8), st.integers(0, 10))
def test_the_first_open_day_is_the_first_day_on_which_it_is_open(
    contacts: list[Contact], length: int
) -> None:
    every_day = [DAY + timedelta(offset) for offset in range(length + 1)]

    first = opens_on(contacts, DAY, every_day[-1])

    assert first == next(
        (day for day in every_day if not check_ring(contacts, on=day).closed), None
    )


@pytest.mark.parametrize("cost", [2**30 - 1, 2**30, 2**31 - 1, 2**31, 2**63])
def test_a_flow_that_must_be_turned_back_does_not_overflow(cost: int) -> None:
    # The shortest path runs 0-2-3-1; the best flow then sends as much from 3 to 2 again.
    shortest = [(0, 2), (2, 3), (1, 3)]
    around = [(0, 4), (4, 5), (3, 5), (2, 6), (6, 7), (1, 7)]

    cut = minimum_cut(8, [(*ends, cost) for ends in (*shortest, *around)], 0, 1)

    assert cut.flow == 2 * cost
