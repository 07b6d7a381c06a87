"""What a person is looking at: the place, the view, what is picked and which path is lit. Shared by all views.

Nothing here is an edit, and nothing of it is stored in the plant; picks survive undo while the thing still exists.
"""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal

from gui.document import Document
from model.entities import FibreEnd
from model.errors import PlantError
from model.graph import end_node, node_end, port_node
from model.nodes import node_of
from model.trace import trace
from render.refs import split_ref

VIEWS = ("Route", "Enclosure", "Trays", "Splices", "Trace")
ROUTE, ENCLOSURE, TRAYS, SPLICES, TRACE = range(5)


class Session(QObject):
    """One window's way of looking at one document."""

    place_changed = Signal()
    view_changed = Signal(int)
    pick_changed = Signal()
    lit_changed = Signal()
    tray_changed = Signal()
    ticket_changed = Signal()

    def __init__(self, document: Document) -> None:
        super().__init__(document)
        self.document = document
        self.place: str | None = None
        self.view = 1
        self.pick: tuple[str, ...] = ()
        self.lit = ""
        self.tray: str | None = None
        self.ticket: str | None = None
        """The fault ticket in hand; None to look at paths without one."""

    def reset(self) -> None:
        """Another plant: look at its first enclosure."""
        plant = self.document.plant
        sites = sorted({e.site for e in plant.enclosures.values()}, key=lambda s: plant.sites[s].name)
        self.place = sites[0] if sites else None
        self.pick, self.lit, self.tray = (), "", None
        self.place_changed.emit()
        self.pick_changed.emit()
        self.lit_changed.emit()

    def go(self, site: str | None) -> None:
        """Look at another place; the pick stays."""
        if site != self.place and (site is None or site in self.document.plant.sites):
            self.place = site
            self.place_changed.emit()

    def show_view(self, index: int) -> None:
        """Look at another view of the same place."""
        if index != self.view and 0 <= index < len(VIEWS):
            self.view = index
            self.view_changed.emit(index)

    def set_pick(self, refs: list[str] | tuple[str, ...], add: bool = False) -> None:
        """Pick things, or add to the pick; a fibre, splice, port or service that is picked lights its path."""
        if add:
            kept = [ref for ref in self.pick if ref not in refs]
            refs = [*kept, *(ref for ref in refs if ref not in self.pick)]
        picked = tuple(dict.fromkeys(refs))
        if picked == self.pick:
            return
        self.pick = picked
        for ref in picked:
            kind, key, _ = split_ref(ref)
            if kind == "tray":
                self.tray = key
            elif kind == "splice" and key in self.document.plant.splices:
                self.tray = self.document.plant.splices[key].tray or self.tray
        node = self.node_of_pick()
        self.pick_changed.emit()
        if node is not None:
            self.light(node)

    def show_tray(self, tray: str) -> None:
        """Look at another tray; the pick stays."""
        if tray != self.tray:
            self.tray = tray
            self.tray_changed.emit()

    def show_ticket(self, ticket: str | None) -> None:
        """Take another ticket in hand, or none."""
        if ticket != self.ticket:
            self.ticket = ticket
            self.ticket_changed.emit()

    def light(self, node: str) -> None:
        """Light the path through a node, or none."""
        if node != self.lit:
            self.lit = node
            self.lit_changed.emit()

    def node_of_pick(self) -> str | None:
        """The node of the last picked thing that lies on a light path; None when none does."""
        plant, continuity = self.document.plant, self.document.continuity
        for ref in reversed(self.pick):
            kind, key, number = split_ref(ref)
            if kind == "splice" and key in plant.splices:
                return end_node(plant.splices[key].a)
            if kind == "port" and key in plant.ports:
                return port_node(key, "front")
            if kind == "leg" and f"{key}/{number}" in continuity.graph:
                return f"{key}/{number}"
            if kind == "service" and key in plant.services:
                return port_node(plant.services[key].at, "front")
            if kind == "fibre" and key in plant.cables:
                cable = plant.cables[key]
                starts = continuity.ends_of_fibre(cable, int(number))
                here = [n for n in starts if self._ends_here(n)]
                found = here or starts
                return found[0] if found else None
        return None

    def _ends_here(self, node: str) -> bool:
        """True when the piece that starts at a node has an end at the place in sight."""
        end = node_end(node)
        if not isinstance(end, FibreEnd) or self.place is None:
            return False
        path = trace(self.document.continuity, node)
        cable = self.document.plant.cables[end.cable]
        sites = {stop.id: stop.site for stop in cable.stops}
        for step in path.steps:
            for other in (node_end(step.start), node_end(step.end)):
                if isinstance(other, FibreEnd) and sites.get(other.stop) == self.place:
                    return True
        return False

    def find(self, text: str) -> str | None:
        """The node a typed reference names; None when it names none."""
        try:
            return node_of(self.document.continuity, text)
        except PlantError:
            return None

    def drop_missing(self) -> None:
        """Forget picks whose thing is gone."""
        plant = self.document.plant
        tables = {
            "cable": "cables",
            "tube": "cables",
            "fibre": "cables",
            "tray": "trays",
            "splice": "splices",
            "route": "routes",
            "site": "sites",
            "service": "services",
            "port": "ports",
            "splitter": "splitters",
            "leg": "splitters",
        }
        kept = []
        for ref in self.pick:
            kind, key, _ = split_ref(ref)
            table = tables.get(kind)
            if table is None or key in plant.table(table):
                kept.append(ref)
        if len(kept) != len(self.pick):
            self.pick = tuple(kept)
            self.pick_changed.emit()
        if self.lit and self.lit not in self.document.continuity.graph:
            self.light("")
        if self.place is not None and self.place not in plant.sites:
            self.reset()
