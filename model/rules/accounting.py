"""Is every fibre accounted for, on both sides of every stop, and is each end of glass used only once?

``account`` gives the sum the trade writes under a splice plan: spliced + plugged + express + loop-through + stubs =
count. It counts by running fibre number, never by colour.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from model.edits.cutting import MakeWhole
from model.edits.joining import Part, Store
from model.entities import FibreEnd, Mating, Side, Splice
from model.history import Edit
from model.ids import TrayId
from model.lookup import fibres_of, tube_of
from model.numbers import to_text
from model.rules import examples as ex
from model.rules import faults
from model.rules.context import Context, Here
from model.rules.registry import PRACTICE, Found, rule

SIDE_WORDS = {"<": "exchange side", ">": "field side"}


@dataclass(frozen=True, slots=True)
class Account:
    """The fibres of a cable on one side of a stop, by what becomes of them; running numbers, ascending.

    ``doubled`` are counted twice: joined and recorded as stored as well.
    """

    count: int
    spliced: tuple[int, ...]
    plugged: tuple[int, ...]
    express: tuple[int, ...]
    loops: tuple[int, ...]
    stubs: tuple[int, ...]
    missing: tuple[int, ...]
    doubled: tuple[int, ...]

    @property
    def total(self) -> int:
        """Fibres that have been counted, those counted twice as two."""
        groups = (self.spliced, self.plugged, self.express, self.loops, self.stubs, self.doubled)
        return sum(len(group) for group in groups)

    def text(self) -> str:
        """The sum as it is written: ``4 spliced + 36 express + 8 loop-through = 48``."""
        parts = (
            (self.spliced, "spliced"),
            (self.plugged, "plugged"),
            (self.express, "express"),
            (self.loops, "loop-through"),
            ((*self.stubs, *self.doubled), "stub" if len(self.stubs) + len(self.doubled) == 1 else "stubs"),
        )
        said = " + ".join(f"{len(group)} {word}" for group, word in parts if group)
        return f"{said} = {self.total}" if said else "0"


def account(context: Context, here: Here, side: Side) -> Account:
    """The account of one side of a cable's stop; ``side`` as in ``FibreEnd``."""
    stored = {f for record in here.stop.stored if record.side == side for f in record.fibres}
    spliced: list[int] = []
    plugged: list[int] = []
    free: list[int] = []
    for fibre in sorted(here.cut):
        users = context.facts.users.get(here.node(fibre, side), ())
        if not users:
            free.append(fibre)
        elif isinstance(users[0], Splice):
            spliced.append(fibre)
        else:
            plugged.append(fibre)
    stubs = [fibre for fibre in free if fibre in stored]
    first = [sum(here.kind.tubes[: tube - 1]) + 1 for tube in here.express]
    express = [
        f
        for start, tube in zip(first, here.express, strict=True)
        for f in range(start, start + here.kind.tubes[tube - 1])
    ]
    return Account(
        here.kind.fibre_count,
        tuple(spliced),
        tuple(plugged),
        tuple(express),
        here.loops,
        tuple(stubs),
        tuple(fibre for fibre in free if fibre not in stored),
        tuple(fibre for fibre in (*spliced, *plugged) if fibre in stored),
    )


def _ending(fibres: tuple[int, ...]) -> str:
    """``fibre 16 ends`` or ``fibres 13-15 end``."""
    return f"fibre {fibres[0]} ends" if len(fibres) == 1 else f"fibres {to_text(fibres)} end"


def tray_of(context: Context, here: Here, fibres: tuple[int, ...]) -> TrayId | None:
    """The tray the tube of the first of these fibres ends on, where it is drawn; else that of its tube's joints."""
    tube = tube_of(here.kind, fibres[0])[0]
    for run in context.tube_runs:
        if run.stop.id == here.stop.id and run.tube == tube and run.tray is not None:
            return run.tray.id
    for drop in context.drop_runs:
        if drop.stop.id == here.stop.id and drop.tray is not None:
            return drop.tray.id
    mates = set(fibres_of(here.kind, tube))
    for splice in context.splices:
        for end in (splice.a, splice.b):
            if isinstance(end, FibreEnd) and end.stop == here.stop.id and end.fibre in mates and splice.tray:
                return splice.tray
    return None


