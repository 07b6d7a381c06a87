"""The five canvases of a window and when each is drawn: the one in sight at once, the others when they come into sight.

After an edit the pictures are made again and compared group by group, so only what differs is repainted.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from PySide6.QtCore import QObject, QPointF, Signal
from PySide6.QtWidgets import QStackedWidget, QWidget

from gui.canvas.board import Board
from gui.document import Document, Notice
from gui.panels.joint_rows import fibres_of_bundles, joint_rows, preview_rows
from gui.panels.tray_rail import TrayRail, tray_rows
from gui.session import ENCLOSURE, ROUTE, SPLICES, TRACE, TRAYS, VIEWS, Session
from gui.suspect_refs import here, refs_of, route_shapes
from gui.theme import Tokens
from gui.views import pictures
from gui.views.enclosure import unit_of
from gui.views.route_tools import RouteTools
from gui.views.splice_page import SplicePage
from gui.views.splice_ranges import OpenRanges, Range, holding, ranges_at
from gui.views.splice_tools import JoinTools
from gui.views.trace_page import TracePage
from gui.views.tray_page import TrayPage
from gui.views.tray_tools import TrayTools
from model.changes import ChangeSet
from model.entities import FibreEnd
from model.line.heard import read_list
from model.line.pasted import BadRow
from model.line.readback import Reading
from render.drawing import Group
from render.refs import fibre_ref, splice_ref, split_ref, tray_ref

LOOSE = ("site:", "path:")
"""Refs of loose shapes of a picture: a click on them picks nothing. On the Route view a site is a thing."""
NAMES = ("routeCanvas", "canvas", "trayCanvas", "splicePicture", "pathCanvas")


class Zoomed(Protocol):
    """Something that can be looked at from nearer or farther."""

    def fit(self) -> object:
        """The whole of it."""

    def zoom_by(self, factor: float) -> object:
        """Nearer by a factor above 1."""


class Boards(QObject):
    """All canvases; ``pointed`` carries the pointer's place in millimetres on the one in sight."""

    pointed = Signal(QPointF)
    form_changed = Signal(str)

    def __init__(self, document: Document, session: Session) -> None:
        super().__init__(session)
        self.document = document
        self.session = session
        self.preview: Reading | None = None
        self.left_out: tuple[BadRow, ...] = ()
        self.ranges = OpenRanges()
        self._drawn_tray: str | None = None
        self.suspects: tuple[str, ...] = ()
        self.stack = QStackedWidget()
        self.stack.setObjectName("views")
        self.boards = [Board(name, to_scale=index in (ENCLOSURE, TRAYS)) for index, name in enumerate(NAMES)]
        self.rail = TrayRail()
        self.splices = SplicePage(self.boards[SPLICES].view)
        self.tray_page = TrayPage(self.rail, self.boards[TRAYS].view)
        self.trace = TracePage(
            self.boards[TRACE].view, lambda text, heard: read_list(document.plant, text, heard), self._show_path_sheet
        )
        pages: dict[int, QWidget] = {
            TRAYS: self.tray_page,
            SPLICES: self.splices,
            TRACE: self.trace,
        }
        for index, board in enumerate(self.boards):
            self.stack.addWidget(pages.get(index, board.view))
            board.view.loose = LOOSE if board in self.boards[ENCLOSURE:] else ()
            board.view.picked.connect(self._picked)
            board.view.pointed.connect(self.pointed)
        enclosure = self.boards[ENCLOSURE]
        self.tools = RouteTools(document, enclosure.view, enclosure.overlay)
        enclosure.view.source = self.tools
        trays = self.boards[TRAYS]
        self.tray_tools = TrayTools(document, session, trays, self.tray_in_sight)
        self.tray_tools.tray_under = self.rail.tray_at
        trays.view.source = self.tray_tools
        self.rail.picked.connect(lambda tray: session.set_pick([tray_ref(tray)]))
        self.tray_page.side_asked.connect(self.set_side)
        self.rail.swapped.connect(self.tray_tools.swap_trays)
        self.join_tools = JoinTools(document, session, self.boards[SPLICES])
        self.boards[SPLICES].view.source = self.join_tools
        self.splices.form_asked.connect(self.set_form)
        self.splices.table.picked.connect(session.set_pick)
        session.tray_changed.connect(self._tray)
        session.pick_changed.connect(self._tray)
        session.view_changed.connect(self._view)
        session.place_changed.connect(self.refresh)
        session.lit_changed.connect(self.refresh)
        session.pick_changed.connect(self._outline)
        document.changed.connect(self._changed)
        document.opened.connect(self.ranges.keys.clear)
        document.opened.connect(self.refresh)
        self.stack.setCurrentIndex(session.view)

    @property
    def current(self) -> Board:
        """The canvas in sight."""
        return self.boards[self.session.view]

    def _view(self, index: int) -> None:
        self.stack.setCurrentIndex(index)
        self._draw(index)
        self._outline()

    def _changed(self, changes: ChangeSet) -> None:
        if changes.only("tickets"):
            return  # the pictures show the plant; the Trace view follows by itself
        self.session.drop_missing()
        self.refresh()

    def refresh(self) -> None:
        """Every picture is out of date; draw the one in sight."""
        for board in self.boards:
            board.stale = True
        self._draw(self.session.view)
        self._outline()

    def _groups(self, index: int) -> tuple[list[Group], float, object]:
        """(picture, its unit, what the zoom belongs to) of one view."""
        plant, continuity = self.document.plant, self.document.continuity
        site, lit = self.session.place, self.session.lit
        if index == ROUTE:
            return pictures.route_view(continuity, lit), 1.0, id(self.document.history)
        if index == ENCLOSURE:
            unit = unit_of(plant, site) if site is not None else 1.0
            return pictures.enclosure_view(plant, site, lit, continuity), unit, ("box", site)
        if index == TRAYS:
            tray = pictures.shown_tray(plant, site, self.session.tray)
            return pictures.tray_view(continuity, site, tray, lit, self.tray_page.side), 1.0, ("tray", tray)
        if index == SPLICES:
            unfold = self.splices.form != "bundled"
            groups = pictures.splice_view(continuity, site, lit, unfold, self.ranges.keys)
            return pictures.with_preview(plant, groups, self.preview), 1.0, ("site", site, unfold)
        return pictures.trace_view(continuity, lit), 1.0, lit

    def tray_in_sight(self) -> str | None:
        """The tray the Trays view shows."""
        return pictures.shown_tray(self.document.plant, self.session.place, self.session.tray)

    def _tray(self) -> None:
        """Another tray may have come into sight."""
        if self.tray_in_sight() != self._drawn_tray:
            self.boards[TRAYS].stale = True
            if self.session.view == TRAYS:
                self._draw(TRAYS)
                self._outline()

    def _draw(self, index: int) -> None:
        """Draw one view; if that breaks down, its last picture stays, it is said, and everything else goes on."""
        try:
            self._draw_now(index)
        except Exception as fault:
            self.boards[index].stale = False
            code = f"{type(fault).__name__} {fault}"[:80]
            self.document.noticed.emit(Notice("note", f"The {VIEWS[index]} view keeps its last picture: code {code}"))

    def _draw_now(self, index: int) -> None:
        board = self.boards[index]
        if index == TRAYS and board.stale:
            self._drawn_tray = self.tray_in_sight()
            self.rail.show_trays(tray_rows(self.document.plant, self.session.place), self._drawn_tray)
        if index == SPLICES and board.stale:
            rows = joint_rows(self.document.continuity, self.session.place)
            self.splices.show_rows([*preview_rows(self.preview, self.left_out), *rows], self.session.pick)
            if self.splices.form == "rows":
                return  # the picture is out of sight: it is drawn when it is asked for
        if index == TRACE and not self.trace.sheet_shown:
            return  # the strip and the plot are in sight instead
        if board.stale:
            board.show_groups(*self._groups(index))

    def _picked(self, refs: list[str], add: bool) -> None:
        if refs and refs[0].startswith("range:"):
            self.turn_ranges(refs)
        else:
            self.session.set_pick(self.whole(refs), add)

    def ranges_of(self, refs: Sequence[str]) -> list[Range]:
        """The equal ranges of the Splices view that hold these things; none in another view or form."""
        if self.session.view != SPLICES or self.splices.form != "bundled":
            return []
        return holding(ranges_at(self.document.continuity, self.session.place), self.whole(refs))

    def turn_ranges(self, refs: Sequence[str]) -> None:
        """Open the equal ranges that hold these things, or fold them again; the picture stays where it is."""
        if self.ranges.turn([held.key for held in self.ranges_of(refs)]):
            self.boards[SPLICES].stale = True
            self.current.view.fitted = False
            self._draw(SPLICES)
            self._outline()

    def whole(self, refs: Sequence[str]) -> list[str]:
        """What is picked when these are clicked: fibres that run as one are picked fibre by fibre."""
        return fibres_of_bundles(refs)

    def _outline(self) -> None:
        """Outline what is picked in the view in sight, and give a picked route its handles."""
        refs: list[str] = list(self.session.pick)
        if self.session.view != ROUTE:
            refs = [ref for ref in refs if not ref.startswith("site:")]
        route = self.route_of_pick()
        if self.session.view == ENCLOSURE:
            if route != self.tools.route_id:
                self.tools.pick(route)
            else:
                self.tools.refresh()
            if route is not None:
                refs = [ref for ref in refs if split_ref(ref)[0] not in ("route", "tube", "fibre")]
        if self.session.view == SPLICES:
            self.splices.table.show_pick(self.session.pick)
            shown = {ref for ref, _, _ in self.current.scene.shown if ref.startswith("fibres:")}
            refs += [ref for ref in shown if set(fibres_of_bundles([ref])) & set(refs)]
        if self.session.view == TRAYS:
            refs = self._in_slots(refs)
        self.current.outline(refs, self.session.view in (TRAYS, SPLICES))
        self._hatch()

    def show_suspects(self, keys: Sequence[str]) -> None:
        """Hatch these elements in the views where they are seen."""
        if tuple(keys) != self.suspects:
            self.suspects = tuple(keys)
            self._hatch()

    def _hatch(self) -> None:
        """Hatch what is suspected in the view in sight."""
        plant, view, board = self.document.plant, self.session.view, self.current
        if view == ROUTE:
            board.overlay.show_suspects(route_shapes(plant, board, self.suspects))
        elif view != TRACE:
            refs = refs_of(plant, here(plant, self.suspects, self.session.place))
            board.overlay.show_suspects(board.shapes_of(refs))

    def _in_slots(self, refs: Sequence[str]) -> list[str]:
        """Refs with fibres that are joined on the tray in sight replaced by their joints, which carry their labels."""
        slots = {
            fibre_ref(end.cable, end.fibre): splice_ref(splice.id)
            for splice in self.document.plant.splices.values()
            if splice.tray == self._drawn_tray
            for end in (splice.a, splice.b)
            if isinstance(end, FibreEnd)
        }
        return list(dict.fromkeys(slots.get(ref, ref) for ref in refs))

    def route_of_pick(self) -> str | None:
        """The route of the picked thing at this place: a route itself, or that of a tube."""
        plant = self.document.plant
        for ref in reversed(self.session.pick):
            kind, key, number = split_ref(ref)
            if kind == "route" and key in plant.routes:
                return key
            if kind == "tube":
                stops = {
                    s.id for c in plant.cables.values() if c.id == key for s in c.stops if s.site == self.session.place
                }
                for route in sorted(plant.routes.values(), key=lambda r: (r.side, r.id)):
                    if route.kind == "tube" and int(number) in route.tubes and stops & set(route.stops):
                        return route.id
        return None

    def centre_on(self, refs: Sequence[str]) -> bool:
        """Bring the first of these things that is in sight into the middle."""
        # The whole place is in sight anyway: its ref is on every loose shape of the picture.
        places = self.session.view != ROUTE
        return any(self.current.centre_on(ref) for ref in refs if not (places and ref.startswith("site:")))

    def show_preview(self, reading: Reading | None, left_out: Sequence[BadRow] = ()) -> None:
        """Show what a typed line would make: the joints dashed in the Splices view, nothing when it is dropped."""
        self.left_out = tuple(left_out)
        self.preview = reading if reading is not None and reading.changes else None
        board = self.boards[SPLICES]
        board.stale = True
        if self.session.view == SPLICES:
            self._draw(SPLICES)
            self._outline()
            if board.view.fitted and board.view.gesture is None:
                board.view.home()

    def set_form(self, form: str) -> None:
        """Show the Splices view ``bundled``, ``opened`` or as ``rows``."""
        self.splices.set_form(form)
        self.boards[SPLICES].stale = True
        if self.session.view == SPLICES:
            self._draw(SPLICES)
            self._outline()
        self.form_changed.emit(self.splices.form)

    def set_side(self, side: str = "") -> None:
        """Show the fibres of one side of a tray, ``tube`` or ``drop``, or of ``both``; the next if none is said."""
        self.tray_page.set_side(side or self.tray_page.next_side)
        self.boards[TRAYS].stale = True
        if self.session.view == TRAYS:
            self._draw(TRAYS)
            self._outline()

    def set_unfold(self, unfold: bool) -> None:
        """Show every fibre of the Splices view in its own row, or folded ranges."""
        if unfold != (self.splices.form == "opened"):
            self.set_form("opened" if unfold else "bundled")

    def set_rows(self, rows: bool) -> None:
        """Show the Splices view as a table, or as a picture again."""
        if rows != (self.splices.form == "rows"):
            self.set_form("rows" if rows else "bundled")

    def _show_path_sheet(self) -> None:
        """The path sheet has come into sight in the Trace view."""
        self._draw(TRACE)
        self._outline()

    @property
    def front(self) -> QWidget:
        """What takes the focus in the view in sight."""
        if self.session.view == TRACE:
            return self.trace.front
        return self.splices.front if self.session.view == SPLICES else self.current.view

    @property
    def regions(self) -> list[QWidget]:
        """What F6 walks in the view in sight, in reading order."""
        return self.trace.regions if self.session.view == TRACE else [self.front]

    @property
    def zoomed(self) -> Zoomed:
        """What the zoom commands act on: the canvas in sight, or the scale of the Trace view."""
        return self.trace.scale if self.strip_shown else self.current.view

    @property
    def strip_shown(self) -> bool:
        """True while strip and plot of the Trace view are in sight, and no canvas."""
        return self.session.view == TRACE and not self.trace.sheet_shown

    def set_tokens(self, tokens: Tokens, night: bool, large: bool = False) -> None:
        """Take day or night colours on every canvas."""
        self.tray_page.set_tokens(tokens, large)
        self.trace.set_tokens(tokens, large)
        self.splices.set_tokens(tokens, large)
        for board in self.boards:
            board.set_tokens(tokens, night)
