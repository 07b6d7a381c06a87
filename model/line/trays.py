"""Which tray a step uses and which slots: the one said, else the picked one, else the only one, else a question."""

from __future__ import annotations

from model.edits.joining import free_slots
from model.entities import Tray
from model.ids import SiteId
from model.line.context import Bench
from model.line.faults import Fix, LineError, Span
from model.line.names import quoted
from model.line.places import tray_named
from model.line.resolve import one_id
from model.line.syntax import Step


def any_tray(bench: Bench, site: SiteId) -> Tray | None:
    """The picked tray if it is at the site, else the only one there, else None."""
    trays = bench.trays_at(site)
    picked = [t for t in trays if t.id == bench.context.tray]
    if picked:
        return picked[0]
    return trays[0] if len(trays) == 1 else None


def said_tray(bench: Bench, step: Step, site: SiteId, needed: int = 1) -> Tray | None:
    """The tray of ``on``, else ``any_tray``; None for the bay, or where the site has no tray.

    Raises LineError with the trays that have room where none is said and several could be meant.
    """
    if step.on is not None:
        if step.on.tray is None:
            return None
        piece = step.on.tray
        if piece.site is not None:
            there = SiteId(one_id(bench, piece.site, "site"))
            if there != site:
                raise LineError(
                    f"this is done at {bench.plant.sites[site].name}", piece.site.span, hint="Use a tray there"
                )
        return tray_named(bench, piece.tray, site)
    found = any_tray(bench, site)
    trays = bench.trays_at(site)
    if found is not None or not trays:
        return found
    at = Span(step.span.end, 0)
    room = [t for t in trays if len(free_slots(bench.draft, t.id)) >= needed] or trays
    raise LineError(
        "on which tray?",
        at,
        nearest=", ".join(f"on tray {quoted(t.name)}" for t in room[:3]),
        fixes=tuple(Fix(at, f" on tray {quoted(t.name)}") for t in room),
        incomplete=at.column > len(bench.text.rstrip()),
    )


def need_slots(bench: Bench, step: Step, site: SiteId, tray: Tray, needed: int) -> list[int]:
    """The first free slots of a tray from the one said. Raises LineError with a tray or slot that has the room."""
    kind = bench.plant.tray_types[tray.type]
    first = int(step.first.text) if step.first else 1
    if not 1 <= first <= kind.slots and step.first:
        raise LineError(
            f"tray {tray.name} has slots 1-{kind.slots}, not {first}",
            step.first.span,
            nearest="from 1",
            fixes=(Fix(step.first.span, "1"),),
        )
    free = free_slots(bench.draft, tray.id, first)
    if step.first is None and tray.reserve:
        free = free[: max(len(free) - tray.reserve, 0)]
    if len(free) >= needed:
        return free[:needed]
    span = step.first.span if step.first else step.on.span if step.on else Span(step.span.end, 0)
    fixes: list[Fix] = []
    nearest = []
    if step.first and len(free_slots(bench.draft, tray.id)) >= needed:
        fixes.append(Fix(step.first.span, "1"))
        nearest.append("from 1")
    for other in bench.trays_at(site):
        if other.id != tray.id and len(free_slots(bench.draft, other.id, first)) >= needed:
            fixes.append(
                Fix(step.on.span, f"on tray {quoted(other.name)}")
                if step.on
                else Fix(Span(step.span.end, 0), f" on tray {quoted(other.name)}")
            )
            nearest.append(f"tray {quoted(other.name)}")
    said = f" from {first}" if step.first else f" beside the {tray.reserve} kept free" if tray.reserve else ""
    raise LineError(
        f"tray {tray.name} has {len(free)} free slot{'s' * (len(free) != 1)}{said}, {needed} are needed",
        span,
        nearest=", ".join(nearest[:3]),
        hint="" if nearest else "Use another tray, or fewer joints",
        fixes=tuple(fixes),
    )
