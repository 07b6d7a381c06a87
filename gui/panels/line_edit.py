"""The Line: one field for what to do or where to go, and the row that reads it back in pieces before anything changes.

The grammar is somebody else's: text goes out, chips, an error's place and endings come in. Columns count from 1.
Enter, Esc and the completion keys are signals; lines done before come back by Up on an empty line.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from PySide6.QtCore import QEvent, QRectF, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QContextMenuEvent,
    QGuiApplication,
    QKeyEvent,
    QKeySequence,
    QPainter,
    QPaintEvent,
    QPen,
)
from PySide6.QtWidgets import QLineEdit, QWidget

from gui.marks import paint_mark
from gui.panels.skin import BODY, LABEL, Skin
from gui.theme import DAY, Tokens

KEPT = 50
EXAMPLES = "Say what to do, or where to go · open TM-B1:T2 · join TM-B1:13-16 to D-1 · trace D-1:3 · go tray 1"
LONGEST = 8192


@dataclass(frozen=True, slots=True)
class Chip:
    """One piece read back: what it is and what it says."""

    label: str
    text: str
    kind: Literal["plain", "warning", "error"] = "plain"


@dataclass(frozen=True, slots=True)
class ReadbackData:
    """A line as understood. ``error_column`` (from 1) and ``error_length`` mark the wrong piece in the line.

    ``hint`` stands at the right end, such as "Enter does it"; ``endings`` are up to three valid ends of the line.
    """

    chips: tuple[Chip, ...] = ()
    error_column: int | None = None
    error_length: int = 1
    hint: str = ""
    endings: tuple[str, ...] = ()


NOTHING = ReadbackData()


class LineEdit(QLineEdit):
    """The field. ``said`` carries the line on Enter; ``dropped`` an Esc with nothing left to drop.

    ``complete`` carries which ending is wanted: 0 the first (Tab), 1 the next (Down), 2 the list (Ctrl+Space).
    """

    said = Signal(str)
    changed_text = Signal(str)
    dropped = Signal()
    complete = Signal(int)
    pasted = Signal(str)
    """A text of several rows or columns, which one line cannot hold."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._skin = Skin()
        self._readback = NOTHING
        self._lines: list[str] = []
        self._at = -1
        self.key_hint = "Ctrl+L"
        self.setObjectName("line")
        self.setAccessibleName("Line: say what to do, or where to go")
        self.setPlaceholderText(EXAMPLES)
        self.setMaxLength(LONGEST + 1)
        self.setFont(self._skin.font(BODY, fixed=True))
        self.textChanged.connect(self._text_changed)
        self.set_tokens()

    def set_tokens(self, tokens: Tokens = DAY, large: bool = False) -> None:
        """Take colours and size."""
        self._skin = Skin(tokens, large)
        self.setFont(self._skin.font(BODY, fixed=True))
        size = self._skin.px(BODY)
        hint = round(self._skin.metrics(LABEL, fixed=True).horizontalAdvance("Enter does it \u00b7 Esc drops it")) + 24
        self.setTextMargins(0, 0, hint, 0)
        self.setStyleSheet(f"QLineEdit {{ font-family: 'DejaVu Sans Mono'; font-size: {size}px; padding: 6px 14px; }}")
        self.update()

    # -- lines said before ---------------------------------------------------------------------------------------

    @property
    def lines(self) -> tuple[str, ...]:
        """Lines said, the latest last; at most fifty."""
        return tuple(self._lines)

    def keep(self, line: str) -> None:
        """Remember a line that was done; said twice it is kept once."""
        line = line.strip()
        if line:
            self._lines = [*(kept for kept in self._lines if kept != line), line][-KEPT:]
        self._at = -1

    def set_lines(self, lines: tuple[str, ...]) -> None:
        """Take lines remembered from another day."""
        self._lines = [line for line in lines if line.strip()][-KEPT:]
        self._at = -1

    def _recall(self, by: int) -> bool:
        """Bring an earlier (1) or later (-1) line back; only from an empty line, or while recalling."""
        recalling = self._at >= 0 and self.text() == self._lines[-1 - self._at]
        if not self._lines or not (recalling or (by > 0 and not self.text())):
            return False
        at = self._at + by if recalling else 0
        if at < 0:
            self.clear()
            self._at = -1
            return True
        self._at = min(at, len(self._lines) - 1)
        at = self._at
        self.setText(self._lines[-1 - at])
        self._at = at
        return True

    # -- reading back --------------------------------------------------------------------------------------------

    def show_readback(self, data: ReadbackData) -> None:
        """Underline the wrong piece, if any, and know what can be completed."""
        self._readback = data
        chips = ", ".join(f"{chip.label} {chip.text}".strip() for chip in data.chips)
        self.setAccessibleDescription(chips)
        self.update()

    def error_rect(self) -> QRectF | None:
        """Where the underline of the wrong piece is, in the field's own pixels; None when nothing is wrong."""
        column = self._readback.error_column
        if column is None or not self.text():
            return None
        text = self.text()
        start = min(max(column - 1, 0), len(text))
        end = min(start + max(self._readback.error_length, 1), len(text))
        measure = self._skin.metrics(BODY, fixed=True)
        # The cursor's place tells how far Qt has scrolled the text, which it does not say otherwise.
        cursor = self.cursorRect().center().x() + 0.5
        left = cursor - measure.horizontalAdvance(text[: self.cursorPosition()])
        x1 = left + measure.horizontalAdvance(text[:start])
        x2 = left + measure.horizontalAdvance(text[:end]) if end > start else x1 + measure.averageCharWidth()
        base = self.height() / 2 + measure.height() / 2
        return QRectF(x1, base - 1, x2 - x1, 3)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802  # Qt's name
        """The field, its key at the right, and the heavy underline with a caret at the error's first column."""
        super().paintEvent(event)
        painter = QPainter(self)
        tokens = self._skin.tokens
        hint = (self._readback.hint or self.key_hint) if self.text() else self.key_hint
        painter.setFont(self._skin.font(LABEL, fixed=True))
        painter.setPen(QColor(tokens.ink2))
        box = QRectF(self.rect()).adjusted(0, 0, -14, 0)
        painter.drawText(box, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, hint)
        place = self.error_rect()
        if place is not None:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.fillRect(place, QColor(tokens.error))
            painter.setPen(QPen(QColor(tokens.error), 2))
            x, y = place.left() + 1, place.bottom() + 1
            painter.drawLine(round(x), round(y), round(x - 3), round(y + 4))
            painter.drawLine(round(x), round(y), round(x + 3), round(y + 4))

    # -- keys ----------------------------------------------------------------------------------------------------

    def _text_changed(self, text: str) -> None:
        self._readback = NOTHING
        if self._at >= 0 and (self._at >= len(self._lines) or text != self._lines[-1 - self._at]):
            self._at = -1
        self.changed_text.emit(text)

    def take_ending(self, text: str) -> None:
        """Put a completed line in place of the typed one."""
        self.setText(text)
        self.setCursorPosition(len(text))

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:  # noqa: N802  # Qt's name
        """Paste in the menu of the field understands a table as the key does."""
        menu = self.createStandardContextMenu()
        for action in menu.actions():
            if action.objectName() == "edit-paste":
                action.triggered.disconnect()
                action.triggered.connect(self.paste_any)
        menu.exec(event.globalPos())
        menu.deleteLater()

    def paste_any(self) -> None:
        """Paste what the clipboard holds: one line as it is, several rows or columns as a table."""
        text = QGuiApplication.clipboard().text()
        if "\t" in text.strip() or "\n" in text.strip():
            self.pasted.emit(text)
        else:
            self.paste()

    def event(self, event: QEvent) -> bool:
        """Tab completes while there is an ending to take; with none it moves the focus as usual."""
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            plain = event.modifiers() == Qt.KeyboardModifier.NoModifier
            if event.key() == Qt.Key.Key_Tab and plain and self._readback.endings:
                self.complete.emit(0)
                return True
        if (
            event.type() == QEvent.Type.ShortcutOverride
            and isinstance(event, QKeyEvent)
            and not self.text()
            and (event.matches(QKeySequence.StandardKey.Undo) or event.matches(QKeySequence.StandardKey.Redo))
        ):
            # An empty field has nothing of its own to take back: the keys are the plant's.
            event.ignore()
            return False
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802  # Qt's name
        """Enter says it, Esc drops it, Up recalls, Down and Ctrl+Space walk the endings."""
        if event.matches(QKeySequence.StandardKey.Paste):
            self.paste_any()
            return
        key, control = event.key(), bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.said.emit(self.text())
        elif key == Qt.Key.Key_Escape:
            self.dropped.emit()
        elif key == Qt.Key.Key_Space and control:
            self.complete.emit(2)
        elif (key == Qt.Key.Key_Up and self._recall(1)) or (key == Qt.Key.Key_Down and self._recall(-1)):
            return
        elif key == Qt.Key.Key_Down:
            self.complete.emit(1)
        else:
            super().keyPressEvent(event)


