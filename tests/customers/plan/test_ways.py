"""Plans on which a careless search for the ways in would not end."""

from itertools import combinations, pairwise

import networkx as nx
from hypothesis import given, settings
from hypothesis import strategies as st

from customers.plan.ring import Contact, RingCheck, check_ring
from customers.plan.ways import shortest_first


def lengths(check: RingCheck) -> list[int]:
    return [len(way.contacts) for way in check.ways_in]


def all_meet(names: list[str]) -> list[Contact]:
    return [Contact(a, b) for a, b in combinations(names, 2)]


def vines(number: int) -> list[str]:
    return [f"vine {each}" for each in range(number)]


def test_a_tangle_where_everything_meets() -> None:
    tangle = vines(60)
    contacts = [Contact("ground", tangle[0]), Contact(tangle[-1], "building"), *all_meet(tangle)]

    check = check_ring(contacts)

    assert lengths(check) == [3] + [4] * 49
    assert len({way.surfaces for way in check.ways_in}) == 50
    assert check.more >= 1
    assert not check.more_is_exact


def test_a_tangle_that_leads_nowhere() -> None:
    tangle = vines(40)
    contacts = [
        Contact("ground", "wall"),
        Contact("wall", "building"),
        Contact("wall", tangle[0]),
        Contact("ground", tangle[0]),
        *all_meet(tangle),
    ]

    check = check_ring(contacts)

    assert [way.words for way in check.ways_in] == [
        "ground > wall > building",
        "ground > vine 0 > wall > building",
    ]


def test_a_lattice_of_many_equal_ways() -> None:
    width = 40
    contacts = [
        Contact(f"{row}/{column}", f"{row + down}/{column + 1 - down}")
        for row in range(width)
        for column in range(width)
        for down in (0, 1)
    ]
    contacts += [Contact("ground", "0/0"), Contact(f"{width}/{width - 1}", "building")]

    check = check_ring(contacts)

    assert lengths(check) == [2 * width + 1] * 50


def test_a_long_row_of_choices_counts_no_further_than_anyone_cares() -> None:
    row = ["ground", *vines(2_000), "building"]
    contacts = [
        Contact(here, there, place=side) for here, there in pairwise(row) for side in ("in", "out")
    ]

    check = check_ring(contacts)

    assert set(lengths(check)) == {2_001}
    assert check.more > 100_000
    assert not check.more_is_exact


def test_a_row_of_surfaces_of_any_length_is_one_way() -> None:
    row = ["ground", *vines(20_000), "building"]

    check = check_ring([Contact(here, there) for here, there in pairwise(row)])

    assert lengths(check) == [20_001]
    assert (check.more, check.more_is_exact) == (0, True)


def test_fifty_of_very_many_are_listed() -> None:
    contacts = [
        contact
        for vine in vines(30_000)
        for contact in (Contact("ground", vine), Contact(vine, "building"))
    ]

    check = check_ring(contacts)

    assert lengths(check) == [2] * 50
    assert (check.more, check.more_is_exact) == (29_950, True)


@settings(max_examples=500, deadline=None)
@given(
    st.sets(
        st.tuples(st.sampled_from("gbuvwxyz"), st.sampled_from("gbuvwxyz")).filter(
            lambda ends: ends[0] < ends[1]
        )
    ),
    st.integers(1, 6),
)
def test_what_is_listed_is_the_shortest_whatever_the_limit(
    edges: set[tuple[str, str]], limit: int
) -> None:
    graph: dict[str, set[tuple[str, str]]] = {}
    for a, b in edges:
        graph.setdefault(a, set()).add((b, ""))
        graph.setdefault(b, set()).add((a, ""))

    found = shortest_first(graph, "g", "b", limit)

    plain = nx.Graph([("g", "g"), ("b", "b"), *edges])
    every = sorted(len(path) for path in nx.all_simple_paths(plain, "g", "b"))
    assert [len(path) for path in found.paths] == [length - 1 for length in every[:limit]]
    assert len(set(found.paths)) == len(found.paths)
    assert (found.more, found.exact) == (max(0, len(every) - limit), True)
