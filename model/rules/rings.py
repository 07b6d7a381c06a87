"""Which light paths close on themselves, asked end by end but walked only once.

Most paths are long and lead somewhere, and every joint on one of them asks the same question; so each end found to
lead out of any ring is remembered for as long as the facts of one check live, and the next walk stops there.
"""

from __future__ import annotations

from model.graph import Graph
from model.trace import both_ways


class Rings:
    """Answers about one graph that does not change meanwhile."""

    def __init__(self, graph: Graph) -> None:
        self._graph = graph
        self._open: set[str] = set()
        """Nodes from which the walk by their inside does not come back to them."""

    def through(self, node: str) -> tuple[str, ...]:
        """Nodes of the ring that a walk from ``node``, by its inside first, closes; ``node`` last. Empty for none.

        Equal to ``model.trace.walk`` ending as a ring at the node it began with.
        """
        graph, known = self._graph, self._open
        if node in known:
            return ()
        lead_out, walked = [], {node: None}
        here, (inner, outer) = node, both_ways(graph, node)
        # A walk that stopped at an end used twice would, begun at that end, have closed there.
        trusted = known if len(outer) <= 1 else frozenset()
        while True:
            lead_out.append(here)
            if len(inner) != 1:
                break
            far = inner[0][0]
            if far in walked:
                return () if far != node else (*list(walked)[1:], node)
            walked[far] = None
            _, outer = both_ways(graph, far)
            if len(outer) != 1:
                break
            here = outer[0][0]
            if here == node:
                return (*list(walked)[1:], node)
            if here in walked:
                return ()
            if here in trusted:
                break
            walked[here] = None
            inner, outer = both_ways(graph, here)
            if len(outer) > 1:
                break
        # Every node left by its inside on a way out has the rest of this walk as its own.
        known.update(lead_out)
        return ()
