"""``draft``: first courses for tubes, drops and legs of sheath at a place; what is drawn and still true is kept."""

from __future__ import annotations

from model.edits.routing import DrawRoute
from model.entities import Tray
from model.errors import EditError
from model.history import Edit
from model.ids import SiteId
from model.line.context import Bench, Chip, Made
from model.line.faults import LineError, Span
from model.line.opening import by_cable
from model.line.places import place, stop_index, tray_named
from model.line.resolve import glass, one_id
from model.line.syntax import Glass, Step
from model.line.wording import plural, short
from model.lookup import enclosure_at, tube_of
from model.missing import Place, missing_legs
from model.redrafting import draft_all, draft_legs, draft_tubes
from model.redrafting_ends import draft_end


def _everything(step: Step) -> bool:
    piece = step.what[0]
    bare = isinstance(piece, Glass) and piece.name is None and piece.part is not None
    return len(step.what) == 1 and bare and piece.part.text.lower() == "all"  # type: ignore[union-attr]


def draft(bench: Bench, step: Step) -> Made:
    """``draft all``, or the tubes and drops said. Raises LineError where nothing fits."""
    return _all(bench, step) if _everything(step) else _said(bench, step)


def _all(bench: Bench, step: Step) -> Made:
    if step.on is not None:
        raise LineError("all is drafted to the trays its joints are on", step.on.span, hint="Leave out on")
    sites = [SiteId(one_id(bench, step.at, "site"))] if step.at else []
    if not sites and bench.context.place:
        sites = [bench.context.place]
    if not sites:
        sites = sorted({SiteId(box.site) for box in bench.plant.enclosures.values()})
    bare = [site for site in sites if enclosure_at(bench.plant, site) is None]
    if bare or not sites:
        where = f"{bench.plant.sites[bare[0]].name} has" if bare else "the plant has"
        span = step.at.span if step.at else step.what_span
        raise LineError(f"{where} no box to draft in", span, hint="Add one first: add box TYPE")
    made = Made("draft all")
    faults: list[str] = []
    for site in sites:
        edits, why = draft_all(bench.plant, site)
        faults += why
        for edit in edits:
            bench.do(made, edit)
    count = sum(isinstance(edit, DrawRoute) for edit in made.edits)
    names = ", ".join(bench.plant.sites[s].name for s in sites[:3])
    if faults and not count:
        raise LineError(faults[0], step.what_span, hint="" if len(faults) == 1 else f"and {len(faults) - 1} more")
    made.chips = [
        Chip("do", f"draft {plural(count, 'course')}" if count else "draft nothing", step.verb.span),
        Chip("at", names, step.at.span if step.at else step.span),
    ]
    if not count:
        made.chips.append(Chip("note", "everything is drawn, nothing to change", step.span))
    made.chips += [Chip("not drafted", fault, step.span, warns=True) for fault in faults[:2]]
    return made


def _said(bench: Bench, step: Step) -> Made:
    picks = glass(bench, step.what)
    site = place(bench, step, picks)
    enclosure = enclosure_at(bench.plant, site)
    if enclosure is None:
        raise LineError(
            f"{bench.plant.sites[site].name} has no box", step.what_span, hint="Add one first: add box TYPE"
        )
    tray: Tray | None = None
    if step.on is not None:
        if step.on.tray is None:
            raise LineError("uncut tubes are drafted through the bay", step.on.span, hint="Leave out on bay")
        tray = tray_named(bench, step.on.tray.tray, site)
    made = Made(f"draft {short(bench.plant, picks)}")
    for cable, kind, run in by_cable(bench, picks):
        here = Place(bench.plant, enclosure, cable, stop_index(bench, run[0], site))
        tubes = sorted({tube_of(kind, pick.fibre)[0] for pick in run})
        try:
            edits = [*_legs(here), *_edits(here, tubes, tray, run[0].span)]
        except EditError as fault:
            raise LineError(fault.message, run[0].span, hint=fault.hint) from None
        for edit in edits:
            bench.do(made, edit)
    count = sum(isinstance(edit, DrawRoute) for edit in made.edits)
    made.chips = [
        Chip("do", f"draft {plural(count, 'course')}" if count else "draft nothing", step.verb.span),
        Chip("what", short(bench.plant, picks), step.what_span),
        Chip("at", bench.plant.sites[site].name, step.at.span if step.at else step.span),
    ]
    if tray is not None and step.on is not None:
        made.chips.append(Chip("to", f"tray {tray.name}", step.on.span))
    return made


def _legs(here: Place) -> list[Edit]:
    return draft_legs(here) if missing_legs(here) else []


def _edits(here: Place, tubes: list[int], tray: Tray | None, span: Span) -> list[Edit]:
    if not here.passing:
        return draft_end(here, tray)
    opened = [t for t in tubes if t not in here.express]
    if tray is not None and not opened:
        raise LineError(
            f"{here.cable.name} passes there uncut",
            span,
            hint=f"Open a tube first: open {here.cable.name}:T{tubes[0]}",
        )
    return draft_tubes(here, opened, tray)
