"""The ways through a graph of surfaces: simple paths, shortest first, without blowing up.

Listing follows Yen (1971, Management Science 17:712) in Lawler's partition (1972), with each part
searched only when its lower bound comes first, so that one path costs about one search. Counting
all simple paths is #P-complete (Valiant 1979), so both are given a budget linear in the size of
the graph; when it runs out the count is a lower bound and says so.
"""

import heapq
from collections import Counter, deque
from collections.abc import Collection, Iterator, Mapping, Sequence
from functools import cache
from typing import NamedTuple

Step = tuple[str, str]  # The surface stepped to, and the place of the contact.
Path = tuple[Step, ...]
Graph = Mapping[str, Collection[Step]]  # Every contact from both its sides.

LIST_BUDGET = (200_000, 4)  # A fixed part, and a part for each step of the graph.
COUNT_BUDGET = (20_000, 4)
MOST = 1_000_000  # Nobody needs to know how many more there are than that.


class Ways(NamedTuple):
    paths: list[Path]
    more: int
    exact: bool  # Whether more is the number, and not only a lower bound of it.


def distances(graph: Graph, start: str, end: str) -> dict[str, int]:
    """Return the steps from each surface to the end, not counting routes through the start."""
    found = {end: 0}
    queue = deque([end])
    while queue:
        here = queue.popleft()
        if here == start:
            continue
        for surface, _ in graph.get(here, ()):
            if surface not in found:
                found[surface] = found[here] + 1
                queue.append(surface)
    return found


def shortest_first(graph: Graph, start: str, end: str, limit: int) -> Ways:
    """Return at most limit simple paths, shortest first, and how many there are beside."""
    to_end = distances(graph, start, end)
    if start not in to_end:
        return Ways([], 0, True)
    size = sum(map(len, graph.values()))
    listing = _Listing(graph, start, end, to_end)
    listing.budget = LIST_BUDGET[0] + LIST_BUDGET[1] * size
    found: list[Path] = []
    for path in listing.paths():
        found.append(path)
        if len(found) > limit:
            break
    listed = found[:limit]
    if len(found) <= limit and listing.budget > 0:
        return Ways(listed, 0, True)
    counted, all_counted = _count(graph, start, end, to_end)
    more = max(counted - len(listed), len(found) - len(listed))
    return Ways(listed, more, all_counted)


class _Part(NamedTuple):
    """The paths that begin as a known one does and then take none of the banned steps.

    The known path is shared and not cut, as a plan of n steps would fill n²/2 places otherwise.
    """

    length: int  # A lower bound until the path is known.
    order: int
    known: Path
    kept: int
    banned: frozenset[Step]
    path: Path | None

    @property
    def prefix(self) -> Path:
        return self.known[: self.kept]


