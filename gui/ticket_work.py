"""The fault ticket worked by hand: what was heard of services, lists pasted, tickets opened and stepped through.

Every deed is one step to undo, and the first of them opens a ticket where there is none.
"""

from __future__ import annotations

import datetime
from collections.abc import Callable, Sequence

from PySide6.QtCore import QObject

from gui.document import Document, Notice
from gui.session import TRACE, Session
from gui.views.trace_page import TracePage
from model.edits.ticketing import Hear, OpenTicket, hear_name
from model.entities import Ticket
from model.history import Edit
from model.ids import ServiceId
from model.line.heard import read_list
from model.tickets import Heard, fresh_ticket, in_order, ticket_in_hand


class TicketWork(QObject):
    """What hands do to tickets."""

    def __init__(self, document: Document, session: Session, page: TracePage, tell: Callable[[Notice], None]) -> None:
        super().__init__(session)
        self.document, self.session, self.page = document, session, page
        self._tell = tell
        ticket = page.ticket
        ticket.table.asked.connect(self.hear)
        ticket.paste.given.connect(self.paste)
        ticket.set_asked.connect(document.do)
        ticket.new_asked.connect(self.new_ticket)

    def now(self) -> str:
        """What a new ticket or reading says of its time."""
        return datetime.datetime.now().strftime("%H:%M")  # the clock on the wall

    def with_ticket(self) -> tuple[list[Edit], Ticket]:
        """(edits that open a ticket where there is none, the ticket)."""
        held = ticket_in_hand(self.document.plant, self.session.ticket)
        if held is not None:
            return [], held
        fresh = fresh_ticket(self.document.plant, self.now())
        return [OpenTicket(fresh)], fresh

    def do(self, edits: Sequence[Edit], ticket: str, name: str | None = None) -> bool:
        """Do edits of a ticket as one step and take it in hand; False where they were refused."""
        done = self.document.do(*edits, name=name)
        if done:
            self.session.show_ticket(ticket)
        return done

    def hear(self, services: list[str], heard: Heard) -> None:
        """Note services of the ticket in hand."""
        first, ticket = self.with_ticket()
        keys = tuple(ServiceId(key) for key in services)
        name = hear_name(self.document.plant, keys, heard)
        self.do([*first, Hear(ticket.id, keys, heard, name)], ticket.id, name)

    def paste(self, text: str, heard: Heard) -> None:
        """Take a pasted list into the ticket as one step; names that nobody has are told and stay in the box."""
        found = read_list(self.document.plant, text, heard)
        first, ticket = self.with_ticket()
        edits = found.edits(self.document.plant, ticket.id)
        if found.refused or (not edits and not found.bad):
            self._tell(Notice("warning", found.refused or "The list names nobody"))
            return
        named = [edit.name for edit in edits]
        if edits and not self.do([*first, *edits], ticket.id, ", ".join(named)):
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
        if self.do([OpenTicket(ticket, f"open ticket {ticket.number}")], ticket.id):
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
