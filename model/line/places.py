"""Where a step is done: the site said or meant, the stop of a cable there, and trays and slots by name."""

from __future__ import annotations

from collections.abc import Iterable

from model.entities import Tray
from model.errors import PlantError
from model.ids import SiteId
from model.line.context import Bench
from model.line.faults import Fix, LineError, Span
from model.line.names import quoted
from model.line.picks import LegPick, Pick, Picked
from model.line.resolve import one_id
from model.line.syntax import OnTray, Step, Word
from model.lookup import passes, stays_inside
from model.numbers import from_text


def place(bench: Bench, step: Step, picks: Iterable[Picked], *, passing: bool = False) -> SiteId:
    """Where a step is done: the site said, else the place, else the only site where all the cables stop.

    Raises LineError when that is none or several, or when a cable does not stop there.
    """
    chosen = list(picks)
    said = step.at
    site = SiteId(one_id(bench, said, "site")) if said else None
    for pick in chosen:
        if isinstance(pick, Pick) and pick.site is not None:
            if site is not None and pick.site != site:
                raise LineError("two places are said", pick.span, hint="Do one place at a time")
            site = pick.site
    site = site or bench.context.place
    cables = list(dict.fromkeys(p.cable for p in chosen if isinstance(p, Pick)))
    if site is None:
        shared: list[SiteId] | None = None
        for key in cables:
            cable = bench.plant.cables[key]
            stops = [s.site for i, s in enumerate(cable.stops) if not passing or passes(cable, i)]
            shared = [s for s in stops if shared is None or s in shared]
        for pick in chosen:
            if isinstance(pick, LegPick):
                shared = [bench.plant.splitters[pick.leg.splitter].site]
        shared = list(dict.fromkeys(shared or []))
        if len(shared) != 1:
            at = Span(step.span.end, 0)
            options = [quoted(bench.plant.sites[s].name) for s in shared]
            raise LineError(
                "at which site?" if shared else "these cables meet nowhere",
                at,
                nearest=", ".join(f"at {name}" for name in options[:3]),
                hint="" if options else "Name cables that stop at one site",
                fixes=tuple(Fix(at, f" at {name}") for name in options),
                incomplete=bool(options) and at.column > len(bench.text.rstrip()),
            )
        site = shared[0]
    require_at(bench, chosen, site)
    return site


def require_at(bench: Bench, picks: Iterable[Picked], site: SiteId) -> None:
    """Raises LineError for a cable that does not stop at a site, or a splitter that is elsewhere."""
    for pick in picks:
        if isinstance(pick, Pick):
            stop_index(bench, pick, site)
        elif bench.plant.splitters[pick.leg.splitter].site != site:
            name = bench.plant.splitters[pick.leg.splitter].name
            raise LineError(f"{name} is not at {bench.plant.sites[site].name}", pick.span, hint="Say at which site")


def stop_index(bench: Bench, pick: Pick, site: SiteId) -> int:
    """Index of a cable's stop at a site. Raises LineError for none or several."""
    cable = bench.plant.cables[pick.cable]
    found = [i for i, stop in enumerate(cable.stops) if stop.site == site]
    if len(found) == 1:
        return found[0]
    if found and stays_inside(cable):
        return found[0] if pick.side == ">" else found[-1]
    name = bench.plant.sites[site].name
    if found:
        raise LineError(
            f"{cable.name} stops at {name} {len(found)} times", pick.span, hint="The Line cannot tell these stops apart"
        )
    stops = [bench.plant.sites[stop.site].name for stop in cable.stops if stop.site in bench.plant.sites]
    raise LineError(f"{cable.name} does not stop at {name}", pick.span, hint="It stops at " + ", ".join(stops))


def tray_named(bench: Bench, word: Word, site: SiteId) -> Tray:
    """A tray of a site by name, else by position."""
    trays = bench.trays_at(site)
    by_name = [t for t in trays if t.name == word.text] or [t for t in trays if t.name.lower() == word.text.lower()]
    found = by_name or [t for t in trays if str(t.position) == word.text]
    if len(found) == 1:
        return found[0]
    if found:
        raise LineError(f"{len(found)} trays here are called {word.text}", word.span, hint="Rename one of them")
    raise bench.fault_name(word.text, word.span, f"tray at {bench.plant.sites[site].name}", [t.name for t in trays])


def slots_of(bench: Bench, piece: OnTray, tray: Tray) -> tuple[int, ...]:
    """Slots that a piece names; all of the tray's for none or ``all``. Raises LineError."""
    count = bench.plant.tray_types[tray.type].slots
    if piece.slots is None or piece.slots.text.lower() == "all":
        return tuple(range(1, count + 1))
    try:
        slots = from_text(piece.slots.text)
    except PlantError as fault:
        raise LineError(fault.message, piece.slots.span, hint=fault.hint) from None
    if max(slots) > count:
        first = max(1, count - len(slots) + 1)
        near = str(count) if first == count else f"{first}-{count}"
        raise LineError(
            f"tray {tray.name} has {count} slots, not {piece.slots.text}",
            piece.slots.span,
            nearest=f"tray {quoted(tray.name)} {near}",
            fixes=(Fix(piece.slots.span, near),),
        )
    return slots


def tray_site(bench: Bench, piece: OnTray, site: SiteId | None) -> SiteId:
    """The site of a tray piece: said, else given, else the only site that has trays."""
    if piece.site is not None:
        return SiteId(one_id(bench, piece.site, "site"))
    if site is not None:
        return site
    sites = sorted({e.site for e in bench.plant.enclosures.values() if bench.trays_at(e.site)})
    if len(sites) == 1:
        return sites[0]
    raise LineError("at which site?", piece.span, hint="Write SITE/TRAY/SLOTS")
