"""The cheapest set of edges whose removal parts two nodes of an undirected graph.

By the theorem of Ford and Fulkerson (1956) its cost equals the maximum flow, which scipy finds by
Dinic's algorithm in 32-bit integers. Costs here are integers of any size: the flow is found in
scaled rounds (Ahuja, Magnanti and Orlin, Network Flows, 1993, section 7.3), each on what the
rounds before left over, so that the result is exact and nothing overflows.
"""

from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np
from scipy.sparse import csr_array
from scipy.sparse.csgraph import breadth_first_order, maximum_flow

# scipy adds an edge's two directions in 32 bits, so each may take half of what those hold.
ROOM = 2**30 - 1


class Cut(NamedTuple):
    flow: int
    near: frozenset[int]  # The nodes still joined to the source: the cut nearest to it.


def minimum_cut(nodes: int, edges: Sequence[tuple[int, int, int]], source: int, sink: int) -> Cut:
    """Return the maximum flow, and the source's side of a cut of that cost.

    Edges are (node, node, cost), costs whole and not negative, at most one edge for each pair.
    """
    total = sum(cost for _, _, cost in edges)
    if not total:
        return Cut(0, frozenset({source}))
    dtype = np.int64 if total < 2**62 else object
    ends = np.array([edge[:2] for edge in edges], dtype=np.int32)
    tails, heads = np.concatenate([ends, ends[:, ::-1]]).T
    costs = np.array([edge[2] for edge in edges], dtype=dtype)
    left = np.concatenate([costs, costs])  # What each direction can still carry.
    flow, bound = 0, total
    while bound:
        capped = np.minimum(left, bound)
        scale = -(-int(capped.max()) // ROOM) or 1
        rounds = maximum_flow(
            _matrix(nodes, tails, heads, (capped // scale).astype(np.int32)), source, sink
        )
        left = left - scale * _at(rounds.flow, tails, heads).astype(dtype)
        flow += scale * int(rounds.flow_value)
        # Every edge of some cut is now short of one scale; with scale 1 nothing is left.
        bound = min(bound, len(tails) * (scale - 1))
    reached = breadth_first_order(
        _matrix(nodes, tails, heads, (left > 0).astype(np.int32)), source, return_predecessors=False
    )
    return Cut(flow, frozenset(int(node) for node in reached))


def _matrix(nodes: int, tails: Any, heads: Any, values: Any) -> Any:
    matrix = csr_array((values, (tails, heads)), shape=(nodes, nodes))
    matrix.eliminate_zeros()
    return matrix


def _at(matrix: Any, rows: Any, columns: Any) -> Any:
    return np.asarray(matrix[rows, columns]).ravel()
