"""The cut list of a site: for every tube of every cable that passes whether it is opened, cut or left alone.

One row a tube; below an opened one a row for the fibres cut and one for those that stay whole. Places are millimetres
along the sheath opening from the exchange-side sheath end, and the printed mark beside it in the cable's own unit.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from model.entities import Cable, Side
from model.lists.naming import cut_places, mark_at, site_name, tube_colour
from model.lists.source import Source
from model.lookup import cable_type, fibres_of, passes, stops_at, whole_ribbons, work_on

CutState = Literal["express", "opened", "cut", "uncut"]


@dataclass(frozen=True, slots=True)
class CutRow:
    """A tube (``what`` "tube") or fibres of the opened tube above it (``what`` "fibres"); numbers are running.

    ``joined_in`` and ``joined_out`` are the cut fibres joined on the exchange and on the field side; the others are
    stubs there. ``live`` names the live services on the glass, on either side of the cut. ``ribbons`` are those of
    which every fibre is in the row.
    """

    site: str
    cable: str
    what: Literal["tube", "fibres"]
    tube: int
    tube_colour: str
    state: CutState
    fibres: tuple[int, ...]
    joined_in: tuple[int, ...] = ()
    joined_out: tuple[int, ...] = ()
    cut_at_mm: float | None = None
    mark: float | None = None
    mark_unit: str = ""
    outage: str = ""
    live: tuple[str, ...] = ()
    ribbons: tuple[int, ...] = ()

    @property
    def cut(self) -> tuple[int, ...]:
        """Fibres that the row says to cut."""
        return self.fibres if self.state == "cut" else ()


def cut_list(source: Source, site: str) -> tuple[CutRow, ...]:
    """The rows of every cable passing a site, by cable, tube and fibre."""
    places = cut_places(source, site)
    rows: list[CutRow] = []
    for cable, index, stop in stops_at(source.plant, site):
        if passes(cable, index):
            for tube in range(1, len(cable_type(source.plant, cable).tubes) + 1):
                rows += _tube(source, cable, index, tube, places.get((stop.id, tube)))
    return tuple(rows)


def _tube(source: Source, cable: Cable, index: int, tube: int, cut_at_mm: float | None) -> list[CutRow]:
    stop = cable.stops[index]
    fibres = tuple(fibres_of(cable_type(source.plant, cable), tube))
    work = work_on(stop, tube)

    def row(what: Literal["tube", "fibres"], state: CutState, which: tuple[int, ...]) -> CutRow:
        cuts = state == "cut"
        return CutRow(
            site=site_name(source.plant, stop.site),
            cable=cable.name,
            what=what,
            tube=tube,
            tube_colour=tube_colour(source.plant, cable, tube),
            state=state,
            fibres=which,
            joined_in=_joined(source, cable, index, which, "<") if cuts else (),
            joined_out=_joined(source, cable, index, which, ">") if cuts else (),
            cut_at_mm=cut_at_mm if cuts else None,
            mark=mark_at(cable, stop, cut_at_mm) if cuts else None,
            mark_unit=cable.mark_unit,
            outage=stop.outage if state in ("cut", "opened") else "",
            live=source.live(cable, which, index),
            ribbons=whole_ribbons(cable_type(source.plant, cable), which),
        )

    if work is None:
        return [row("tube", "express", fibres)]
    if work.state == "cut":
        return [row("tube", "cut", fibres)]
    cut = tuple(fibre for fibre in fibres if fibre in work.cut)
    whole = tuple(fibre for fibre in fibres if fibre not in work.cut)
    rows = [row("tube", "opened", fibres)]
    if cut:
        rows.append(row("fibres", "cut", cut))
    if whole:
        rows.append(row("fibres", "uncut", whole))
    return rows


def _joined(source: Source, cable: Cable, index: int, fibres: tuple[int, ...], side: Side) -> tuple[int, ...]:
    return tuple(fibre for fibre in fibres if source.joined(cable, fibre, index, side))
