"""The services of a ticket as a table that is worked by D, U, N and Space, by a click, and over several rows at once.

``asked`` carries the services and what was heard of them; who listens makes one edit of it. Pressing what is pressed
already takes the service back to not known.
"""

from __future__ import annotations

from PySide6.QtCore import QItemSelectionModel, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QKeySequence, QMouseEvent
from PySide6.QtWidgets import QAbstractItemView, QApplication, QFrame, QHeaderView, QTableView, QWidget

from gui.panels.skin import Skin
from gui.panels.ticket_model import BUTTON, DOWN, HIGH, SERVICE, UP, ServiceRow, TicketDelegate, TicketModel, count_of
from gui.theme import DAY, Tokens
from model.tickets import Heard

KEYS: dict[Qt.Key, Heard] = {Qt.Key.Key_D: "down", Qt.Key.Key_U: "up", Qt.Key.Key_N: "unknown"}
NEXT: dict[Heard, Heard] = {"unknown": "down", "down": "up", "up": "unknown"}


class TicketTable(QTableView):
    """Every service with its two buttons."""

    asked = Signal(list, str)
    chosen = Signal(list)
    pasted = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("ticketTable")
        self.setAccessibleName("Services of the ticket")
        self.services = TicketModel()
        self.setModel(self.services)
        self.painter_ = TicketDelegate(self)
        self.setItemDelegate(self.painter_)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setShowGrid(False)
        self.setTabKeyNavigation(False)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.verticalHeader().hide()
        head = self.horizontalHeader()
        head.hide()
        head.setMinimumSectionSize(10)
        head.setSectionResizeMode(SERVICE, QHeaderView.ResizeMode.Stretch)
        for column in (DOWN, UP):
            head.setSectionResizeMode(column, QHeaderView.ResizeMode.Fixed)
        self._filling = False
        self.set_tokens()
        self.selectionModel().selectionChanged.connect(self._chosen)

    def show_rows(self, rows: list[ServiceRow]) -> None:
        """Show the services; the place in the table is kept."""
        self._filling = True
        self.services.show_rows(rows)
        self._filling = False
        self.setAccessibleDescription(count_of(rows).words)

    def show_pick(self, services: list[str]) -> None:
        """Choose the rows of picked services."""
        if set(services) == set(self.rows_chosen()):
            return
        self._filling = True
        self.selectionModel().clearSelection()
        for number, row in enumerate(self.services.rows):
            if row.service in services:
                flags = QItemSelectionModel.SelectionFlag
                self.selectionModel().select(self.services.index(number, 0), flags.Select | flags.Rows)
        self._filling = False

    def rows_chosen(self) -> list[str]:
        """Ids of the services chosen, top down."""
        numbers = sorted({index.row() for index in self.selectionModel().selectedRows()})
        return [self.services.rows[n].service for n in numbers]

    def _chosen(self, *_: object) -> None:
        self.viewport().update()
        if not self._filling:
            self.chosen.emit(self.rows_chosen())

    def _ask(self, services: list[str], heard: Heard) -> None:
        if services:
            self.asked.emit(services, heard)

    # -- by hand -------------------------------------------------------------------------------------------------

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802  # Qt's name
        """A press on a button is no choice of a row."""
        index = self.indexAt(event.position().toPoint())
        if event.button() == Qt.MouseButton.LeftButton and index.isValid() and index.column() != SERVICE:
            row = self.services.rows[index.row()]
            asked: Heard = "down" if index.column() == DOWN else "up"
            self.setFocus(Qt.FocusReason.MouseFocusReason)
            self.selectionModel().setCurrentIndex(
                self.services.index(index.row(), SERVICE), QItemSelectionModel.SelectionFlag.NoUpdate
            )
            self._ask([row.service], "unknown" if row.heard == asked else asked)
            event.accept()
            return
        super().mousePressEvent(event)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:  # noqa: N802  # Qt's name
        """The second press of a quick pair on a button is a press as well."""
        self.mousePressEvent(event)

    # -- by key --------------------------------------------------------------------------------------------------

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802  # Qt's name
        """D, U, N and Space on the chosen rows, else on the current one; Ctrl+V brings a list."""
        if event.matches(QKeySequence.StandardKey.Paste):
            self.pasted.emit(QApplication.clipboard().text())
            return
        current = self.currentIndex().row()
        plain = event.modifiers() in (Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.ShiftModifier)
        if plain and 0 <= current < len(self.services.rows):
            key = Qt.Key(event.key())
            wanted: Heard | None = KEYS.get(key)
            if key == Qt.Key.Key_Space:
                wanted = NEXT[self.services.rows[current].heard]
            if wanted is not None:
                here = self.services.rows[current].service
                chosen = self.rows_chosen()
                self._ask(chosen if here in chosen else [here], wanted)
                return
        super().keyPressEvent(event)

    def keyboardSearch(self, search: str) -> None:  # noqa: N802  # Qt's name
        """Letters are commands here, not a search."""

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802  # Qt's name
        """There is always a row that keys act on."""
        super().focusInEvent(event)
        if not self.currentIndex().isValid() and self.services.rows:
            self.selectionModel().setCurrentIndex(
                self.services.index(0, SERVICE), QItemSelectionModel.SelectionFlag.NoUpdate
            )
        self.viewport().update()

    def set_tokens(self, tokens: Tokens = DAY, large: bool = False) -> None:
        """Take colours and size."""
        skin = self.painter_.skin = Skin(tokens, large)
        self.verticalHeader().setDefaultSectionSize(max(skin.px(HIGH), skin.row))
        for column in (DOWN, UP):
            self.horizontalHeader().resizeSection(column, skin.px(BUTTON))
        self.viewport().update()
