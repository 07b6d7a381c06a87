"""Bends of sheath, tube, drop and stored fibre, each against its own limit; radii in millimetres seen in plan.

The limits come from the part in hand: a cable type knows its own least bends, a fibre class its storage radius. A
profile's limit replaces them. Courses are the drawn ones, exact; a course that cannot be drawn is not judged here.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import degrees

from model.edits.routing import SetSupport
from model.entities import FibreEnd, Route, Support
from model.layout import TRANSPORT_BEND_MM, Drawn, draw, is_stiff
from model.parts import CableType
from model.plant import Plant
from model.rules import examples as ex
from model.rules import faults
from model.rules.context import Context, Here
from model.rules.registry import Found, rule

SLOP_MM = 1e-6
"""A radius computed from a drawing may miss its round value by this much."""
SHEATH_FACTOR = 20.0
"""Least bend of a sheath under load in outside diameters, where its type says nothing (owners' rules, read)."""
TUBE_FACTOR = 15.0
"""Least bend of a tube in outside diameters, where its type says nothing (common practice, no source)."""


def _tightest(item: Drawn) -> tuple[float, float] | None:
    """(radius, where along the course) of the tightest bend."""
    found = item.course.tightest() if item.course else None
    return None if found is None else (found[0], found[1])


def _widen(route: Route, radius_mm: float, least_mm: float) -> tuple[tuple[SetSupport, ...], ...]:
    """Widen the one corner or wrap that has this radius, where there is just one."""

    tight = [i for i, s in enumerate(route.supports) if s.kind != "anchor" and abs(s.radius_mm - radius_mm) < 1e-3]
    return (
        _if_drawable(route, tight[0], replace(route.supports[tight[0]], radius_mm=least_mm)) if len(tight) == 1 else ()
    )


def _if_drawable(route: Route, index: int, support: Support) -> tuple[tuple[SetSupport, ...], ...]:
    """The cure that sets one support, where the route can still be drawn with it."""
    changed = replace(route, supports=(*route.supports[:index], support, *route.supports[index + 1 :]))
    return ((SetSupport(route.id, index, support),),) if draw(changed).course is not None else ()


def sheath_limit_mm(here: Here, factor: float) -> float:
    """Least bend of a sheath: ``factor`` outside diameters where a profile gives one, else the type's, else 20 OD."""
    if factor:
        return factor * here.kind.od_mm
    return here.kind.bend_load_mm or SHEATH_FACTOR * here.kind.od_mm


def tube_least_mm(plant: Plant, kind: CableType) -> float:
    """Least bend of a tube or stripped drop: the type's, else 15 OD; never below what its class of fibre stands."""
    fibre = plant.fibre_classes.get(kind.fibre_class)
    return max(kind.tube_bend_mm or TUBE_FACTOR * kind.tube_od_mm, fibre.least_radius_mm if fibre else 0.0)


def route_least_mm(plant: Plant, kind: CableType, route: Route) -> float:
    """Least bend of a tube on a route; a stiff one in a transport tube bends no tighter than that and its fibres."""
    if route.transport_od_mm is None or not is_stiff(kind):
        return tube_least_mm(plant, kind)
    fibre = plant.fibre_classes.get(kind.fibre_class)
    return max(TRANSPORT_BEND_MM, fibre.least_radius_mm if fibre else 0.0)


@rule(
    "bend.sheath",
    "error",
    title="Sheath is bent no tighter than its limit while it is handled",
    reason="A sheath bent too far buckles and presses its tubes.",
    basis="the cable type's least bend under load, else 20 times its outside diameter (owners' rules)",
    unit="mm",
    profile_unit="x outside diameter",
    worse="less",
    good=ex.clean,
    bad=lambda: faults.bent_sheath(ex.clean()),
)
def bend_sheath(context: Context, limit: float) -> Iterator[Found]:
    """Drawn legs of sheath bent too tightly."""
    for item in context.drawn:
        tight = _tightest(item)
        if item.route.kind != "sheath" or tight is None:
            continue
        for stop_id in item.route.stops:
            here = context.stops.get(stop_id)
            if here is not None and tight[0] < sheath_limit_mm(here, limit) - SLOP_MM:
                least = sheath_limit_mm(here, limit)
                yield Found(
                    (item.route.id, here.cable.id),
                    f"sheath of {here.cable.name} at {context.name} is bent to {tight[0]:.1f} mm radius, "
                    f"at least {least:g} mm",
                    tight[0],
                    least,
                    _widen(item.route, tight[0], least),
                )


@rule(
    "bend.coil",
    "error",
    title="Cable coiled outside lies no tighter than its limit while it is handled",
    reason="A coil is taken down at every re-entry, so it is bent under load.",
    basis="the cable type's least bend under load, else 20 times its outside diameter (owners' rules)",
    unit="mm",
    profile_unit="x outside diameter",
    worse="less",
    good=ex.clean,
    bad=lambda: ex.with_stop(ex.clean(), coil_diameter_mm=400.0),
)
def bend_coil(context: Context, limit: float) -> Iterator[Found]:
    """Coils of too small a diameter."""
    for here in context.cables:
        diameter = here.stop.coil_diameter_mm
        if diameter is None or (here.stop.coil_in_m == 0 and here.stop.coil_out_m == 0):
            continue
        least = sheath_limit_mm(here, limit)
        if diameter / 2 < least - SLOP_MM:
            yield Found(
                (here.cable.id, here.stop.id),
                f"the coil of {here.cable.name} at {context.name} is {diameter:g} mm across, at least {2 * least:g} mm",
                diameter / 2,
                least,
            )


@rule(
    "bend.tube",
    "error",
    title="Tubes are bent no tighter than their limit",
    reason="A tube kinks below it, and the kink breaks fibres.",
    basis="the cable type's least tube bend, else 15 times the tube's outside diameter (common practice, no source)",
    unit="mm",
    worse="less",
    good=ex.clean,
    bad=lambda: ex.with_support(ex.clean(), ex.T2_B, 1, radius_mm=30.0),
)
def bend_tube(context: Context, limit: float) -> Iterator[Found]:
    """Drawn tubes bent too tightly."""
    for item in context.drawn:
        tight = _tightest(item)
        if item.route.kind != "tube" or tight is None:
            continue
        for stop_id in item.route.stops:
            here = context.stops.get(stop_id)
            if here is None:
                continue
            least = limit or route_least_mm(context.plant, here.kind, item.route)
            if tight[0] < least - SLOP_MM:
                tubes = ", ".join(f"T{t}" for t in item.route.tubes)
                yield Found(
                    (item.route.id, here.cable.id),
                    f"{here.cable.name} {tubes} at {context.name} is bent to {tight[0]:.1f} mm radius "
                    f"{tight[1]:.0f} mm along, at least {least:g} mm",
                    tight[0],
                    least,
                    _widen(item.route, tight[0], least),
                )


@rule(
    "bend.drop",
    "error",
    title="Drops inside are bent no tighter than their limit",
    reason="The stripped drop kinks like any tube; in a transport tube the transport tube kinks first.",
    basis="the drop type's and its fibre class's least bend; 38 mm in a transport tube (lower end of owners' range)",
    unit="mm",
    worse="less",
    good=ex.clean,
    bad=lambda: faults.tight_drop(ex.clean()),
)
def bend_drop(context: Context, limit: float) -> Iterator[Found]:
    """Drawn bundles bent too tightly for one of their drops."""
    for item in context.drawn:
        tight = _tightest(item)
        if item.route.kind != "bundle" or tight is None:
            continue
        cables = [context.stops[key] for key in item.route.stops if key in context.stops]
        leasts = [route_least_mm(context.plant, here.kind, item.route) for here in cables]
        if item.route.transport_od_mm is not None:
            leasts.append(TRANSPORT_BEND_MM)
        least = limit or max(leasts, default=0.0)
        if tight[0] < least - SLOP_MM:
            names = ", ".join(here.cable.name for here in cables[:4]) + (" and others" if len(cables) > 4 else "")
            yield Found(
                (item.route.id,),
                f"the bundle of {names} at {context.name} is bent to {tight[0]:.1f} mm radius "
                f"{tight[1]:.0f} mm along, at least {least:g} mm",
                tight[0],
                least,
                _widen(item.route, tight[0], least),
            )


def _classes_on(context: Context, tray_id: str) -> dict[str, str]:
    """Fibre classes that lie on a tray, each with the name of a cable it comes from."""
    found: dict[str, str] = {}
    for splice in context.splices:
        if splice.tray == tray_id:
            for end in (splice.a, splice.b):
                kind = context.facts.end_kind(end)
                if kind is not None and isinstance(end, FibreEnd):
                    found.setdefault(kind.fibre_class, context.plant.cables[end.cable].name)
    for here in context.cables:
        if any(record.tray == tray_id for record in here.stop.stored):
            found.setdefault(here.kind.fibre_class, here.cable.name)
    return found


@rule(
    "bend.fibre",
    "error",
    title="Stored fibre lies no tighter than its class allows for life",
    reason="Tighter storage loses light at long wavelengths and wears the glass over the years.",
    basis="storage radius of the fibre class: 30 mm G.652.D, 15 mm G.657 (practice, from memory)",
    unit="mm",
    worse="less",
    good=ex.clean,
    bad=lambda: faults.wide_storage(ex.clean()),
)
def bend_fibre(context: Context, limit: float) -> Iterator[Found]:
    """Trays whose track is too tight for a class of fibre on them."""
    for tray in context.trays:
        kind = context.plant.tray_types[tray.type]
        for class_id, cable in sorted(_classes_on(context, tray.id).items()):
            fibre = context.plant.fibre_classes[class_id]
            least = limit or fibre.storage_radius_mm
            if kind.track_radius_mm < least - SLOP_MM:
                yield Found(
                    (tray.id, class_id),
                    f"tray {tray.name} at {context.name} stores {fibre.title} of {cable} at "
                    f"{kind.track_radius_mm:g} mm radius, at least {least:g} mm",
                    kind.track_radius_mm,
                    least,
                )


@rule(
    "bend.kink",
    "error",
    title="No course turns a corner without a bend",
    reason="A corner without a fillet is a kink, and a kinked tube breaks its fibres.",
    basis="physics; smaller angles are rounding of a drawing",
    limit=0.5,
    unit="degrees",
    good=ex.clean,
    bad=lambda: ex.with_support(ex.clean(), ex.T1, 1, radius_mm=0.0),
)
def bend_kink(context: Context, limit: float) -> Iterator[Found]:
    """Sudden changes of heading in drawn courses."""
    for item in context.drawn:
        for kink in item.course.kinks if item.course else ():
            angle = abs(degrees(kink.angle_rad))
            if angle > limit:
                yield Found(
                    (item.route.id, f"support {kink.support}" if kink.support is not None else f"{kink.at_mm:.0f} mm"),
                    f"{_what(context, item.route)} turns {angle:.1f} degrees without a bend {kink.at_mm:.0f} mm along",
                    angle,
                    limit,
                )


def _what(context: Context, route: Route) -> str:
    """A route in words."""
    names = ", ".join(context.stops[key].cable.name for key in route.stops[:3] if key in context.stops) or route.id
    tubes = " " + ", ".join(f"T{t}" for t in route.tubes) if route.kind == "tube" else ""
    return f"{'sheath of ' if route.kind == 'sheath' else ''}{names}{tubes} at {context.name}"


@rule(
    "bend.wrong_side",
    "warning",
    title="No bend goes nearly a whole turn round a post that it should only pass",
    reason="Such a turn is a post passed on the wrong side: the tube is longer than drawn by hand and crosses itself.",
    basis="geometry; a whole turn that is meant is given as a turn",
    limit=1.9 * 180,
    unit="degrees",
    good=ex.clean,
    bad=lambda: faults.wrong_side(ex.clean()),
)
def bend_wrong_side(context: Context, limit: float) -> Iterator[Found]:
    """Bends of nearly a whole turn at posts without whole turns."""
    for item in context.drawn:
        posts = [s for s in item.route.supports if s.kind == "wrap" and s.turns == 0]
        for bend in item.course.bends() if item.course and posts else ():
            sweep = abs(degrees(bend.sweep_rad))
            if sweep <= limit:
                continue
            for post in posts:
                if abs(post.x_mm - bend.arc.cx) < 1e-3 and abs(post.y_mm - bend.arc.cy) < 1e-3:
                    index = item.route.supports.index(post)

                    flipped = replace(post, side=-1 if post.side == 1 else 1)
                    yield Found(
                        (item.route.id, f"support {index}"),
                        f"{_what(context, item.route)} goes {sweep:.0f} degrees round "
                        f"{post.guide or 'a post'}: is it on the right side?",
                        sweep,
                        limit,
                        _if_drawable(item.route, index, flipped),
                    )
                    break


RULES = (bend_sheath, bend_coil, bend_tube, bend_drop, bend_fibre, bend_kink, bend_wrong_side)
