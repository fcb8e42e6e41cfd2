"""The ring check from 10 to 100,000 contacts, against the bare algorithms on the same graph.

Prints ratios, never times: they would tell about the machine. Three plans of each size: closed,
open with a price for everything (ways in and cheapest closing), and a tangle in which every
surface meets others at random. "growth" is the time of a size over that of the size before,
divided by the growth in contacts: 1 is linear.
"""

import random
from collections import deque
from collections.abc import Callable, Sequence
from time import perf_counter

import numpy as np
from scipy.sparse import csr_array
from scipy.sparse.csgraph import maximum_flow

from customers.plan.ring import Contact, check_ring

SIZES = (10, 100, 1_000, 10_000, 100_000)
ROUNDS = 5
COLLAR = (("collar", 35),)


def closed(size: int) -> list[Contact]:
    """Pipes with a sound collar each, side by side."""
    lines = (f"pipe {number}" for number in range(size // 2))
    return [
        contact
        for line in lines
        for contact in (Contact("ground", line), Contact(line, "building", "collar"))
    ]


def standing_open(size: int) -> list[Contact]:
    """The same pipes without their collars."""
    return [Contact(each.a, each.b, options=COLLAR) for each in closed(size)]


def tangle(size: int) -> list[Contact]:
    """Surfaces at random, three contacts to each of them."""
    draw = random.Random(size)  # noqa: S311
    names = ["ground", "building", *(f"surface {number}" for number in range(size // 3))]
    ends = (draw.sample(names, 2) for _ in range(size))
    return [Contact(a, b, options=(("cap", draw.randrange(1, 900)),)) for a, b in ends]


def full_answer(contacts: Sequence[Contact]) -> None:
    check = check_ring(contacts)
    assert check.cheapest_closing is not None


def bare_search(contacts: Sequence[Contact]) -> bool:
    """A plain breadth-first search over the open contacts, as short as it can be written."""
    near: dict[str, list[str]] = {}
    for contact in contacts:
        if not contact.detail:
            near.setdefault(contact.a, []).append(contact.b)
            near.setdefault(contact.b, []).append(contact.a)
    seen, queue = {"ground"}, deque(["ground"])
    while queue:
        for surface in near.get(queue.popleft(), ()):
            if surface not in seen:
                seen.add(surface)
                queue.append(surface)
    return "building" in seen


def bare_flow(contacts: Sequence[Contact]) -> Callable[[], object]:
    """scipy's maximum flow on arrays that were made beforehand."""
    numbers = {"ground": 0, "building": 1}
    ends = np.array(
        [
            [numbers.setdefault(surface, len(numbers)) for surface in (each.a, each.b)]
            for each in contacts
        ]
    )
    costs = np.array([int(each.options[0][1]) for each in contacts], dtype=np.int32)
    rows, columns = np.concatenate([ends, ends[:, ::-1]]).T
    matrix = csr_array((np.concatenate([costs, costs]), (rows, columns)), shape=(len(numbers),) * 2)
    return lambda: maximum_flow(matrix, 0, 1)


def seconds(work: Callable[[], object], rounds: int = ROUNDS) -> float:
    def once() -> float:
        start = perf_counter()
        work()
        return perf_counter() - start

    return min(once() for _ in range(rounds))  # The least disturbed by others on the machine.


def bench() -> dict[str, list[float]]:
    """Print and return, by plan, the ratios to the bare algorithm for each size."""
    ratios: dict[str, list[float]] = {}
    for make in (closed, standing_open, tangle):
        before = 0.0
        for size in SIZES:
            contacts = make(size)
            ours = seconds(lambda given=contacts: full_answer(given))  # type: ignore[misc]
            search = seconds(lambda given=contacts: bare_search(given))  # type: ignore[misc]
            line = f"{make.__name__:>14} {size:>7,} contacts: {ours / search:6.1f} x plain search"
            if make is not closed:
                line += f", {ours / seconds(bare_flow(contacts)):7.1f} x bare maximum flow"
            if before:
                line += f", growth {ours / before / 10:.2f}"
            print(line)  # noqa: T201
            before = ours
            ratios.setdefault(make.__name__, []).append(ours / search)
    return ratios


if __name__ == "__main__":
    bench()
