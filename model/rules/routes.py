"""Drawn routes as records: can they be drawn, do they stay inside, do they lead where the joints are?"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from model.entities import FibreEnd, Route
from model.lookup import fibres_of, tube_of
from model.rules import cures, faults
from model.rules import examples as ex
from model.rules.context import Context
from model.rules.registry import PRACTICE, Found, rule


@rule(
    "route.drawn",
    "error",
    title="Every route can be drawn",
    reason="A course that geometry does not allow cannot be laid by hand either.",
    basis="geometry",
    good=ex.clean,
    bad=lambda: ex.with_route(ex.clean(), ex.DROPS, supports=faults.impossible(ex.clean())),
)
def route_drawn(context: Context, limit: float) -> Iterator[Found]:
    """Routes whose supports allow no course."""
    for item in context.drawn:
        if item.course is None:
            yield Found((item.route.id,), f"route {item.route.id} at {context.name} cannot be drawn: {item.fault}")


@rule(
    "route.inside",
    "error",
    title="Tubes and bundles stay inside the enclosure",
    reason="What stands out of the outline is caught by the lid.",
    basis="outline of the enclosure type",
    limit=0,
    unit="mm",
    good=ex.clean,
    bad=lambda: ex.with_box_kind(ex.clean(), width_mm=330.0),
)
def route_inside(context: Context, limit: float) -> Iterator[Found]:
    """Courses of tubes and bundles that leave the outline."""
    for item in context.drawn:
        if item.course is None or item.route.kind == "sheath":
            continue
        kind = context.plant.enclosure_types[context.plant.enclosures[item.route.enclosure].type]
        left, top, right, bottom = item.course.bbox
        out = max(-left, -top, right - kind.width_mm, bottom - kind.height_mm)
        if out > limit + 1e-6:
            yield Found(
                (item.route.id,),
                f"route {item.route.id} at {context.name} stands {out:.1f} mm out of {kind.title}",
                out,
                limit,
            )


@rule(
    "route.stops",
    "error",
    title="A route belongs to cables that stop here, and to tubes they have",
    reason="A course of something that is not here cannot be laid.",
    basis="physics",
    good=ex.clean,
    bad=lambda: faults.stop_elsewhere(ex.clean()),
)
def route_stops(context: Context, limit: float) -> Iterator[Found]:
    """Routes of stops elsewhere, of tubes beyond the count, or to trays elsewhere."""
    trays = {tray.id: tray for tray in context.trays}
    for item in context.drawn:
        route = item.route
        where = f"route {route.id} at {context.name}"
        for stop_id in route.stops:
            here = context.stops.get(stop_id)
            if here is None:
                yield Found((route.id, stop_id), f"{where} is for {stop_id}, which is no cable's stop here")
                continue
            beyond = [t for t in route.tubes if not 1 <= t <= len(here.kind.tubes)]
            if beyond:
                count = len(here.kind.tubes)
                yield Found(
                    (route.id, here.cable.id),
                    f"{where}: {here.cable.name} has {count} tube{'s' * (count != 1)}, not {beyond[0]}",
                )
        if route.tray is not None and (route.tray not in trays or trays[route.tray].enclosure != route.enclosure):
            yield Found((route.id, route.tray), f"{where} ends on tray {route.tray}, which is not in its enclosure")


@rule(
    "route.missing",
    "warning",
    title="Every opened or cut tube is drawn to its tray",
    reason="A tube whose way is not drawn has no length, so nobody knows how much to open.",
    basis=PRACTICE,
    limit=0,
    unit="tubes",
    good=ex.clean,
    bad=lambda: ex.without(ex.clean(), ex.T2_B, "routes"),
)
def route_missing(context: Context, limit: float) -> Iterator[Found]:
    """Worked tubes without a course on a side, in enclosures that have any drawn."""
    if not context.drawn:
        return
    for key, runs in groupby(context.tube_runs, key=lambda run: run.stop.id):
        lacking = [f"T{run.tube}{side}" for run in runs for side, end in (("<", run.a), (">", run.b)) if end is None]
        if len(lacking) > limit:
            here = context.stops[key]
            yield Found(
                (here.cable.id, here.stop.id, *lacking),
                f"{here.cable.name} at {context.name}: no course is drawn for {', '.join(lacking)}",
                len(lacking),
                limit,
                cures.drawn_again(context.plant, here.stop.id),
            )


@rule(
    "route.tray",
    "error",
    title="A tube ends on the tray its joints are on",
    reason="Fibre cannot cross from one tray to another.",
    basis=PRACTICE,
    limit=0,
    unit="joints",
    good=ex.clean,
    bad=lambda: faults.second_tray(ex.clean()),
)
def route_tray(context: Context, limit: float) -> Iterator[Found]:
    """Tubes and drops that end on one tray with joints on another."""
    tray_of: dict[tuple[str, int, str], str] = {}
    for run in context.tube_runs:
        here = context.stops[run.stop.id]
        if not 1 <= run.tube <= len(here.kind.tubes):
            continue
        for side, leg in (("<", run.a), (">", run.b)):
            if leg is not None and leg.route.tray is not None:
                for fibre in fibres_of(here.kind, run.tube):
                    tray_of[here.stop.id, fibre, side] = leg.route.tray
    for drop in context.drop_runs:
        if drop.tray is not None:
            here = context.stops[drop.stop.id]
            for fibre in range(1, here.kind.fibre_count + 1):
                tray_of[here.stop.id, fibre, here.sides[0]] = drop.tray.id
    wrong: dict[tuple[str, str, str], list[int]] = {}
    right: set[tuple[str, str]] = set()
    for splice in context.splices:
        for end in (splice.a, splice.b):
            if isinstance(end, FibreEnd) and splice.tray is not None:
                tray = tray_of.get((end.stop, end.fibre, end.side))
                if tray is not None and tray != splice.tray:
                    wrong.setdefault((end.stop, tray, splice.tray), []).append(end.fibre)
                elif tray is not None:
                    right.add((end.stop, tray))
    for (stop_id, drawn, joined), fibres in sorted(wrong.items()):
        if len(fibres) > limit:
            names = [
                context.plant.table("trays")[key].name if key in context.plant.trays else key for key in (drawn, joined)
            ]
            yield Found(
                (stop_id, drawn, joined),
                f"{context.stops[stop_id].cable.name} at {context.name} is drawn to tray {names[0]}, but "
                f"{len(fibres)} of its joints are on tray {names[1]}",
                len(fibres),
                limit,
                () if (stop_id, drawn) in right else _to_tray(context, stop_id, joined, fibres),
            )


def _to_tray(context: Context, stop_id: str, tray: str, fibres: list[int]) -> cures.Cures:
    """Draft the tubes of these fibres to the tray their joints are on."""
    here = context.stops[stop_id]
    if not here.passing:
        return cures.end(context.plant, stop_id, tray)
    return cures.drawn_again(context.plant, stop_id, sorted({tube_of(here.kind, f)[0] for f in fibres}), tray)


@rule(
    "drop.bundle",
    "warning",
    title="A bundle or transport tube holds few enough drops",
    reason="A thicker bundle no longer bends with its inner drops slack.",
    basis=PRACTICE,
    limit=12,
    unit="drops",
    good=ex.clean,
    bad=lambda: faults.thick_bundle(ex.clean()),
)
def drop_bundle(context: Context, limit: float) -> Iterator[Found]:
    """Bundles with too many drops."""
    for bundle in _bundles(context):
        count = sum(len(route.stops) for route in bundle)
        if count > limit:
            names = ", ".join(route.id for route in bundle)
            yield Found(
                tuple(route.id for route in bundle),
                f"bundle {names} at {context.name} holds {count} drops, at most {limit:g}",
                count,
                limit,
            )


def _bundles(context: Context) -> list[tuple[Route, ...]]:
    """Routes of drops by what they share: those in one transport tube to a tray are one bundle."""
    tubes: dict[tuple[str | None, float], list[Route]] = {}
    found: list[tuple[Route, ...]] = []
    for item in context.drawn:
        route = item.route
        if route.kind == "bundle" and route.transport_od_mm is not None:
            tubes.setdefault((route.tray, route.transport_od_mm), []).append(route)
        elif route.kind == "bundle":
            found.append((route,))
    return [*found, *(tuple(routes) for routes in tubes.values())]


@rule(
    "drop.ties",
    "warning",
    title="Few enough bundles are tied to one tray",
    reason="More than fit the tie points pull at each other when the tray is turned.",
    basis=PRACTICE,
    limit=2,
    unit="bundles",
    good=ex.clean,
    bad=lambda: faults.three_bundles(ex.clean()),
)
def drop_ties(context: Context, limit: float) -> Iterator[Found]:
    """Trays with too many bundles; what shares a transport tube is tied once."""
    for tray in context.trays:
        count = sum(bundle[0].tray == tray.id for bundle in _bundles(context))
        if count > limit:
            yield Found(
                (tray.id,),
                f"{count} bundles are tied to tray {tray.name} at {context.name}, at most {limit:g}",
                count,
                limit,
            )


RULES = (route_drawn, route_inside, route_stops, route_missing, route_tray, drop_bundle, drop_ties)
