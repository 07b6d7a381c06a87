"""The Trace view at work: ticket, lit path and reading in, pictures and answer out.

What hands do to tickets and readings becomes edits elsewhere (``tickets``, ``readings``); a trace file comes in here.
The suspects of a large plant are worked out beside the window, on a copy of the plant; an answer that comes after the
ticket has moved on is dropped. Everything else is quick and is worked out at once.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import QObject, Signal

from gui.document import Document, Notice
from gui.panels.gauge_data import GaugeData
from gui.panels.gauge_trace import ticket_gauges
from gui.panels.hop_list import hop_rows
from gui.panels.strip_layout import StripData
from gui.panels.trace_rulers import RulerData
from gui.reading_work import ReadingWork
from gui.session import TRACE, Session
from gui.suspect_work import SuspectWork
from gui.ticket_work import TicketWork
from gui.trace_files import Opened, TraceFiles
from gui.views.trace_answer import AnswerData, SuspectRow, answer_of
from gui.views.trace_curves import plot_data
from gui.views.trace_measured import Loaded
from gui.views.trace_page import TracePage
from gui.views.trace_plan import Plan
from gui.views.trace_reading import form_data, glass_on
from gui.views.trace_state import Instrument, TraceState, spots_of, suspects_in, trace_state
from model.correlate.suspects import Answer
from model.edits.ticketing import TakeShot
from model.entities import GlassEnd, Shot, Ticket
from model.errors import PlantError
from model.graph import end_node, node_end
from model.line.names import quoted
from model.nodes import node_of
from model.tickets import in_order
from model.trace import trace
from render.hops import describe
from render.refs import service_ref


class TraceControl(QObject):
    """Ties the page to a document and a session."""

    inside_asked = Signal(object)
    suspects_changed = Signal()

    def __init__(self, document: Document, session: Session, page: TracePage, tell: Callable[[Notice], None]) -> None:
        super().__init__(session)
        self.document, self.session, self.page = document, session, page
        self._tell = tell
        self.answer: Answer | None = None
        self.data = AnswerData()
        self.loaded: Loaded | None = None
        self.files = TraceFiles(page, tell, self.take_file)
        self.state: TraceState | None = None
        self.tickets = TicketWork(document, session, page, tell)
        self.readings = ReadingWork(self.tickets, tell, lambda: self.state, self._show)
        self.work = SuspectWork(self)
        self.work.done.connect(self._answered)
        document.changed.connect(self._plant_changed)
        document.opened.connect(self._opened)
        for signal in (session.lit_changed, session.view_changed, session.place_changed, session.ticket_changed):
            signal.connect(self._moved)
        session.pick_changed.connect(self._picked)
        page.ticket.table.chosen.connect(self._chosen)
        page.ticket.file_asked.connect(self.files.choose)
        page.ticket.hops.picked.connect(lambda ref: session.set_pick([ref]))
        page.strip.went.connect(session.go)
        page.strip.picked.connect(session.set_pick)
        page.strip.called.connect(self._called)
        page.answer.inside_asked.connect(lambda: self.inside_asked.emit(page.answer.suspects.in_hand))
        page.answer.suspects.chosen.connect(self._suspect_chosen)

    # -- what is shown -------------------------------------------------------------------------------------------

    def _opened(self) -> None:
        self.loaded = None
        tickets = in_order(self.document.plant)
        self.session.show_ticket(tickets[-1].id if tickets else None)
        self._moved()

    def _plant_changed(self, changes: object = None) -> None:
        if self.session.ticket is not None and self.session.ticket not in self.document.plant.tickets:
            self.session.show_ticket(None)
        self._moved()

    def _moved(self, *_: object) -> None:
        self.refresh()

    def refresh(self) -> None:
        """Work everything out again and show it; if that breaks down, what is in sight stays and it is said.

        Out of sight only the suspects are asked for, which the other views hatch.
        """
        try:
            self._ask()
            if self.session.view == TRACE:
                self._refresh()
            self.suspects_changed.emit()
        except Exception as fault:
            code = f"{type(fault).__name__} {fault}"[:80]
            self._tell(Notice("note", f"The Trace view keeps its last picture: code {code}"))

    @property
    def ticket(self) -> Ticket | None:
        """The ticket in hand."""
        return self.document.plant.tickets.get(self.session.ticket or "")

    def _ask(self) -> None:
        ticket = self.ticket
        self.answer = self.work.ask(self.document, (ticket.down, ticket.up) if ticket and ticket.down else None)

    def _refresh(self) -> None:
        scale = None
        if self.loaded is not None:
            held = self.loaded.trace
            scale = Instrument(held.index, held.index, held.launch_m, 0.0, self.loaded.from_side == ">")
        self.state = trace_state(self.document.continuity, self.ticket, self.session.lit, self._lamp(), scale)
        self._show()

    @property
    def suspect_keys(self) -> list[str]:
        """Keys of everything that is suspected."""
        return [part.key for s in suspects_in(self.answer) for part in (s.element, *s.also)]

    def _lamp(self) -> int:
        return round(self.loaded.trace.wavelength_nm) if self.loaded is not None else 1310

    def _in_sight(self, state: TraceState) -> Loaded | None:
        """The trace file, if it was taken on the path in sight."""
        loaded, plan = self.loaded, state.plan
        if loaded is None or plan is None:
            return None
        node = end_node(loaded.glass)
        continuity = self.document.continuity
        if node not in continuity.graph or node not in trace(continuity, plan.node).nodes:
            return None
        return loaded

    def gauges(self, rest: Sequence[GaugeData]) -> list[GaugeData]:
        """What the limits strip shows: the fit of the suspects while the ticket is in sight, else what it is given."""
        if self.session.view != TRACE or self.state is None or self.state.ticket is None:
            return list(rest)
        return ticket_gauges(self.document.continuity, self.state, self.answer, self.data, rest)

    def take_file(self, file: Opened) -> None:
        """A trace file: plot it on the path it is of, and take its end as the reading of the ticket in hand."""
        if not self.document.is_open:
            self._tell(Notice("warning", f"{file.name}: open the plant first that it was taken in"))
            return
        self.session.show_view(TRACE)
        if self.state is None:
            self.refresh()
        state, held = self.state, file.trace
        glass = self._glass_of(file) or (state.shot.glass if state and state.shot else None)
        glass = glass or (glass_on(self.document.continuity, state.plan) if state is not None else None)
        if glass is None:
            self._tell(Notice("warning", f"{file.name}: pick the fibre first that it was taken on"))
            return
        self.loaded = Loaded(file.name, held, glass, "<")
        ticket = self.ticket
        if ticket is not None and held.end_m is not None:
            before = state.shot if state is not None else None
            lead = held.launch_m if held.launch_m or before is None else before.lead_m
            shown = round(held.end_m + held.launch_m, 2)
            nm = round(held.wavelength_nm)
            shot = Shot(
                glass, shown, "m", held.index, lead, "<", nm if 200 <= nm <= 3000 else 1310, file.name, file.taken
            )
            self.tickets.do([TakeShot(ticket.id, shot)], ticket.id, f"read {file.name}")
        else:
            self.session.light(end_node(glass))
        self.refresh()

    def _glass_of(self, file: Opened) -> GlassEnd | None:
        """The glass that the file itself names, if the plant has it."""
        try:
            return node_end(node_of(self.document.continuity, f"{quoted(file.trace.cable)}:{file.trace.fibre}"))
        except PlantError:
            return None

    def _answered(self, answer: Answer) -> None:
        self.answer = answer
        if self.session.view == TRACE and self.state is not None:
            self._show()
        self.suspects_changed.emit()

    def _show(self) -> None:
        state, page = self.state, self.page
        if state is None:
            return
        continuity = self.document.continuity
        if state.ticket is not None:
            page.ticket.show_ticket(state.ticket, list(state.rows))
        else:
            self._show_hops(state.plan)
        data = answer_of(continuity, state, self.answer)
        spots = spots_of(continuity, state.plan, suspects_in(self.answer))
        low = min(state.instrument.at_shown(0.0), 0.0) if not state.instrument.from_field else 0.0
        high = state.plan.length_m if state.plan else 1000.0
        page.scale.set_whole(low, high + 0.035 * (high - low))
        advice = "Mark who is down, or pick a fibre" if state.ticket else "Pick a fibre, or say trace D-1:3"
        page.strip.show_data(StripData(state.plan, state.hung, spots, self.session.place or "", advice))
        loaded = self._in_sight(state)
        page.plot.show_data(plot_data(continuity, state, loaded))
        instrument = state.instrument
        page.rulers.show_data(
            RulerData(
                state.plan,
                instrument.shown_of,
                instrument.at_shown,
                state.found_m,
                state.located.chainage_m if state.located is not None else None,
                "ft" if state.shot is not None and state.shot.unit == "ft" else "m",
            )
        )
        form = form_data(continuity, state, self.readings.pending)
        if state.ticket is not None:
            shot = state.shot
            right = ", ".join(filter(None, (shot.file, shot.taken))) if shot is not None else "no reading yet"
            page.say(f"Reading from {form.fibre}" if form.fibre else "Reading", right)
        else:
            page.say("Path that is lit" if state.plan else "No path is lit", loaded.name if loaded else "")
        page.form.setVisible(state.ticket is not None)
        page.form.show_data(form)
        page.steps.setText("\n".join(data.working))
        page.steps.setVisible(bool(data.working) and page.form.steps.isChecked() and state.ticket is not None)
        page.answer.show_data(data)
        self.data = data

    def _show_hops(self, plan: Plan | None) -> None:
        continuity = self.document.continuity
        if plan is None:
            self.page.ticket.show_hops((), "Pick a fibre, or say trace D-1:3")
            return
        path = describe(continuity, trace(continuity, plan.node))
        total = path.loss_db.get(1310)
        loss = f", {total:.2f} dB at 1310 nm" if total is not None else ""
        self.page.ticket.show_hops(hop_rows(path), f"{path.ends[-1]} to {path.ends[0]}{loss}")

    # -- picks ---------------------------------------------------------------------------------------------------

    def _chosen(self, services: list[str]) -> None:
        if services:
            self.session.set_pick([service_ref(key) for key in services])

    def _called(self, names: list[str]) -> None:
        keys = [s.id for s in self.document.plant.services.values() if s.name in names]
        self.session.set_pick([service_ref(key) for key in keys])

    def _picked(self) -> None:
        keys = [ref.partition(":")[2] for ref in self.session.pick if ref.startswith("service:")]
        self.page.ticket.table.show_pick(keys)

    def _suspect_chosen(self, row: SuspectRow) -> None:
        """A suspect chosen by hand: its place comes into the middle of the strip when the view is zoomed in."""
        state = self.state
        spot = next((s for s in self.page.strip.data.spots if s.rank == row.rank), None)
        if state is not None and spot is not None and self.page.scale.zoomed:
            middle = (spot.from_m + spot.to_m) / 2
            self.page.scale.pan(middle - sum(self.page.scale.shown) / 2)
