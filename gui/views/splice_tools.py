"""Joining by drag in the Splices view: from a fibre or a bundle to another, said in the Line as it would be typed.

The Line reads the drag back and alone decides: letting go does what Enter would, and only where nothing is wrong and
nothing is held. Else the words stay in the Line with the reason. A drag can do nothing that typing cannot.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from PySide6.QtCore import QObject, QPointF, QRectF, Qt

from gui.canvas.board import Board
from gui.canvas.in_hand import HandItem, HandTag, InHand
from gui.canvas.picking import candidates
from gui.canvas.view import Gesture
from gui.document import Document
from gui.session import Session
from model.line.names import quoted
from model.line.readback import Reading
from model.lookup import passes
from render.refs import split_ref

GLASS = ("fibre", "fibres", "tube")
CHIP_MM = 40.0
"""Wider things are bands: they are marked at the pointer, not from end to end."""


class TypedLine(Protocol):
    """The Line as a drag uses it."""

    reading: Reading | None

    def text(self) -> str:
        """What is in it."""
        ...

    def put(self, text: str) -> None:
        """Put a text in and read it; the focus stays."""
        ...

    def say(self, text: str) -> None:
        """Put a text in and go there."""
        ...

    def enter(self) -> None:
        """Do what is read."""
        ...


@dataclass(frozen=True, slots=True)
class Glass:
    """What is under the pointer: its ref, how it is typed, and where it is marked."""

    ref: str
    typed: str
    box: QRectF


class JoinTools(QObject):
    """The gestures of the Splices view."""

    def __init__(self, document: Document, session: Session, board: Board) -> None:
        super().__init__(board.view)
        self.document, self.session, self.board = document, session, board
        self.line: TypedLine | None = None
        self.item = HandItem(board.overlay)
        board.scene.addItem(self.item)
        self.tag = HandTag(board.view.viewport(), board.overlay, "joinTag")

    def gesture_at(self, at: QPointF, reach_mm: float) -> Gesture | None:
        """A drag of the glass under the pointer."""
        if self.line is None or self.document.read_only:
            return None
        found = self.glass_at(at, reach_mm)
        return JoinDrag(self, self.line, found, at) if found is not None else None

    def nudge(self, dx_mm: float, dy_mm: float) -> bool:
        """Nothing here moves by arrows."""
        return False

    def glass_at(self, at: QPointF, reach_mm: float) -> Glass | None:
        """The fibre, bundle or tube under a point, the top one first."""
        for ref in candidates(self.board.scene, at, reach_mm):
            typed = self._typed(ref, at)
            if typed:
                return Glass(ref, typed, self._box(ref, at))
        return None

    def _typed(self, ref: str, at: QPointF) -> str:
        kind, key, number = split_ref(ref)
        cables = self.document.plant.cables
        cable = next((c for c in cables.values() if c.id == key), None)
        if kind not in GLASS or cable is None:
            return ""
        through = any(stop.site == self.session.place and passes(cable, i) for i, stop in enumerate(cable.stops))
        part, side = number.rstrip("<>"), number[len(number.rstrip("<>")) :]
        if not side:
            side = "<" if at.x() < self.middle() else ">"
        letter = "T" if kind == "tube" else ""
        return f"{quoted(cable.name)}:{letter}{part}{side if through else ''}"

    def middle(self) -> float:
        """Where the exchange side ends and the field side begins: the middle of the tray fields, else of all."""
        for (_, role, _), item in self.board.scene.shown.items():
            if role == "tray":
                return item.sceneBoundingRect().center().x()
        return self.board.scene.bounds().center().x()

    def _box(self, ref: str, at: QPointF) -> QRectF:
        """The chip under the pointer, or a piece of the band."""
        boxes = [item.sceneBoundingRect() for item in self.board.scene.items_of(ref)]
        held = [box for box in boxes if box.contains(at) and box.width() <= CHIP_MM]
        small = min(held, key=lambda box: box.width() * box.height(), default=None)
        return small if small is not None else QRectF(at.x() - 6, at.y() - 2.2, 12, 4.4)

    def clear(self) -> None:
        """Nothing is in hand any more."""
        self.tag.hide()
        self.item.show_hand(InHand())


class JoinDrag:
    """One drag from glass to glass."""

    def __init__(self, tools: JoinTools, line: TypedLine, source: Glass, at: QPointF) -> None:
        self.tools, self.line, self.source = tools, line, source
        self.start = at
        self.before = line.text()
        self.target: Glass | None = None

    def move(self, at: QPointF, modifiers: Qt.KeyboardModifier) -> None:
        """Show the thread; over other glass the Line says what letting go would do."""
        tools, view = self.tools, self.tools.board.view
        found = tools.glass_at(at, view.reach_mm())
        if found is not None and found.typed == self.source.typed:
            found = None
        # Said from the first move on, so that the read-back row does not come and go and shift what is aimed at.
        said = f"join {self.source.typed} to {found.typed if found else ''}"
        if said != self.line.text():
            self.line.put(said)
        self.target = found
        good, words = self.verdict()
        tools.item.show_hand(
            InHand(
                origin=self.source.box,
                target=found.box if found else None,
                good=good,
                thread=(self.start, at),
            )
        )
        tools.tag.say(words, view.mapFromScene(at), good=good)

    def verdict(self) -> tuple[bool, str]:
        """Whether letting go joins, and what is said beside the pointer."""
        if self.target is None:
            return True, f"Join {self.source.typed} to ..."
        reading = self.line.reading
        if reading is None:
            return False, "Nothing to do"
        if reading.error is not None:
            near = f". Nearest: {reading.error.nearest}" if reading.error.nearest else ""
            return False, f"{reading.error.message}{near}"
        if reading.holds:
            names = ", ".join(held.name for held in reading.holds[:3])
            return False, f"{names} would go dark: see the Line"
        joints = len(reading.rows)
        return True, f"Let go: {joints} joint{'s' * (joints != 1)}, {self.source.typed} to {self.target.typed}"

    def commit(self) -> None:
        """Do what the Line reads, if it is right and holds nothing; else leave it there to be mended."""
        self.tools.clear()
        if self.target is None:
            self.line.put(self.before)
            return
        reading = self.line.reading
        if reading is not None and reading.ok and reading.edits and not reading.holds:
            self.line.enter()
            self.line.put(self.before)
            return
        self.line.say(self.line.text())

    def cancel(self) -> None:
        """Put the Line back as it was."""
        self.tools.clear()
        self.line.put(self.before)
