"""Which tubes to open in a 288-fibre cable for 60 drops: the planner beside two solvers that know nothing of tubes.

The peers get the same offers. One is an exact integer program (HiGHS, by way of scipy, where it is installed); the
other the min-cost flow of networkx, which prices fibres one by one and so may open more tubes than it must.
Limit: 2 s for the whole answer, graph at hand. Run: python tests/bench/bench_planning.py
"""

from __future__ import annotations

import random
import sys
from pathlib import Path

import networkx as nx

sys.path.insert(0, str(Path(__file__).parents[2]))
sys.path.insert(0, str(Path(__file__).parent))
from clock import best_ms, table

from model.graph import Continuity
from model.line.context import Context
from model.line.readback import read_line
from model.numbers import to_text
from model.planning import open_tubes
from model.planning.cover import Offer, choose
from model.planning.survey import stop_at, survey
from tests.model.planning.boxes import Facts, box_plant, drop_ends

WANTED = 60
LIMIT_MS = 2000


def facts(seed: int) -> Facts:
    """24 tubes of 12; a tenth of the fibres live, some promised, reserved or without a port; three tubes open."""
    dice = random.Random(seed)
    made = Facts((12,) * 24, wanted=WANTED, reserve=1, trays=24)
    for tube in range(24):
        busy = dice.random() < 0.5
        for fibre in range(12 * tube + 1, 12 * tube + 13):
            state = dice.choices(("", "live", "planned", "unplugged", "reserved"), (80, 18 * busy, 4, 6, 8))[0]
            if state:
                getattr(made, state).add(fibre)
    made.opened = set(dice.sample(range(1, 25), 3))
    return made


def by_integers(offers: list[Offer]) -> tuple[int, ...]:
    """The same choice as an integer program: one switch and one count for each tube; costs in one weighted sum."""
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp  # type: ignore[import-untyped]

    count = len(offers)
    prices = [offer.weight(1, "live") for offer in offers]
    # Each cost outweighs all later ones together: 288 fibres and 24 tubes are less than 400.
    scale = (400**4, 400**3, 400**2, 400, 1)
    switch = [p[0] * scale[0] + p[1] * scale[1] + scale[4] for p in prices]
    each = [(0 if offer.opened else scale[2]) + scale[3] for offer in offers]
    limits = np.hstack([-np.diag([float(offer.most) for offer in offers]), np.eye(count)])
    total = np.hstack([np.zeros(count), np.ones(count)])
    found = milp(
        np.array([*switch, *each], dtype=float),
        constraints=[LinearConstraint(limits, -np.inf, 0), LinearConstraint(total, WANTED, WANTED)],
        integrality=np.ones(2 * count),
        bounds=Bounds(0, [1.0] * count + [float(offer.most) for offer in offers]),
    )
    taken = [round(x) for x in found.x[count:]]
    return total_weight(offers, taken)


def by_flow(offers: list[Offer]) -> tuple[int, ...]:
    """A min-cost flow from the tubes to the drops, each tube priced by its share a fibre."""
    graph: nx.DiGraph[object] = nx.DiGraph()
    graph.add_node("drops", demand=WANTED)
    graph.add_node("cable", demand=-WANTED)
    for offer in offers:
        if offer.most:
            head = offer.weight(1, "live")
            price = (head[0] * 400 + head[1]) * 1000 // offer.most
            graph.add_edge("cable", offer.tube, capacity=offer.most, weight=price)
            graph.add_edge(offer.tube, "drops", capacity=offer.most, weight=0)
    flow = nx.min_cost_flow(graph)["cable"]
    return total_weight(offers, [flow.get(offer.tube, 0) for offer in offers])


def total_weight(offers: list[Offer], taken: list[int]) -> tuple[int, ...]:
    """The cost of taking so many fibres of each tube."""
    prices = [offer.weight(x, "live") for offer, x in zip(offers, taken, strict=True)]
    return tuple(sum(column) for column in zip(*prices, strict=True))


def main() -> None:
    """Print the table for three plants."""
    for seed in (1, 2, 3):
        case = facts(seed)
        graph = Continuity(box_plant(case))
        cable, _, stop = stop_at(graph, "c", "c.box")
        offers = [found.offer(case.reserve) for found in survey(graph, cable, stop, case.reserved)]
        chosen = choose(offers, WANTED)
        weight = chosen[0] if chosen else ()

        def whole(case: Facts = case, graph: Continuity = graph) -> object:
            return open_tubes(graph, "c", "c.box", drop_ends(case), reserved=case.reserved, reserve=case.reserve)

        context = Context(graph.plant, graph, stop.site)
        question = f"plan drops all from {cable.name} keep {case.reserve} skip {to_text(sorted(case.reserved))}"

        def asked(context: Context = context, question: str = question) -> object:
            context.kept.clear()
            return read_line(context, question)

        reading = read_line(context, question, complete=False)
        assert reading.plan is not None, reading.error
        rows = [
            (f"asked in the Line, read back whole; limit {LIMIT_MS} ms", best_ms(asked), reading.name),
            ("whole answer: survey, choice, edits, reasons", best_ms(whole), f"live, opened, ... {weight}"),
            ("the choice alone", best_ms(lambda offers=offers: choose(offers, WANTED)), str(weight)),
            (
                "min-cost flow of networkx",
                best_ms(lambda offers=offers: by_flow(offers)),
                str(by_flow(offers)),
            ),
        ]
        try:
            same = by_integers(offers)
        except ImportError:
            same = ()
        if same:
            words = f"{same}, {'the same' if same == weight else 'NOT THE SAME'}"
            rows.append(("integer program (HiGHS)", best_ms(lambda offers=offers: by_integers(offers)), words))
        table(f"{WANTED} drops from 288 fibres, plant {seed}", rows)


if __name__ == "__main__":
    main()
