"""Do the records of stored glass agree with what is cut, and has all uncut glass a place?"""

from __future__ import annotations

from collections.abc import Iterator

from model.edits.joining import Store
from model.entities import Stored
from model.lookup import tube_of
from model.numbers import to_text
from model.rules import examples as ex
from model.rules.accounting import SIDE_WORDS, tray_of
from model.rules.context import Context
from model.rules.registry import PRACTICE, Found, rule


@rule(
    "loops.placed",
    "warning",
    title="Uncut fibres of an opened tube have a place",
    reason="Bare uncut glass with no place of its own is caught under a lid.",
    basis=PRACTICE,
    limit=0,
    unit="fibres",
    good=ex.clean,
    bad=lambda: ex.with_stored(ex.clean(), ex.FEEDER, (record for record in ex.stop(ex.clean()).stored if record.side)),
)
def loops_placed(context: Context, limit: float) -> Iterator[Found]:
    """Loop-through fibres without a storage record."""
    for here in context.cables:
        placed = {f for record in here.stop.stored if record.side == "" for f in record.fibres}
        loose = tuple(f for f in here.loops if f not in placed)
        if len(loose) > limit:
            by_tube: dict[int, list[int]] = {}
            for fibre in loose:
                by_tube.setdefault(tube_of(here.kind, fibre)[0], []).append(fibre)
            groups = [tuple(fibres) for fibres in by_tube.values()]
            store = tuple(Store(here.cable.id, here.stop.id, g, "", tray_of(context, here, g)) for g in groups)
            yield Found(
                (here.cable.id, here.stop.id),
                f"{here.cable.name} at {context.name}: uncut fibres {to_text(loose)} of opened tubes have no place",
                len(loose),
                limit,
                (store,),
            )


@rule(
    "stored.agrees",
    "error",
    title="Storage records agree with the cut list",
    reason="A record that calls a cut fibre whole, or a whole one cut, sends the next technician to the wrong glass.",
    basis=PRACTICE,
    good=ex.clean,
    bad=lambda: ex.with_stored(ex.clean(), ex.FEEDER, (*ex.stop(ex.clean()).stored, Stored((1, 2), ""))),
)
def stored_agrees(context: Context, limit: float) -> Iterator[Found]:
    """Records of stored glass that contradict what is cut."""
    for here in context.cables:
        loops = set(here.loops)
        for record in here.stop.stored:
            where = f"{here.cable.name} at {context.name}"
            beyond = [f for f in record.fibres if not 1 <= f <= here.kind.fibre_count]
            if beyond:
                yield Found(
                    (here.cable.id, here.stop.id, record.side, to_text(beyond)),
                    f"{where}: stored fibres {to_text(beyond)}, but it has {here.kind.fibre_count}",
                )
            known = [f for f in record.fibres if 1 <= f <= here.kind.fibre_count]
            if record.side == "":
                cut = [f for f in known if f in here.cut]
                closed = [f for f in known if f not in here.cut and f not in loops]
                if cut:
                    yield Found(
                        (here.cable.id, here.stop.id, "", to_text(cut)),
                        f"{where}: fibres {to_text(cut)} are recorded as looping through, but they are cut here",
                    )
                if closed:
                    yield Found(
                        (here.cable.id, here.stop.id, "", to_text(closed)),
                        f"{where}: fibres {to_text(closed)} are recorded as looping through, "
                        "but their tubes pass unopened",
                    )
            else:
                whole = [f for f in known if f not in here.cut or record.side not in here.sides]
                if whole:
                    yield Found(
                        (here.cable.id, here.stop.id, record.side, to_text(whole)),
                        f"{where}: fibres {to_text(whole)} are recorded as cut ends on the "
                        f"{SIDE_WORDS[record.side]}, but they do not end there",
                    )


RULES = (loops_placed, stored_agrees)
