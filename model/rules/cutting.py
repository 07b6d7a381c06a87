"""What may be cut and what must stay whole: express tubes, and live services on tubes to be opened or cut."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from model.edits.cutting import KeepTubes, OpenTubes
from model.edits.routing import DrawRoute
from model.entities import Route
from model.lookup import cut_fibres, fibres_of
from model.numbers import to_text
from model.rules import cures
from model.rules import examples as ex
from model.rules.context import Context, Here
from model.rules.registry import PRACTICE, Found, rule


@rule(
    "express.whole",
    "error",
    title="An express tube is drawn and recorded uncut",
    reason="A tube shown both passing and opened is cut by whoever reads the other half.",
    basis=PRACTICE,
    good=ex.clean,
    bad=lambda: ex.with_route(ex.clean(), ex.T1, tray=ex.tray_id()),
)
def express_whole(context: Context, limit: float) -> Iterator[Found]:
    """Tubes whose drawn course says otherwise than the cut list."""
    for item in context.drawn:
        route = item.route
        if route.kind != "tube":
            continue
        for stop_id in route.stops:
            here = context.stops.get(stop_id)
            if here is None or not here.passing:
                continue
            worked = {work.tube: work.state for work in here.stop.tubes}
            ends = route.side != "" or route.tray is not None
            express = tuple(t for t in route.tubes if t in here.express)
            handled = tuple(t for t in route.tubes if t in worked)
            where = f"{here.cable.name} at {context.name}"
            if ends and express:
                tray = context.plant.trays.get(route.tray) if route.tray else None
                place = f"ends on tray {tray.name}" if tray else "ends inside"
                yield Found(
                    (route.id, here.cable.id, f"T{to_text(express)}"),
                    f"{where}: tube {to_text(express)} passes unopened, but its route {place}",
                    cures=(
                        *_uncut_again(context, here, route),
                        (OpenTubes(here.cable.id, here.stop.id, express),),
                    ),
                )
            if not ends and handled:
                state = worked[handled[0]]
                keep = KeepTubes(here.cable.id, here.stop.id, handled)
                uncut = not here.cut & {f for t in handled for f in fibres_of(here.kind, t)}
                yield Found(
                    (route.id, here.cable.id, f"T{to_text(handled)}"),
                    f"{where}: tube {to_text(handled)} is {state}, but its route runs through",
                    cures=(
                        *cures.drawn_again(context.plant, here.stop.id),
                        *(((keep,),) if uncut else ()),
                    ),
                )


def _uncut_again(context: Context, here: Here, route: Route) -> cures.Cures:
    """A course that goes through and only names a tray forgets the tray; one that ends there is drafted anew."""
    if route.side == "":
        return ((DrawRoute(replace(route, tray=None)),),)
    return cures.drawn_again(context.plant, here.stop.id)


def piece_nodes(here: Here, fibre: int) -> tuple[str, ...]:
    """Graph nodes of a fibre's glass at a stop: both cut ends, or the near end of the piece that passes."""
    if fibre in here.cut:
        return tuple(here.node(fibre, side) for side in here.sides)
    start = 0
    for index in range(1, here.index):
        if fibre in cut_fibres(here.kind, here.cable.stops[index]):
            start = index
    return (f"{here.cable.id}:{fibre}@{here.cable.stops[start].id}>",)


@rule(
    "outage.live",
    "error",
    title="No live service on a tube to be opened or cut, unless an outage is approved",
    reason="Opening moves every fibre of the tube; cutting ends the service.",
    basis=f"{PRACTICE}: work on live glass needs an approved outage",
    limit=0,
    unit="services",
    good=lambda: ex.with_stop(ex.with_service(ex.clean(), "ferry-head.20"), outage="OUT 311"),
    bad=lambda: ex.with_service(ex.clean(), "ferry-head.20"),
)
def outage_live(context: Context, limit: float) -> Iterator[Found]:
    """Live services on worked tubes where nothing is spliced yet; a tube with finished joints is open already."""
    facts = context.facts
    for here in context.cables:
        if not here.passing or here.stop.outage:
            continue
        for work in here.stop.tubes:
            if not 1 <= work.tube <= len(here.kind.tubes):
                continue
            live: dict[str, int] = {}
            finished = False
            for fibre in fibres_of(here.kind, work.tube):
                for node in piece_nodes(here, fibre):
                    for service in facts.services.get(node, ()):
                        if context.plant.table("services")[service].status == "live":
                            live.setdefault(service, fibre)
                    if fibre in here.cut:
                        finished = finished or any(
                            getattr(user, "status", "") in ("existing", "done") for user in facts.users.get(node, ())
                        )
            if len(live) > limit and not finished:
                names = ", ".join(
                    f"{context.plant.table('services')[key].name} on fibre {fibre}" for key, fibre in live.items()
                )
                count = len(live)
                yield Found(
                    (here.cable.id, here.stop.id, f"T{work.tube}"),
                    f"{here.cable.name} at {context.name}: tube {work.tube} is to be "
                    f"{'opened' if work.state == 'opened' else 'cut'} and carries {count} live "
                    f"service{'s' * (count != 1)}, no outage approved: {names}",
                    count,
                    limit,
                )


RULES = (express_whole, outage_live)