class _Listing:
    def __init__(self, graph: Graph, start: str, end: str, to_end: Mapping[str, int]) -> None:
        self.start, self.end, self.to_end = start, end, to_end
        self.budget = 0
        self.order = 0

        @cache
        def onward(surface: str) -> list[Step]:
            steps = (step for step in graph.get(surface, ()) if step[0] in to_end)
            return sorted(steps, key=lambda step: (to_end[step[0]], step))

        self.onward = onward

    def paths(self) -> Iterator[Path]:
        parts = [_Part(self.to_end[self.start], 0, (), 0, frozenset(), None)]
        while parts and self.budget > 0:
            part = heapq.heappop(parts)
            path = part.path or self.search(part)
            if path is None:
                continue
            if len(path) > part.length:
                heapq.heappush(parts, part._replace(length=len(path), path=path))
                continue
            yield path
            for rest in self.split(part, path):
                heapq.heappush(parts, rest)

    def split(self, part: _Part, path: Path) -> Iterator[_Part]:
        """Yield the parts that hold the part's other paths, each path in one of them."""
        passed = {self.start, *(surface for surface, _ in part.prefix)}
        for index in range(part.kept, len(path)):
            before = part.banned if index == part.kept else frozenset()
            banned = before | {path[index]}
            here = path[index - 1][0] if index else self.start
            best = next(self.allowed(here, banned, passed), None)
            if best is not None:
                self.order += 1
                length = index + 1 + self.to_end[best[0]]
                yield _Part(length, self.order, path, index, banned, None)
            passed.add(path[index][0])

    def allowed(
        self, here: str, banned: Collection[Step], passed: Collection[str]
    ) -> Iterator[Step]:
        for step in self.onward(here):
            self.budget -= 1
            if step not in banned and step[0] not in passed:
                yield step

    def search(self, part: _Part) -> Path | None:
        """Return a shortest path of the part by A*, or None (also when the budget runs out).

        The heap holds, for each surface reached, only its next best step, so that a surface of
        many contacts does not cost all of them.
        """
        passed = {self.start, *(surface for surface, _ in part.prefix)}
        self.budget -= part.kept
        root = part.known[part.kept - 1][0] if part.kept else self.start
        came: dict[str, tuple[str, Step]] = {}
        heap: list[_Reach] = []
        self.push(heap, root, 0, self.allowed(root, part.banned, passed))
        while heap and self.budget > 0:
            reach = heapq.heappop(heap)
            here, there = reach.here, reach.step[0]
            self.push(heap, here, -reach.minus_taken, reach.rest)
            if there in came:
                continue
            came[there] = (here, reach.step)
            if there == self.end:
                return part.prefix + _trace(came, there, root)
            self.push(heap, there, 1 - reach.minus_taken, self.allowed(there, (), passed))
        return None

    def push(self, heap: list["_Reach"], here: str, taken: int, rest: Iterator[Step]) -> None:
        step = next(rest, None)
        if step is not None:
            self.order += 1
            bound = taken + 1 + self.to_end[step[0]]
            heapq.heappush(heap, _Reach(bound, -taken, self.order, here, step, rest))


class _Reach(NamedTuple):
    """The next best step from a surface reached, and the steps after it."""

    bound: int
    minus_taken: int  # Of equal bounds, the one that is further along comes first.
    order: int
    here: str
    step: Step
    rest: Iterator[Step]


def _trace(came: Mapping[str, tuple[str, Step]], end: str, root: str) -> Path:
    steps: list[Step] = []
    while end != root:
        end, step = came[end]
        steps.append(step)
    return tuple(reversed(steps))


def _count(graph: Graph, start: str, end: str, to_end: Mapping[str, int]) -> tuple[int, bool]:
    """Return the number of simple paths, and whether the budget sufficed to see them all.

    Contacts side by side between the same two surfaces multiply instead of being walked.
    """
    budget = COUNT_BUDGET[0] + COUNT_BUDGET[1] * sum(map(len, graph.values()))
    onward = cache(lambda surface: _multiplicities(graph, surface, to_end))
    total = 0
    on_path = {start: 1}  # Surfaces passed, with the number of ways to have come so.
    stack = [iter(onward(start))]
    trail = [start]
    while stack and budget > 0:
        budget -= 1
        surface, times = next(stack[-1], ("", 0))
        if not times:
            stack.pop()
            on_path.pop(trail.pop())
        elif surface == end:
            total = min(total + on_path[trail[-1]] * times, MOST)
        elif surface not in on_path:
            on_path[surface] = min(on_path[trail[-1]] * times, MOST)
            trail.append(surface)
            stack.append(iter(onward(surface)))
    return total, not stack and total < MOST


def _multiplicities(
    graph: Graph, surface: str, to_end: Mapping[str, int]
) -> Sequence[tuple[str, int]]:
    steps = Counter(step[0] for step in graph.get(surface, ()) if step[0] in to_end)
    return sorted(steps.items(), key=lambda item: (to_end[item[0]], item[0]))
