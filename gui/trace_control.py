"""The Trace view at work: ticket, lit path and reading in, pictures and answer out; what is asked for becomes edits.

The suspects of a large plant are worked out beside the window, on a copy of the plant; an answer that comes after the
ticket has moved on is dropped. Everything else is quick and is worked out at once.
"""

from __future__ import annotations

import datetime
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

from PySide6.QtCore import QObject, Qt, Signal

from gui.document import Document, Notice
from gui.panels.gauge_data import GaugeData
from gui.panels.gauge_trace import ticket_gauges
from gui.panels.hop_list import hop_rows
from gui.panels.reading_form import FormData
from gui.panels.strip_layout import StripData
from gui.panels.trace_rulers import RulerData
from gui.session import TRACE, Session
from gui.suspect_work import SuspectWork
from gui.trace_files import Opened, TraceFiles
from gui.views.trace_answer import AnswerData, SuspectRow, answer_of
from gui.views.trace_curves import plot_data
from gui.views.trace_measured import Loaded
from gui.views.trace_page import TracePage
from gui.views.trace_plan import Plan
from gui.views.trace_state import Instrument, TraceState, spots_of, suspects_in, trace_state
from model.correlate.suspects import Answer
from model.edits.ticketing import DropShot, Hear, OpenTicket, TakeShot, hear_name
from model.entities import FibreEnd, GlassEnd, Shot, Ticket
from model.errors import PlantError
from model.graph import end_node, node_end
from model.history import Edit
from model.ids import ServiceId
from model.line.heard import read_list
from model.line.names import quoted
from model.nodes import node_of
from model.otdr.reading import parse_index
from model.tickets import Heard, fresh_ticket, in_order, ticket_in_hand
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
        self.pending: Shot | None = None
        """A second reading whose number is not typed yet."""
        self.files = TraceFiles(page, tell, self.take_file)
        self.state: TraceState | None = None
        self.work = SuspectWork(self)
        self.work.done.connect(self._answered)
        document.changed.connect(self._plant_changed)
        document.opened.connect(self._opened)
        for signal in (session.lit_changed, session.view_changed, session.place_changed, session.ticket_changed):
            signal.connect(self._moved)
        session.pick_changed.connect(self._picked)
        ticket = page.ticket
        ticket.table.asked.connect(self.hear)
        ticket.table.chosen.connect(self._chosen)
        ticket.paste.given.connect(self.paste)
        ticket.set_asked.connect(document.do)
        ticket.new_asked.connect(self.new_ticket)
        ticket.file_asked.connect(self.files.choose)
        ticket.hops.picked.connect(lambda ref: session.set_pick([ref]))
        page.form.given.connect(self.set_field)
        page.form.drop_asked.connect(self.drop_reading)
        page.form.other_asked.connect(self.other_end)
        session.ticket_changed.connect(self._forget_pending)
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
        glass = glass or (self._glass(state) if state is not None else None)
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
            self._do([TakeShot(ticket.id, shot)], ticket.id, f"read {file.name}")
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
        form = self._form(state)
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

    def _form(self, state: TraceState) -> FormData:
        shot, plant = self.pending or state.shot, self.document.plant
        glass = shot.glass if shot is not None else self._glass(state)
        known: list[tuple[str, str]] = [("Index of cable", f"{state.instrument.real:.4f}")]
        if isinstance(glass, FibreEnd) and glass.cable in plant.cables:
            cable = plant.cables[glass.cable]
            kind = plant.cable_types[cable.type]
            side = shot.from_side if shot is not None else "<"
            tail = cable.stops[0 if side == "<" else -1].tail_m
            known.append(("Tail there", f"{tail:g} m"))
            known.append(("Fibre over sheath", f"{kind.excess * 100:g} \u00b1 {kind.excess_tol * 100:g} %"))
        words = self._glass_words(glass)
        if shot is None:
            return FormData(words, known=tuple(known))
        return FormData(
            words,
            shot.shown if self.pending is None else None,
            shot.unit,
            shot.index,
            shot.lead_m,
            shot.from_side,
            shot.wavelength_nm,
            tuple(known),
            state.fault,
        )

    def _glass(self, state: TraceState) -> GlassEnd | None:
        """The glass a reading would be from: the longest piece of the path in sight."""
        if state.plan is None or not state.plan.spans:
            return None
        longest = max(state.plan.spans, key=lambda s: s.to_m - s.from_m)
        starts = self.document.continuity.ends_of_fibre(self.document.plant.cables[longest.cable], longest.fibre)
        on_path = set(trace(self.document.continuity, state.plan.node).nodes)
        found = next((node for node in starts if node in on_path), None)
        return node_end(found) if found is not None else None

    def _glass_words(self, glass: GlassEnd | None) -> str:
        """Glass as it can be typed: ``MF-48:17``, with the place where the fibre is cut elsewhere."""
        plant = self.document.plant
        if not isinstance(glass, FibreEnd) or glass.cable not in plant.cables:
            return ""
        cable = plant.cables[glass.cable]
        text = f"{quoted(cable.name)}:{glass.fibre}"
        if len(self.document.continuity.ends_of_fibre(cable, glass.fibre)) > 1:
            site = next((s.site for s in cable.stops if s.id == glass.stop), None)
            if site is not None:
                text += f"@{quoted(plant.sites[site].name)}{glass.side}"
        return text

    # -- by hand -------------------------------------------------------------------------------------------------

    def now(self) -> str:
        """What a new ticket or reading says of its time."""
        return datetime.datetime.now().strftime("%H:%M")  # the clock on the wall

    def _with_ticket(self) -> tuple[list[Edit], Any]:
        """(edits that open a ticket where there is none, the ticket)."""
        held = ticket_in_hand(self.document.plant, self.session.ticket)
        if held is not None:
            return [], held
        fresh = fresh_ticket(self.document.plant, self.now())
        return [OpenTicket(fresh)], fresh

    def _do(self, edits: Sequence[Edit], ticket: str, name: str | None = None) -> bool:
        done = self.document.do(*edits, name=name)
        if done:
            self.session.show_ticket(ticket)
        return done

    def hear(self, services: list[str], heard: Heard) -> None:
        """Note services of the ticket in hand."""
        first, ticket = self._with_ticket()
        keys = tuple(ServiceId(key) for key in services)
        name = hear_name(self.document.plant, keys, heard)
        self._do([*first, Hear(ticket.id, keys, heard, name)], ticket.id, name)

    def paste(self, text: str, heard: Heard) -> None:
        """Take a pasted list into the ticket as one step; names that nobody has are told and stay in the box."""
        found = read_list(self.document.plant, text, heard)
        first, ticket = self._with_ticket()
        edits = found.edits(self.document.plant, ticket.id)
        if found.refused or (not edits and not found.bad):
            self._tell(Notice("warning", found.refused or "The list names nobody"))
            return
        named = [edit.name for edit in edits]
        if edits and not self._do([*first, *edits], ticket.id, ", ".join(named)):
            return
        box = self.page.ticket.paste
        if found.bad:
            more = f" and {len(found.bad) - 3} more" if len(found.bad) > 3 else ""
            self._tell(Notice("warning", "; ".join(str(bad) for bad in found.bad[:3]) + more))
            box.field.setPlainText("\n".join(bad.text for bad in found.bad))
        else:
            box.leave()

    def new_ticket(self) -> None:
        """Open the next ticket."""
        ticket = fresh_ticket(self.document.plant, self.now())
        if self._do([OpenTicket(ticket, f"open ticket {ticket.number}")], ticket.id):
            self.go_ticket()

    def go_ticket(self) -> None:
        """Go to the ticket; there already, to the next one; where there is none, open one."""
        tickets = in_order(self.document.plant)
        if not self.document.is_open:
            return
        if not tickets:
            self.new_ticket()
            return
        table = self.page.ticket.table
        if self.session.ticket is None:
            self.session.show_ticket(tickets[-1].id)
        elif self.session.view == TRACE and table.hasFocus() and len(tickets) > 1:
            here = [t.id for t in tickets].index(self.document.plant.tickets[self.session.ticket].id)
            self.session.show_ticket(tickets[(here + 1) % len(tickets)].id)
        self.session.show_view(TRACE)
        self.page.show_side("ticket")
        table.setFocus()

    def down_list(self) -> None:
        """The box to paste a list into."""
        self.go_ticket()
        if self.session.ticket is not None:
            self.page.ticket.paste.bring()

    def put_away(self) -> None:
        """Look at paths without a ticket."""
        self.session.show_ticket(None)

    def set_field(self, key: str, value: Any) -> None:
        """A field of the reading was given; the first one makes the reading."""
        state = self.state
        if state is None:
            return
        shot = self.pending or state.shot
        try:
            glass = node_end(node_of(self.document.continuity, value)) if key == "fibre" else None
            if key == "index":
                value = parse_index(value) if value else None
            if key == "fibre" and glass is None:
                raise PlantError(f"{value!r} is no glass", hint="Name one fibre, like CABLE:17")
        except PlantError as fault:
            self.page.form.refuse(key, str(fault))
            return
        if shot is None:
            start = glass or self._glass(state)
            if start is None:
                self.page.form.refuse("fibre", "Name the fibre first, like CABLE:17")
                return
            shot = replace(self._last_shot() or Shot(start, 0.0), glass=start, shown=0.0, file="", taken="")
        changed = {"fibre": {"glass": glass, "file": ""}, "shown": {"shown": value, "file": "", "taken": self.now()}}
        made = replace(shot, **changed.get(key, {key: value}))
        if self.pending is not None and key != "shown":
            self.pending = made
            self._show()
            return
        first, ticket = self._with_ticket()
        words = self._glass_words(made.glass)
        # Another end or wavelength of the same reading is the same reading set right, not a second one.
        edits: list[Edit] = list(first)
        self.pending = None
        if state.shot is not None and key in ("from_side", "wavelength_nm"):
            edits.append(DropShot(ticket.id, len(ticket.shots) - 1))
        self._do([*edits, TakeShot(ticket.id, made)], ticket.id, f"read {words} at {made.shown:g}")

    def other_end(self) -> None:
        """Make ready for a second reading, from the other end of the path: its number is typed next."""
        shot = self.state.shot if self.state is not None else None
        if shot is None:
            self._tell(Notice("note", "Type the reading from this end first"))
            return
        self.pending = replace(shot, from_side=">" if shot.from_side == "<" else "<", shown=0.0, lead_m=0.0, file="")
        self._show()
        self.page.form.shown.setFocus(Qt.FocusReason.OtherFocusReason)
        self.page.form.shown.selectAll()

    def _forget_pending(self) -> None:
        self.pending = None

    def _last_shot(self) -> Shot | None:
        """The last reading of any ticket: the same instrument, most likely with the same settings and lead."""
        return next((t.shots[-1] for t in reversed(in_order(self.document.plant)) if t.shots), None)

    def drop_reading(self) -> None:
        """Take the reading in hand out of the ticket."""
        ticket = self.state.ticket if self.state is not None else None
        if ticket is not None and ticket.shots:
            self.document.do(DropShot(ticket.id, len(ticket.shots) - 1, "drop the reading"))

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
