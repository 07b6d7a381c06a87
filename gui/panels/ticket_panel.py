"""The left of the Trace view: the ticket in hand with its services, or without one the hops of the path that is lit.

Number and time of the ticket are typed over in place. It makes no edit; what was asked goes out by signals.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QStackedWidget, QVBoxLayout, QWidget

from gui.panels.detail_types import Entry
from gui.panels.hop_list import HopList, HopRow
from gui.panels.paste_box import PasteBox
from gui.panels.skin import BODY, LABEL, TITLE, Skin, Words, button
from gui.panels.text_field import TextField
from gui.panels.ticket_model import ServiceRow, count_of
from gui.panels.ticket_table import TicketTable
from gui.theme import DAY, Tokens
from model.edits.ticketing import SetTicket
from model.entities import Ticket
from model.line.heard import HeardList
from model.tickets import Heard

WIDE = 256


class TicketPanel(QWidget):
    """Ticket or hops."""

    set_asked = Signal(object)
    new_asked = Signal()
    file_asked = Signal()

    def __init__(self, read: Callable[[str, Heard], HeardList]) -> None:
        super().__init__()
        self.setObjectName("ticketPanel")
        self.ticket: Ticket | None = None
        self.width_asked = WIDE
        self.table = TicketTable()
        self.hops = HopList()
        self.paste = PasteBox(read)
        self.paste.hide()
        self.stack = QStackedWidget()
        self.stack.addWidget(self._ticket_page())
        self.stack.addWidget(self._hop_page())
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.stack)
        self.table.pasted.connect(self.paste.bring)
        self.paste_button.clicked.connect(lambda: self.paste.bring())
        self.paste.left.connect(lambda: self.table.setFocus(Qt.FocusReason.OtherFocusReason))

    def _ticket_page(self) -> QWidget:
        page = QWidget()
        self.title = Words("Ticket", TITLE, bold=True)
        self.number = TextField("Ticket number", Entry("", lambda text: self._set(number=text)))
        self.since_word = Words("since", LABEL, tone="ink2")
        self.since = TextField("Ticket since", Entry("", lambda text: self._set(since=text), needed=False))
        self.number.given.connect(lambda text: self.set_asked.emit(self._set(number=text)))
        self.since.given.connect(lambda text: self.set_asked.emit(self._set(since=text)))
        head = QHBoxLayout()
        head.setContentsMargins(14, 10, 10, 4)
        head.setSpacing(6)
        for widget, stretch in ((self.title, 0), (self.number, 3), (self.since_word, 0), (self.since, 3)):
            widget.setMinimumWidth(30)
            head.addWidget(widget, stretch)
        self.down, self.up = Words("", BODY, bold=True), Words("", BODY, bold=True)
        self.unknown = Words("", LABEL, tone="ink2")
        self.down.setObjectName("countDown")
        self.up.setObjectName("countUp")
        self.unknown.setObjectName("countUnknown")
        counts = QHBoxLayout()
        counts.setContentsMargins(14, 6, 14, 6)
        counts.setSpacing(10)
        counts.addWidget(self.down)
        counts.addWidget(self.up)
        counts.addStretch(1)
        counts.addWidget(self.unknown)
        self.empty = Words("Mark who is down. Not pressed means not known", BODY)
        self.empty.setObjectName("ticketEmpty")
        self.empty.setWordWrap(True)
        self.empty.setContentsMargins(14, 0, 14, 6)
        self.paste_button = button("Paste list", name="pasteList", about="Ctrl+D")
        self.file_button = button("Trace file", name="openTrace", about="Open a trace file of an OTDR")
        self.file_button.clicked.connect(self.file_asked)
        self.buttons = QHBoxLayout()
        self.buttons.setContentsMargins(14, 6, 14, 4)
        self.buttons.setSpacing(8)
        self.buttons.addWidget(self.paste_button)
        self.buttons.addWidget(self.file_button)
        self.foot = Words("Neither pressed means not known. It is never taken as up.", LABEL, tone="ink2")
        self.foot.setWordWrap(True)
        self.foot.setContentsMargins(14, 0, 14, 10)
        column = QVBoxLayout(page)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addLayout(head)
        column.addLayout(counts)
        column.addWidget(self.empty)
        column.addWidget(self.table, 1)
        column.addWidget(self.paste)
        column.addLayout(self.buttons)
        column.addWidget(self.foot)
        return page

    def _hop_page(self) -> QWidget:
        page = QWidget()
        self.hop_title = Words("Hops of the path", TITLE, bold=True)
        self.hop_title.setContentsMargins(14, 12, 14, 2)
        self.hop_sum = Words("", LABEL, tone="ink2")
        self.hop_sum.setContentsMargins(14, 0, 14, 8)
        self.hop_sum.setWordWrap(True)
        self.new_button = button("New ticket", name="newTicket", about="Ctrl+T")
        self.new_button.clicked.connect(self.new_asked)
        self.hop_file = button("Trace file", name="openTraceHere", about="Open a trace file of an OTDR")
        self.hop_file.clicked.connect(self.file_asked)
        row = QHBoxLayout()
        row.setContentsMargins(14, 8, 14, 12)
        row.setSpacing(8)
        row.addWidget(self.new_button)
        row.addWidget(self.hop_file)
        column = QVBoxLayout(page)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.hop_title)
        column.addWidget(self.hop_sum)
        column.addWidget(self.hops, 1)
        column.addLayout(row)
        return page

    def _set(self, number: str | None = None, since: str | None = None) -> SetTicket:
        held = self.ticket
        if held is None:
            raise RuntimeError("a field of no ticket was typed in")
        return SetTicket(
            held.id,
            held.number if number is None else number,
            held.since if since is None else since,
            held.note,
            f"ticket {number if number is not None else held.number}",
        )

    # -- what is shown -------------------------------------------------------------------------------------------

    def show_ticket(self, ticket: Ticket, rows: list[ServiceRow]) -> None:
        """Show a ticket."""
        self.ticket = ticket
        self.stack.setCurrentIndex(0)
        self.number.show_entry(Entry(ticket.number, lambda text: self._set(number=text)))
        self.since.show_entry(Entry(ticket.since, lambda text: self._set(since=text), needed=False))
        self.table.show_rows(rows)
        counts = count_of(rows)
        self.down.setText(f"{counts.down} down")
        self.up.setText(f"{counts.up} up")
        self.unknown.setText(f"{counts.unknown} not known")
        self.empty.setVisible(not counts.down)

    def show_hops(self, rows: Sequence[HopRow], words: str) -> None:
        """Show the hops of the lit path; ``words`` sum it up, or say what to do."""
        self.ticket = None
        self.paste.hide()
        self.stack.setCurrentIndex(1)
        self.hops.show_rows(rows)
        self.hop_sum.setText(words)

    @property
    def front(self) -> QWidget:
        """What takes the focus."""
        return self.table if self.ticket is not None else self.hops if self.hops.rows else self.new_button

    def set_tokens(self, tokens: Tokens = DAY, large: bool = False) -> None:
        """Take colours and size."""
        skin = Skin(tokens, large)
        self.setStyleSheet(
            f"QWidget#ticketPanel {{ background: {tokens.panel}; }} "
            f"QWidget#ticketPanel QLineEdit {{ padding: 2px 6px; min-height: {skin.px(22)}px; font-weight: bold; }}"
        )
        self.width_asked = WIDE if not large else round(WIDE * 1.25)
        for words in (
            self.title,
            self.since_word,
            self.down,
            self.up,
            self.unknown,
            self.empty,
            self.foot,
            self.hop_title,
            self.hop_sum,
        ):
            words.set_skin(skin)
        for field in (self.number, self.since):
            field.set_skin(skin)
        for made in (self.paste_button, self.file_button, self.new_button, self.hop_file):
            made.setMinimumHeight(skin.target)
            made.setStyleSheet("padding: 4px 6px;")
        self.table.set_tokens(tokens, large)
        self.hops.set_tokens(tokens, large)
        self.paste.set_tokens(tokens, large)
