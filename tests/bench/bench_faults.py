"""Suspects, and who goes dark, in a plant of 100 000 pieces, beside three peers on the same plant in the same run.

Peers, for who goes dark with a sheath: networkx descendants of its fibres in a graph directed away from the exchange, a
SQLite recursive query over an edge table, and a pandas chain of merges; each then asks which services were reached.
For suspects the peers do only the first half of the work, finding what each of the 500 services runs over: networkx
shortest path with both ends known, and the SQLite query. Limits: 1 ms a trace, 50 ms a sheath, 1 s for 500 services.
Run: python tests/bench/bench_faults.py, with PYTHONPATH=. to measure this tree rather than the one installed.
"""

from __future__ import annotations

import sqlite3
import sys
from pathlib import Path

import networkx as nx
import pandas as pd

sys.path.insert(0, str(Path(__file__).parent))
from clock import best_ms, table
from plants import chains

from model.correlate.affected import affected
from model.correlate.elements import element
from model.correlate.suspects import suspects
from model.graph import Continuity
from model.trace import trace

CHAINS, LENGTH, FIBRES = 17, 20, 288
SHEATH = "sheath|c0-10.a"
"""The eleventh sheath of the first chain: 288 services beyond it."""


def sqlite_below(connection: sqlite3.Connection, starts: list[str]) -> set[str]:
    """Every node below some nodes, by a recursive query."""
    first = ",".join(["(?)"] * len(starts))
    rows = connection.execute(
        f"WITH RECURSIVE r(n) AS (VALUES {first} UNION SELECT e.b FROM e JOIN r ON e.a = r.n) SELECT n FROM r", starts
    ).fetchall()
    return {row[0] for row in rows}


def pandas_below(edges: pd.DataFrame, starts: list[str]) -> set[str]:
    """Every node below some nodes, by merging the frontier with the edge table until nothing is new."""
    seen = set(starts)
    frontier = pd.DataFrame({"a": starts})
    while len(frontier):
        found = frontier.merge(edges, on="a")["b"]
        new = found[~found.isin(seen)].unique()
        seen.update(new)
        frontier = pd.DataFrame({"a": new})
    return seen


def main() -> None:
    """Measure and print."""
    plant = chains(CHAINS, LENGTH)
    pieces = sum(plant.cable_types[c.type].fibre_count for c in plant.cables.values())
    print(f"{pieces} pieces of glass, {len(plant.services)} services")
    continuity = Continuity(plant)

    node = "z0-100/front"
    whole = trace(continuity, node)
    table(
        f"Trace of {len(whole.steps)} steps",
        [("glasswright trace", best_ms(lambda: trace(continuity, node), 50), "limit 1 ms")],
    )

    # Light runs from the exchange outward: every edge in both directions but those that lead back.
    paths = [trace(continuity, f"{service.at}/front").nodes for service in plant.services.values()]
    order = {found: depth for nodes in paths for depth, found in enumerate(reversed(nodes))}
    light = [(u, v) for u, v, key in continuity.graph.edges(keys=True) if key != "held" and u in order and v in order]
    down = [(u, v) if order[u] < order[v] else (v, u) for u, v in light]
    directed = nx.DiGraph(down)
    plain = nx.Graph(light)
    connection = sqlite3.connect(":memory:")
    connection.execute("CREATE TABLE e(a TEXT, b TEXT)")
    connection.executemany("INSERT INTO e VALUES (?, ?)", down)
    connection.execute("CREATE INDEX i ON e(a)")
    frame = pd.DataFrame(down, columns=["a", "b"])
    starts = [f"c0-10:{fibre}@c0-10.a>" for fibre in range(1, FIBRES + 1)]
    at = {f"{service.at}/front": service.id for service in plant.services.values()}

    def networkx_below() -> set[str]:
        return {at[n] for start in starts for n in nx.descendants(directed, start) if n in at}

    sheath = element(plant, SHEATH)

    def cold() -> object:
        plant.written("services")  # as after an edit: nothing kept is used
        return affected(continuity, sheath).services

    wanted = set(affected(continuity, sheath).services)
    assert len(wanted) == FIBRES
    assert networkx_below() == wanted
    assert {at[n] for n in sqlite_below(connection, starts) if n in at} == wanted
    assert {at[n] for n in pandas_below(frame, starts) if n in at} == wanted
    table(
        f"Who goes dark with a sheath of {FIBRES} fibres",
        [
            ("glasswright affected, asked before", best_ms(lambda: affected(continuity, sheath)), "limit 50 ms"),
            ("glasswright affected, first after an edit", best_ms(cold), "the first question walks its own paths"),
            ("networkx descendants of each fibre", best_ms(networkx_below, 3), ""),
            ("SQLite recursive query", best_ms(lambda: sqlite_below(connection, starts), 3), ""),
            ("pandas merge chain", best_ms(lambda: pandas_below(frame, starts), 1), ""),
        ],
    )

    # The sheath is cut: 250 of those beyond it are down, 250 of other chains and none of the rest were measured.
    gone = [f"v0-{n}" for n in range(1, 251)]
    fine = [f"v{chain}-{n}" for chain in range(1, 11) for n in range(1, 26)]

    def first() -> object:
        plant.written("services")
        return suspects(continuity, gone, fine)

    answer = suspects(continuity, gone, fine)
    assert SHEATH in {s.element.key for s in answer.suspects}
    ends = [(f"{plant.services[s].at}/front", f"a{s[1:]}/rear") for s in (*gone, *fine)]

    def shortest() -> int:
        return sum(len(nx.shortest_path(plain, a, b)) for a, b in ends)

    both = sqlite3.connect(":memory:")
    both.execute("CREATE TABLE e(a TEXT, b TEXT)")
    both.executemany("INSERT INTO e VALUES (?, ?)", [(v, u) for u, v in down])
    both.execute("CREATE INDEX i ON e(a)")

    def queried() -> int:
        return sum(len(sqlite_below(both, [start])) for start, _ in ends)

    two = [*gone[:125], *(f"v3-{n}" for n in range(1, 126))]
    rest = [s for s in fine if not s.startswith("v3-")]
    named = f"{len(answer.suspects)} suspects, {len(answer.cleared)} cleared"
    table(
        f"Suspects from {len(gone)} down and {len(fine)} up: {named}",
        [
            (
                "glasswright suspects, asked before",
                best_ms(lambda: suspects(continuity, gone, fine), 3),
                "limit 1000 ms",
            ),
            ("glasswright suspects, first after an edit", best_ms(first, 3), "limit 1000 ms"),
            ("the same with two faults", best_ms(lambda: suspects(continuity, two, rest), 3), "limit 1000 ms"),
            ("networkx shortest path of each, no ranking", best_ms(shortest, 2), ""),
            ("SQLite recursive query of each, no ranking", best_ms(queried, 2), ""),
        ],
    )


if __name__ == "__main__":
    main()