@rule(
    "fibre.accounted",
    "error",
    title="Every fibre of every cable in an enclosure is accounted for",
    reason="A cut end that nobody joined or stored is a customer cut off by mistake.",
    basis=f"{PRACTICE}: splice plans close with this sum",
    limit=0,
    unit="fibres",
    good=ex.clean,
    bad=lambda: ex.without_stubs(ex.clean(), ex.FEEDER),
)
def fibre_accounted(context: Context, limit: float) -> Iterator[Found]:
    """Cut ends at an enclosure that are neither joined nor stored, or both."""
    if context.main is None:
        return
    for here in context.cables:
        for side in here.sides:
            sums = account(context, here, side)
            where = f"{here.cable.name} at {context.name}, {SIDE_WORDS[side]}"
            if len(sums.missing) > limit:
                tray = tray_of(context, here, sums.missing)
                store = Store(here.cable.id, here.stop.id, sums.missing, side, tray)
                cures: tuple[tuple[Edit, ...], ...] = ((store,),)
                if here.passing and not any(
                    context.facts.users.get(here.node(f, s)) for f in sums.missing for s in here.sides
                ):
                    cures = (*cures, (MakeWhole(here.cable.id, here.stop.id, sums.missing),))
                yield Found(
                    (here.cable.id, *(here.node(f, side) for f in sums.missing)),
                    f"{where}: {sums.text()} of {sums.count}; {_ending(sums.missing)} here and "
                    f"{'is' if len(sums.missing) == 1 else 'are'} neither joined nor stored",
                    len(sums.missing),
                    limit,
                    cures,
                )
            if sums.doubled:
                text = to_text(sums.doubled)
                yield Found(
                    (here.cable.id, *(here.node(f, side) for f in sums.doubled), "stored"),
                    f"{where}: {sums.text()}, {sums.count} in the cable; {text} counted twice, joined and stored",
                    len(sums.doubled),
                    limit,
                )


@rule(
    "fibre.idle",
    "note",
    title="Ends at a panel or premises that nothing is joined to",
    reason="A fibre that ends unseen is sold twice or looked for in vain.",
    basis=PRACTICE,
    limit=0,
    unit="fibres",
    good=ex.clean,
    bad=lambda: ex.without(ex.clean(), "plug quill-lane.48 rear", "matings"),
)
def fibre_idle(context: Context, limit: float) -> Iterator[Found]:
    """Ends away from enclosures that are neither joined nor stored."""
    if context.main is not None:
        return
    for here in context.cables:
        for side in here.sides:
            sums = account(context, here, side)
            if len(sums.missing) > limit:
                yield Found(
                    (here.cable.id, here.stop.id, side),
                    f"{here.cable.name} at {context.name}: {sums.text()} of {sums.count}; {_ending(sums.missing)} "
                    "here with nothing joined",
                    len(sums.missing),
                    limit,
                )


@rule(
    "fibre.twice",
    "error",
    title="No end of glass is used twice",
    reason="One core takes one joint.",
    basis="physics",
    limit=1,
    unit="uses",
    good=ex.clean,
    bad=lambda: faults.twice_plugged(ex.clean()),
)
def fibre_twice(context: Context, limit: float) -> Iterator[Found]:
    """Ends with more than one splice or plug."""
    seen: set[str] = set()
    for _, end in context.uses:
        node = context.facts.node(end)
        users = context.facts.users.get(node, ())
        if len(users) > limit and node not in seen:
            seen.add(node)
            later = tuple((Part((u.id,)),) for u in reversed(users) if isinstance(u, Splice))
            yield Found(
                (node, *sorted(u.id for u in users)),
                f"{context.facts.end_name(end)} at {context.name} is used {len(users)} times: "
                + ", ".join(_use(context, u) for u in users),
                len(users),
                limit,
                later,
            )


def _use(context: Context, user: Splice | Mating) -> str:
    if isinstance(user, Mating):
        port = context.plant.ports[user.port]
        return f"plugged into {port.panel} port {port.number}"
    tray = context.plant.trays.get(user.tray) if user.tray else None
    place = f" on tray {tray.name} slot {user.slot}" if tray else ""
    return f"spliced {context.facts.end_name(user.a)} to {context.facts.end_name(user.b)}{place}"


@rule(
    "port.twice",
    "error",
    title="One plug in one face of a port",
    reason="A face of an adapter holds one connector.",
    basis="physics",
    limit=1,
    unit="plugs",
    good=ex.clean,
    bad=lambda: faults.second_plug(ex.clean()),
)
def port_twice(context: Context, limit: float) -> Iterator[Found]:
    """Faces of ports with more than one plug."""
    faces: dict[tuple[str, str], list[Mating]] = {}
    for mating in context.matings:
        faces.setdefault((mating.port, mating.face), []).append(mating)
    for (port_id, face), plugs in sorted(faces.items()):
        if len(plugs) > limit:
            port = context.plant.ports[plugs[0].port]
            ends = ", ".join(context.facts.end_name(m.end) for m in plugs)
            yield Found(
                (port_id, *(m.id for m in plugs)),
                f"{port.panel} port {port.number} {face} holds {len(plugs)} plugs: {ends}",
                len(plugs),
                limit,
            )


RULES = (fibre_accounted, fibre_idle, fibre_twice, port_twice)