class Readback(QWidget):
    """The row of chips under the Line; ``ending_taken`` carries an ending that was clicked."""

    ending_taken = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._skin = Skin()
        self.data = NOTHING
        self._places: list[tuple[QRectF, str]] = []
        self.setObjectName("readback")
        self.setAccessibleName("Reads as")
        self.hide()

    def set_tokens(self, tokens: Tokens = DAY, large: bool = False) -> None:
        """Take colours and size."""
        self._skin = Skin(tokens, large)
        self.show_readback(self.data)

    def show_readback(self, data: ReadbackData) -> None:
        """Show the chips of a line; with nothing to show the row goes away."""
        self.data = data
        said = [f"{chip.label}: {chip.text}" for chip in data.chips]
        said += [f"Tab changes the end to {data.endings[0]}"] if data.endings else []
        self.setAccessibleDescription("; ".join(said))
        shown = bool(data.chips or data.endings)
        if shown:
            self.setFixedHeight(round(self._lay_out(max(self.width(), 320))[1]))
        self.setVisible(shown)
        self.update()

    def chip_rects(self) -> list[QRectF]:
        """Where the chips are."""
        return self._lay_out(self.width())[0]

    def _lay_out(self, width: int) -> tuple[list[QRectF], float]:
        """(place of each chip, height of the row): chips wrap to a further row rather than be cut."""
        skin = self._skin
        high = skin.px(38)
        x, y = float(skin.px(92)), 9.0
        start, right = x, width - 16.0
        if self.data.endings:
            right -= self._endings_width() + 12
        places = []
        for chip in self.data.chips:
            words = max(
                skin.metrics(LABEL).horizontalAdvance(chip.label),
                skin.metrics(BODY - 1, bold=True).horizontalAdvance(chip.text),
            )
            wide = words + 24 + (skin.px(20) + 6 if chip.kind != "plain" else 0)
            if x + wide > right and x > start:
                x, y = start, y + high + 6
            places.append(QRectF(x, y, min(wide, max(right - x, 60)), high))
            x += wide + 8
        endings = skin.px(18) * (len(self.data.endings[:3]) + 1) + 13 if self.data.endings else 0
        return places, max(y + high + 9, endings)

    def _endings_width(self) -> float:
        fixed = self._skin.metrics(LABEL, fixed=True)
        wide = max(fixed.horizontalAdvance(ending) for ending in self.data.endings[:3])
        return max(
            min(wide + 20, self.width() * 0.35), self._skin.metrics(LABEL).horizontalAdvance("Tab changes the end to")
        )

    def resizeEvent(self, event: QEvent) -> None:  # noqa: N802  # Qt's name
        """Wrap anew."""
        if self.data.chips or self.data.endings:
            high = round(self._lay_out(self.width())[1])
            if high != self.height():
                self.setFixedHeight(high)

    def mouseReleaseEvent(self, event: QEvent) -> None:  # noqa: N802  # Qt's name
        """A click on an ending takes it."""
        for place, ending in self._places:
            if place.contains(event.position()):  # type: ignore[attr-defined]
                self.ending_taken.emit(ending)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802  # Qt's name
        """Chips from the left, endings at the right."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        skin, tokens = self._skin, self._skin.tokens
        painter.fillRect(self.rect(), QColor(tokens.tint))
        middle = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft
        painter.setFont(skin.font(LABEL, bold=True))
        painter.setPen(QColor(tokens.ink))
        painter.drawText(QRectF(16, 9, skin.px(80), skin.px(38)), middle, "Reads as")
        for chip, place in zip(self.data.chips, self.chip_rects(), strict=True):
            self._paint_chip(painter, chip, place)
        self._places = []
        if not self.data.endings:
            return
        left = self.width() - 16 - self._endings_width()
        painter.setFont(skin.font(LABEL))
        painter.setPen(QColor(tokens.ink2))
        line = skin.px(18)
        painter.drawText(QRectF(left, 7, self._endings_width(), line), middle, "Tab changes the end to")
        painter.setFont(skin.font(LABEL, fixed=True))
        painter.setPen(QColor(tokens.ink))
        for number, ending in enumerate(self.data.endings[:3]):
            place = QRectF(left, 7 + line * (number + 1), self._endings_width(), line)
            if place.bottom() > self.height():
                break
            words = skin.metrics(LABEL, fixed=True).elidedText(ending, Qt.TextElideMode.ElideLeft, place.width())
            painter.drawText(place, middle, words)
            self._places.append((place, ending))

    def _paint_chip(self, painter: QPainter, chip: Chip, place: QRectF) -> None:
        skin, tokens = self._skin, self._skin.tokens
        fill = {"plain": tokens.raised, "warning": tokens.warning, "error": tokens.error_tint}[chip.kind]
        ink = {"plain": tokens.ink, "warning": tokens.on_warning, "error": tokens.ink}[chip.kind]
        edge = {"plain": tokens.ink2, "warning": tokens.on_warning, "error": tokens.error}[chip.kind]
        painter.setPen(QPen(QColor(edge), 2 if chip.kind == "error" else 1))
        painter.setBrush(QColor(fill))
        painter.drawRoundedRect(place.adjusted(0.5, 0.5, -0.5, -0.5), 4, 4)
        left = place.left() + 12
        if chip.kind != "plain":
            size = skin.px(20)
            paint_mark(painter, QRectF(left - 4, place.center().y() - size / 2, size, size), chip.kind, tokens)
            left += size + 4
        room = place.right() - left - 6
        top = Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft
        painter.setFont(skin.font(LABEL))
        painter.setPen(QColor(tokens.ink2 if chip.kind == "plain" else ink))
        painter.drawText(QRectF(left, place.top() + 3, room, skin.px(17)), top, chip.label)
        measure = skin.metrics(BODY - 1, bold=True)
        painter.setFont(skin.font(BODY - 1, bold=True))
        painter.setPen(QColor(ink))
        words = measure.elidedText(chip.text, Qt.TextElideMode.ElideRight, room)
        painter.drawText(QRectF(left, place.top() + skin.px(18), room, skin.px(19)), top, words)
