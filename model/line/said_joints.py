"""Which joints a step means: those in slots of a tray, or those of fibres and legs at a place, in the order said."""

from __future__ import annotations

from collections.abc import Sequence
from collections.abc import Set as AbstractSet

from model.entities import FibreEnd, Side, Splice, Tray
from model.ids import SiteId
from model.line.context import Bench
from model.line.faults import Fix, LineError
from model.line.names import natural, quoted
from model.line.picks import Pick, Picked
from model.line.places import place, slots_of, tray_named, tray_site
from model.line.resolve import glass, thinned
from model.line.syntax import OnTray, Step, What
from model.line.wording import plain, runs, short


def trays_said(what: What) -> list[OnTray]:
    """The tray pieces if all are; an empty list if none is. Raises LineError for a mixture."""
    trays = [piece for piece in what if isinstance(piece, OnTray)]
    if trays and len(trays) != len(what):
        odd = next(piece for piece in what if not isinstance(piece, OnTray))
        raise LineError("trays and fibres in one list", odd.span, hint="Say them in two steps")
    return trays


def joints_in(bench: Bench, pieces: Sequence[OnTray], site: SiteId | None) -> list[tuple[Tray, int, list[Splice]]]:
    """(tray, slot, joints) of tray pieces in the order said. Raises LineError for a slot that is empty."""
    found = []
    for piece in pieces:
        tray = tray_named(bench, piece.tray, tray_site(bench, piece, site))
        by_slot: dict[int, list[Splice]] = {}
        for splice in bench.plant.splices.values():
            if splice.tray == tray.id and splice.slot is not None:
                by_slot.setdefault(splice.slot, []).append(splice)
        slots = slots_of(bench, piece, tray)
        whole = piece.slots is None or piece.slots.text.lower() == "all"
        empty = [slot for slot in slots if slot not in by_slot]
        if (empty and not whole) or not by_slot:
            filled = [slot for slot in slots if slot in by_slot] or sorted(by_slot)
            at = piece.slots.span if piece.slots else piece.span
            text = runs(filled)
            where = f"{quoted(bench.plant.sites[tray_site(bench, piece, site)].name)}/{quoted(tray.name)}"
            more = "".join(f",{where}/{run}" for run in text.split(",")[1:])
            raise LineError(
                f"slot{'s' * (len(empty) != 1)} {runs(empty)} of tray {tray.name} "
                f"{'is' if len(empty) == 1 else 'are'} empty",
                at,
                nearest=f"tray {quoted(tray.name)} {text}" if filled else "",
                hint="" if filled else "This tray holds no joint",
                fixes=(Fix(at, text.split(",")[0] + more),) if filled and piece.slots else (),
            )
        found += [(tray, slot, sorted(by_slot[slot], key=lambda s: natural(s.id))) for slot in slots if slot in by_slot]
    return found


def trays_of_joints(held: list[tuple[Tray, int, list[Splice]]]) -> list[Tray]:
    """The trays of joints, each once."""
    return list({tray.id: tray for tray, _, _ in held}.values())


def place_of_joints(bench: Bench, step: Step, picks: list[Picked]) -> SiteId:
    """The place said; else the only site where one of these fibres is joined."""
    said = step.at or bench.context.place or any(isinstance(p, Pick) and p.site for p in picks)
    if not said:
        keys = {(p.cable, p.fibre) for p in picks if isinstance(p, Pick)}
        sites = {
            splice.site
            for splice in bench.plant.splices.values()
            for end in (splice.a, splice.b)
            if isinstance(end, FibreEnd) and (end.cable, end.fibre) in keys
        }
        if len(sites) == 1:
            return sites.pop()
    return place(bench, step, picks)


def joints_of(
    bench: Bench, step: Step, picks: list[Picked], site: SiteId, plugged: AbstractSet[int] = frozenset()
) -> list[Splice]:
    """Joints of fibres and legs at a site, in the order said.

    Raises LineError for one that is not joined there, but for those whose index is among the ``plugged``.
    """
    at_end: dict[object, list[tuple[Side | None, Splice]]] = {}
    for splice in bench.plant.splices.values():
        if splice.site != site:
            continue
        for end in (splice.a, splice.b):
            if isinstance(end, FibreEnd):
                at_end.setdefault((end.cable, end.fibre), []).append((end.side, splice))
            else:
                at_end.setdefault(end, []).append((None, splice))
    found: list[Splice] = []
    missing: list[Picked] = []
    for index, pick in enumerate(picks):
        key: object = (pick.cable, pick.fibre) if isinstance(pick, Pick) else pick.leg
        side = pick.side if isinstance(pick, Pick) else None
        here = [s for end_side, s in at_end.get(key, []) if side is None or end_side == side]
        if not here and index not in plugged:
            missing.append(pick)
        found += sorted(here, key=lambda s: s.id)
    if missing:
        same = [p for p in picks if p.span == missing[0].span and p not in missing and isinstance(p, Pick)]
        text = runs(p.fibre for p in same if isinstance(p, Pick))
        near = [f"{quoted(bench.plant.cables[p.cable].name)}:{text}" for p in same[:1] if isinstance(p, Pick)]
        raise LineError(
            f"{plain(bench.plant, missing)} {'is' if len(missing) == 1 else 'are'} not joined here",
            missing[0].span,
            nearest="".join(near),
            hint="" if near else "Name fibres that are joined here",
            fixes=(Fix(missing[0].span, text),) if text else (),
        )
    return list(dict.fromkeys(found))


def joints_said(bench: Bench, step: Step) -> tuple[SiteId, list[Splice], str]:
    """(site, joints in the order said, what was said in short) of a step on joints. Raises LineError."""
    trays = trays_said(step.what)
    if trays:
        for tail in step.thin:
            raise LineError("slots are named one by one", tail.span, hint="Write the slots that are meant, like 1-4,7")
        site = tray_site(bench, trays[0], bench.context.place)
        held = joints_in(bench, trays, bench.context.place)
        words = ", ".join(f"tray {t.name} {runs(s for u, s, _ in held if u is t)}" for t in trays_of_joints(held))
        return site, list(dict.fromkeys(s for _, _, group in held for s in group)), words
    picks = thinned(bench, glass(bench, step.what), step.thin)
    site = place_of_joints(bench, step, picks)
    return site, joints_of(bench, step, picks, site), short(bench.plant, picks)
