"""Tracing a fibre in a plant of 100 000 pieces, beside three peers on the same plant in the same run.

Peers: networkx shortest path between the two ends, a SQLite recursive query over an edge table, and a pandas chain of
merges hop by hop. Limits: 1 ms a trace, 2 s to open, 2 s for a full check.
Run: python tests/bench/bench_trace.py
"""

from __future__ import annotations

import sqlite3
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

import networkx as nx
import pandas as pd

sys.path.insert(0, str(Path(__file__).parent))
from clock import best_ms, table
from plants import chains

from model.graph import Continuity
from model.rules.run import check
from model.storage.files import load, save
from model.trace import trace


def sqlite_trace(connection: sqlite3.Connection, start: str) -> int:
    """Every node reachable from ``start`` by a recursive query."""
    rows = connection.execute(
        "WITH RECURSIVE r(n) AS (SELECT ? UNION SELECT e.b FROM e JOIN r ON e.a = r.n) SELECT n FROM r", (start,)
    ).fetchall()
    return len(rows)


def pandas_trace(edges: pd.DataFrame, start: str) -> int:
    """Every node reachable from ``start`` by merging the frontier with the edge table until nothing is new."""
    seen = {start}
    frontier = pd.DataFrame({"a": [start]})
    while len(frontier):
        found = frontier.merge(edges, on="a")["b"]
        new = found[~found.isin(seen)].unique()
        seen.update(new)
        frontier = pd.DataFrame({"a": new})
    return len(seen)


def main() -> None:
    """Measure and print."""
    plant = chains(17, 20)
    pieces = sum(plant.cable_types[c.type].fibre_count for c in plant.cables.values())
    continuity = Continuity(plant)
    node = "z0-100/front"
    whole = trace(continuity, node)
    plain = nx.Graph((step.start, step.end) for step in whole.steps)
    light = nx.Graph((u, v) for u, v, key in continuity.graph.edges(keys=True) if key != "held")
    connection = sqlite3.connect(":memory:")
    connection.execute("CREATE TABLE e(a TEXT, b TEXT)")
    both = [pair for u, v in light.edges for pair in ((u, v), (v, u))]
    connection.executemany("INSERT INTO e VALUES (?, ?)", both)
    connection.execute("CREATE INDEX i ON e(a)")
    frame = pd.DataFrame(both, columns=["a", "b"])
    assert sqlite_trace(connection, node) == plain.number_of_nodes() == pandas_trace(frame, node)
    table(
        f"Trace of {len(whole.steps)} steps in {pieces} pieces, both ways",
        [
            ("glasswright trace", best_ms(lambda: trace(continuity, node), 50), "limit 1 ms"),
            (
                "networkx shortest_path, ends known",
                best_ms(lambda: nx.shortest_path(light, whole.field, whole.exchange)),
                "",
            ),
            ("SQLite recursive query", best_ms(lambda: sqlite_trace(connection, node)), ""),
            ("pandas merge chain", best_ms(lambda: pandas_trace(frame, node), 2), ""),
        ],
    )
    with TemporaryDirectory() as folder:
        path = Path(folder) / "large.gwp"
        save(plant, path)
        opened = best_ms(lambda: load(path), 2)
        built = best_ms(lambda: Continuity(plant), 2)
        table(
            f"Opening {pieces} pieces, {path.stat().st_size / 1e6:.1f} MB",
            [
                ("load and check the file", opened, "limit 2000 ms with the graph"),
                ("build the graph", built, ""),
                ("full check of every site", best_ms(lambda: check(plant, continuity=continuity), 1), "limit 2000 ms"),
            ],
        )


if __name__ == "__main__":
    main()
