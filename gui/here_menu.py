"""The list "Here": everything under a point of a canvas with its commands; and the words that say which was picked.

It opens on the right button, on a press held for half a second, and on the Menu key. It is a popup that any click
beside it closes; what it does goes through the session and the Line.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, QPoint, QPointF, Qt
from PySide6.QtWidgets import QLabel, QMenu

from gui.boards import Boards
from gui.canvas.board import Board
from gui.document import Document
from gui.session import VIEWS, Session
from gui.theme import LABEL, Tokens
from gui.views.here import Command, Thing, things_here
from render.refs import range_ref, tray_ref


class Here(QObject):
    """Opens the list for the canvas in sight; ``say`` puts words into the Line."""

    def __init__(self, document: Document, session: Session, boards: Boards, say: Callable[[str], None]) -> None:
        super().__init__(boards)
        self.document, self.session, self.boards, self._say = document, session, boards, say
        self.menu = QMenu(boards.stack)
        self.menu.setObjectName("here")
        self.menu.setAccessibleName("Here")
        self.things: list[Thing] = []
        self.readouts: list[QLabel] = []
        for board in boards.boards:
            board.view.asked_here.connect(lambda at, point, board=board: self.open_at(board, at, point))
            board.view.asked_by_key.connect(lambda board=board: self.open_by_key(board))
            readout = QLabel(board.view.viewport())
            readout.setObjectName("pickReadout")
            readout.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
            readout.hide()
            self.readouts.append(readout)
            board.view.turned.connect(
                lambda turn, count, ref, board=board, readout=readout: self._turned(board, readout, turn, count, ref)
            )
        boards.trace.strip.asked_here.connect(self.open_for)
        boards.rail.asked_here.connect(lambda tray, point: self.open_for([tray_ref(tray)], point))
        session.pick_changed.connect(self._pick_changed)

    # -- the list ------------------------------------------------------------------------------------------------

    def open_at(self, board: Board, at: QPointF, point: QPoint) -> None:
        """List what is under a place (scene mm) at a point of the screen."""
        self.open_for(board.view.things_at(at), point)

    def open_by_key(self, board: Board) -> None:
        """List what is picked and what lies with it, beside it; with nothing picked, what is in the middle."""
        view = board.view
        centre = QPointF(view.mapToScene(view.viewport().rect().center()))
        picked = [ref for ref in self.session.pick if board.scene.items_of(ref)]
        if picked:
            shape = board.scene.items_of(picked[-1])[0]
            centre = shape.sceneBoundingRect().center()
        refs = list(dict.fromkeys([*reversed(self.session.pick), *view.things_at(centre)]))
        port = view.viewport().rect()
        spot = view.mapFromScene(centre)
        spot = spot if port.contains(spot) else port.center()
        self.open_for(refs, view.viewport().mapToGlobal(spot))

    def open_for(self, refs: list[str], point: QPoint) -> None:
        """List these things at a point of the screen."""
        self.things = things_here(self.document.plant, self.session.place, refs)
        self.menu.clear()
        if not self.things:
            self.menu.addAction("Nothing here").setEnabled(False)
        elif len(self.things) == 1:
            self.menu.addAction(self.things[0].title).setEnabled(False)
            self._fill(self.menu, self.things[0])
        else:
            for thing in self.things:
                self._fill(self.menu.addMenu(thing.title), thing)
        self.menu.popup(point)
        first = next((a for a in self.menu.actions() if a.isEnabled()), None)
        if first is not None:
            self.menu.setActiveAction(first)

    def _fill(self, menu: QMenu, thing: Thing) -> None:
        menu.setProperty("ref", thing.ref)
        for command in thing.commands:
            action = menu.addAction(command.text)
            if command.does == "say":
                action.setToolTip(f"Puts  {command.value}  into the Line")
            action.triggered.connect(lambda _=False, c=command, ref=thing.ref: self.do(c, ref))
        for held in self.boards.ranges_of([thing.ref]):
            turn = menu.addAction(self.boards.ranges.words(held))
            turn.triggered.connect(lambda _=False, key=held.key: self.boards.turn_ranges([range_ref(key)]))

    def do(self, command: Command, ref: str) -> None:
        """Do one command of the list."""
        session = self.session
        if command.does == "say":
            self._say(command.value)
        elif command.does == "go":
            session.go(command.value)
            session.show_view(VIEWS.index("Enclosure"))
        else:
            session.set_pick(self.boards.whole([ref]))
            if command.does == "trace":
                session.show_view(VIEWS.index("Trace"))
            elif command.does == "show":
                session.show_view(VIEWS.index(command.value))
                self.boards.centre_on([ref])

    # -- which of several ----------------------------------------------------------------------------------------

    def _turned(self, board: Board, readout: QLabel, turn: int, count: int, ref: str) -> None:
        """Say which of the things under the pointer is picked: ``2 of 3: T2 OR of TM-B1``."""
        if not ref or ref.startswith("range:"):
            board.view.setAccessibleDescription("Nothing picked")
            readout.hide()
            return
        things = things_here(self.document.plant, self.session.place, [ref])
        name = things[0].title if things else ref.partition(":")[0]
        words = f"{turn} of {count}: {name}" if count > 1 else name
        board.view.setAccessibleDescription(words)
        readout.setText(words)
        readout.setVisible(count > 1)
        tokens: Tokens = board.overlay.tokens
        readout.setStyleSheet(
            f"background: {tokens.raised}; color: {tokens.ink}; border: 1px solid {tokens.ink2};"
            f" border-radius: 6px; padding: 4px 10px; font-size: {LABEL + 2}px;"
        )
        readout.adjustSize()
        port = board.view.viewport().rect()
        readout.move(port.width() - readout.width() - 10, port.height() - readout.height() - 10)
        readout.raise_()

    def _pick_changed(self) -> None:
        """A pick from elsewhere says what it is, and ends the counting."""
        for board, readout in zip(self.boards.boards, self.readouts, strict=True):
            readout.hide()
            picked = [t.title for t in things_here(self.document.plant, self.session.place, list(self.session.pick))]
            more = f" and {len(picked) - 3} more" if len(picked) > 3 else ""
            board.view.setAccessibleDescription(", ".join(picked[:3]) + more if picked else "Nothing picked")
