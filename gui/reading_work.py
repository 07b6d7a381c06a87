"""The readings of a ticket worked by hand: fields typed over, a second reading from the other end, one dropped.

A second reading is made ready beside the ticket and goes into it when its number is typed.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from PySide6.QtCore import QObject, Qt

from gui.document import Notice
from gui.ticket_work import TicketWork
from gui.views.trace_reading import glass_on, glass_words
from gui.views.trace_state import TraceState
from model.edits.ticketing import DropShot, TakeShot
from model.entities import Shot
from model.errors import PlantError
from model.graph import node_end
from model.history import Edit
from model.nodes import node_of
from model.otdr.reading import parse_index
from model.tickets import in_order


class ReadingWork(QObject):
    """What hands do to readings; ``state`` gives what is in sight, ``show`` shows it anew."""

    def __init__(
        self,
        tickets: TicketWork,
        tell: Callable[[Notice], None],
        state: Callable[[], TraceState | None],
        show: Callable[[], None],
    ) -> None:
        super().__init__(tickets)
        self.document, self.form, self.tickets = tickets.document, tickets.page.form, tickets
        self._tell, self._state, self._show = tell, state, show
        self.pending: Shot | None = None
        """A second reading whose number is not typed yet."""
        self.form.given.connect(self.set_field)
        self.form.drop_asked.connect(self.drop_reading)
        self.form.other_asked.connect(self.other_end)
        tickets.session.ticket_changed.connect(self._forget_pending)

    def set_field(self, key: str, value: Any) -> None:
        """A field of the reading was given; the first one makes the reading."""
        state = self._state()
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
            self.form.refuse(key, str(fault))
            return
        if shot is None:
            start = glass or glass_on(self.document.continuity, state.plan)
            if start is None:
                self.form.refuse("fibre", "Name the fibre first, like CABLE:17")
                return
            shot = replace(self._last_shot() or Shot(start, 0.0), glass=start, shown=0.0, file="", taken="")
        changed = {
            "fibre": {"glass": glass, "file": ""},
            "shown": {"shown": value, "file": "", "taken": self.tickets.now()},
        }
        made = replace(shot, **changed.get(key, {key: value}))
        if self.pending is not None and key != "shown":
            self.pending = made
            self._show()
            return
        first, ticket = self.tickets.with_ticket()
        words = glass_words(self.document.continuity, made.glass)
        # Another end or wavelength of the same reading is the same reading set right, not a second one.
        edits: list[Edit] = list(first)
        self.pending = None
        if state.shot is not None and key in ("from_side", "wavelength_nm"):
            edits.append(DropShot(ticket.id, len(ticket.shots) - 1))
        self.tickets.do([*edits, TakeShot(ticket.id, made)], ticket.id, f"read {words} at {made.shown:g}")

    def other_end(self) -> None:
        """Make ready for a second reading, from the other end of the path: its number is typed next."""
        state = self._state()
        shot = state.shot if state is not None else None
        if shot is None:
            self._tell(Notice("note", "Type the reading from this end first"))
            return
        self.pending = replace(shot, from_side=">" if shot.from_side == "<" else "<", shown=0.0, lead_m=0.0, file="")
        self._show()
        self.form.shown.setFocus(Qt.FocusReason.OtherFocusReason)
        self.form.shown.selectAll()

    def _forget_pending(self) -> None:
        self.pending = None

    def _last_shot(self) -> Shot | None:
        """The last reading of any ticket: the same instrument, most likely with the same settings and lead."""
        return next((t.shots[-1] for t in reversed(in_order(self.document.plant)) if t.shots), None)

    def drop_reading(self) -> None:
        """Take the reading in hand out of the ticket."""
        state = self._state()
        ticket = state.ticket if state is not None else None
        if ticket is not None and ticket.shots:
            self.document.do(DropShot(ticket.id, len(ticket.shots) - 1, "drop the reading"))
