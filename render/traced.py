"""What was asked for as a traced path: a service or a node, up to the exchange through splitters of several inputs.

A trace alone stops where a splitter has more than one input; a service knows its working feed (``model.optics.budget``)
and goes on by it. Below a splitter the path branches: ``branches`` tells every leg of it, through cascades.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from model.errors import PlantError
from model.graph import Continuity
from model.optics.budget import budget
from model.optics.loss import WAVELENGTHS_NM, step_loss
from model.trace import EndKind, Step, Trace, service_node, services_by_node, trace, walk, ways_on
from render.hopwords import end_words, short_words


def traced_path(continuity: Continuity, node_or_service: str) -> tuple[Trace, str]:
    """(the trace, id of the service or empty). Above a splitter of several inputs it goes on by the working feed.

    Raises PlantError for a name that is neither a service nor a node.
    """
    plant = continuity.plant
    service = node_or_service if node_or_service in plant.services else ""
    node = service_node(continuity, service) if service else node_or_service
    try:
        found = trace(continuity, node)
    except KeyError:
        raise PlantError(
            f"there is no light path at {node_or_service!r}", where="path sheet", hint="Name a service or a fibre end"
        ) from None
    if not service or found.exchange_kind != "branches":
        return found, service
    steps = budget(continuity, service).steps
    at = next((i for i, step in enumerate(steps) if step.start == found.exchange), len(steps))
    above = steps[at:]
    if not above:
        return found, service
    last = trace(continuity, above[-1].end)
    more = replace(found, steps=(*found.steps, *above), exchange=above[-1].end, exchange_kind=last.exchange_kind)
    return more, service


@dataclass(frozen=True, slots=True)
class Branch:
    """One leg below a splitter input: where it leads and what has been lost up to its end.

    ``depth`` is 0 for the splitter the path branches at, one more for each cascade below. ``at_m`` and ``at_db`` count
    from where the traced path begins at the exchange end; a length is ``None``, a wavelength left out, once unknown.
    ``joined`` is False for a leg with nothing on it.
    """

    depth: int
    leg: str
    end: str
    kind: EndKind
    services: tuple[str, ...]
    joined: bool
    at_m: float | None
    at_db: Mapping[int, float]


def branches(
    continuity: Continuity,
    node: str,
    at_m: float | None = 0.0,
    at_db: Mapping[int, float] | None = None,
    wavelengths_nm: Sequence[int] = WAVELENGTHS_NM,
    depth: int = 0,
) -> Iterator[Branch]:
    """Every leg below a splitter input ``node``, those of a cascade right after the leg that feeds it, each once.

    ``at_m`` and ``at_db`` are what was lost before the splitter.
    """
    yield from _branches(continuity, node, at_m, at_db or dict.fromkeys(wavelengths_nm, 0.0), depth, {node})


def _branches(
    continuity: Continuity, node: str, at_m: float | None, at_db: Mapping[int, float], depth: int, seen: set[str]
) -> Iterator[Branch]:
    graph, plant = continuity.graph, continuity.plant
    carried = services_by_node(continuity)
    ways = sorted(ways_on(graph, node, "inside"), key=lambda way: _number(way[0]))
    for leg, by in ways:
        if leg in seen:
            continue
        seen.add(leg)
        below = walk(graph, leg, "outside")
        length_m, sums = at_m, dict(at_db)
        for step in (Step(node, leg, by), *below.steps):
            loss = step_loss(continuity, step, tuple(sums))
            length_m = None if length_m is None or loss.length_m is None else length_m + loss.length_m
            sums = {nm: db + loss.loss_db[nm] for nm, db in sums.items() if nm in loss.loss_db}
        yield Branch(
            depth,
            short_words(plant, leg),
            end_words(continuity, below.end, below.kind),
            below.kind,
            tuple(plant.services[key].name for key in carried.get(leg, ())),
            bool(below.steps),
            length_m,
            sums,
        )
        if below.kind == "branches" and below.end not in seen:
            seen.add(below.end)
            yield from _branches(continuity, below.end, length_m, sums, depth + 1, seen)


def _number(leg: str) -> int:
    digits = leg.rpartition("/out")[2]
    return int(digits) if digits.isdigit() else 0
