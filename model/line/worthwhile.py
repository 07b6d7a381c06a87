"""Which parts of a cable are worth offering after a verb: what can be done first, then the rest of the cable."""

from __future__ import annotations

from collections.abc import Iterable

from model.entities import Cable, FibreEnd
from model.ids import CableId
from model.line.context import Context
from model.line.verbs import RECORDS
from model.lookup import cut_fibres, fibres_of, looped_fibres, passes, work_on
from model.parts import CableType


def _cable_at(context: Context, key: str) -> tuple[Cable, CableType, int | None]:
    cable = context.plant.cables[CableId(key)]
    index = next((i for i, s in enumerate(cable.stops) if s.site == context.place), None)
    return cable, context.plant.cable_types[cable.type], index


def cable_parts(context: Context, key: str, verb: str) -> list[str]:
    """Parts of a cable worth saying after a verb: tubes, ranges that can be done, then single fibres."""
    cable, kind, index = _cable_at(context, key)
    tubes = range(1, len(kind.tubes) + 1)
    stop = cable.stops[index] if index is not None else None
    through = index is not None and passes(cable, index)
    cut = cut_fibres(kind, stop) if stop and through else frozenset()
    if verb == "keep":
        return [f"T{t}" for t in tubes if not cut & set(fibres_of(kind, t))]
    if verb == "open":
        shut = [f"T{t}" for t in tubes if stop is None or work_on(stop, t) is None]
        return shut + [f"T{t}" for t in tubes if f"T{t}" not in shut]
    first = _runs(looped_fibres(kind, stop)) if stop and through and verb in ("cut", "join", "put") else []
    if verb == "join" and stop:
        used = {
            end.fibre
            for splice in context.plant.splices.values()
            for end in (splice.a, splice.b)
            if isinstance(end, FibreEnd) and end.stop == stop.id
        }
        ends = cut if through else set(range(1, kind.fibre_count + 1))
        first = _runs(sorted(ends - used)) + first
    if verb == "part" or verb in RECORDS:
        held = {
            end.fibre
            for splice in context.plant.splices.values()
            for end in (splice.a, splice.b)
            if isinstance(end, FibreEnd) and end.cable == key and (stop is None or end.stop == stop.id)
        }
        first = _runs(sorted(held))
    ribbons = [f"R{n}" for n in range(1, kind.fibre_count // kind.ribbon + 1)] if kind.ribbon else []
    singles = [str(n) for n in range(1, kind.fibre_count + 1)]
    whole = [f"T{t}" for t in tubes]
    return list(dict.fromkeys([*first, *whole, *ribbons, "all", *singles]))


def _runs(numbers: Iterable[int]) -> list[str]:
    found: list[list[int]] = []
    for n in numbers:
        if found and n == found[-1][1] + 1:
            found[-1][1] = n
        else:
            found.append([n, n])
    return [str(a) if a == b else f"{a}-{b}" for a, b in found]
