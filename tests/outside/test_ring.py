"""The cheapest closing against published minimum cuts."""

import networkx as nx

from customers.plan.cut import minimum_cut
from customers.plan.ring import Closing, Contact, check_ring

# M. Stoer, F. Wagner, "A simple min-cut algorithm", J. ACM 44 (1997) 585, the worked example:
# the minimum cut weighs 4 and takes the edges 2-3 and 6-7.
STOER_WAGNER = [
    (1, 2, 2), (1, 5, 3), (2, 3, 3), (2, 5, 2), (2, 6, 2), (3, 4, 4),
    (3, 7, 2), (4, 7, 2), (4, 8, 2), (5, 6, 3), (6, 7, 1), (7, 8, 3),
]  # fmt: skip


def closing(edges: list[tuple[int, int, int]], ground: int, building: int) -> Closing:
    names = {ground: "ground", building: "building"}
    contacts = [
        Contact(
            names.get(a, str(a)), names.get(b, str(b)), options=[("strip", cost)], ref=f"{a}-{b}"
        )
        for a, b, cost in edges
    ]
    found = check_ring(contacts).cheapest_closing
    assert found is not None
    return found


def test_the_minimum_cut_of_stoer_and_wagner() -> None:
    found = closing(STOER_WAGNER, 1, 8)

    assert found.cost == 4
    assert [each.contact.ref for each in found.details] == ["2-3", "6-7"]
    assert min(closing(STOER_WAGNER, 1, end).cost for end in range(2, 9)) == 4


def test_the_split_that_zachary_computed() -> None:
    """W. W. Zachary, J. Anthropological Research 33 (1977) 452: the minimum cut between persons 1
    and 34, in his matrix of 34 by 34, puts all on the side that they took but one, person 9.
    """
    club = nx.karate_club_graph()
    edges = [(a, b, int(strength)) for a, b, strength in club.edges(data="weight")]

    cut = minimum_cut(len(club), edges, 0, 33)

    wrong = [
        person + 1
        for person, side in club.nodes(data="club")
        if (person in cut.near) != (side == "Mr. Hi")
    ]
    assert wrong == [9]
    assert closing(edges, 0, 33).cost == cut.flow
