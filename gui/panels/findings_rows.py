"""How one finding is drawn in the list, its buttons, and the two fields in which it is accepted.

The buttons are painted with the row and hit by geometry; the keys for them are the list's. Sizes in pixels.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from PySide6.QtCore import (
    QAbstractItemModel,
    QEvent,
    QModelIndex,
    QPersistentModelIndex,
    QRect,
    QRectF,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPen
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLineEdit,
    QListView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QVBoxLayout,
    QWidget,
)

from gui.marks import paint_mark
from gui.panels.findings_model import ROW_ROLE, FindingRow, cure_words
from gui.panels.skin import BODY, LABEL, Skin, button, focus_ring

Index = QModelIndex | QPersistentModelIndex
Deed = Literal["cure", "accept", "withdraw"]
PAD, GAP = 10, 8


@dataclass(frozen=True, slots=True)
class RowButton:
    """A painted button: what it does, its words and key."""

    deed: Deed
    text: str
    key: str


def buttons_of(row: FindingRow, current: bool) -> list[RowButton]:
    """The buttons of a row: its cure always, accepting only where one is reading."""
    made: list[RowButton] = []
    if row.finding.cures and not row.finding.accepted:
        made.append(RowButton("cure", cure_words(row.finding.cures[0]), "Alt+Enter"))
    if current and not row.live and row.finding.rule != "rule.failed":
        made.append(
            RowButton("withdraw", "No longer accepted", "F2")
            if row.finding.accepted
            else RowButton("accept", "Accept it", "F2")
        )
    return made


class AcceptForm(QFrame):
    """Reason and name, in the row itself; Enter in the last field accepts, Esc leaves it."""

    given = Signal(str, str)
    left = Signal()

    def __init__(self, parent: QWidget, skin: Skin, signer: str) -> None:
        super().__init__(parent)
        self.setObjectName("acceptForm")
        self.reason, self.by = QLineEdit(), QLineEdit(signer)
        for field, name, example in (
            (self.reason, "Reason", "why it may stay, e.g. measured 0.02 dB"),
            (self.by, "Your name", "who accepts it"),
        ):
            field.setObjectName(f"accept{name.split()[-1].capitalize()}")
            field.setAccessibleName(name)
            field.setPlaceholderText(example)
            field.setMaxLength(400)
            field.setMinimumHeight(skin.target)
            field.textChanged.connect(self._check)
        self.yes = button("Accept it", main=True, name="acceptYes")
        self.no = button("Leave it open", name="acceptNo")
        for made in (self.yes, self.no):
            made.setMinimumHeight(skin.target)
        self.yes.clicked.connect(self._give)
        self.no.clicked.connect(self.left)
        self.reason.returnPressed.connect(self.by.setFocus)
        self.by.returnPressed.connect(self._give)
        row = QHBoxLayout()
        row.setSpacing(GAP)
        row.addWidget(self.yes)
        row.addWidget(self.no)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        column.addWidget(self.reason)
        column.addWidget(self.by)
        column.addLayout(row)
        self.setFocusProxy(self.reason)
        self._check()

    def _check(self) -> None:
        ready = bool(self.reason.text().strip()) and bool(self.by.text().strip())
        self.yes.setEnabled(ready)
        self.yes.setAccessibleDescription("" if ready else "Give a reason and a name first")

    def _give(self) -> None:
        if self.yes.isEnabled():
            self.given.emit(self.reason.text().strip(), self.by.text().strip())
        else:
            (self.reason if not self.reason.text().strip() else self.by).setFocus()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802  # Qt's name
        """Esc leaves the finding as it is."""
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
            return
        super().keyPressEvent(event)


class FindingDelegate(QStyledItemDelegate):
    """Paints a finding: mark, bold title, sentence, badge, buttons."""

    pressed = Signal(QModelIndex, str)

    def __init__(self, view: QListView) -> None:
        super().__init__(view)
        self._view = view
        self.skin = Skin()
        self.form_at: QPersistentModelIndex | None = None
        self.signer = ""
        self.form: AcceptForm | None = None

    @property
    def _left(self) -> int:
        """Where words begin, clear of the mark."""
        return 26 + self.skin.px(22)

    def _width(self) -> int:
        return max(self._view.viewport().width(), 160)

    def _message_height(self, row: FindingRow) -> float:
        room = QRectF(0, 0, self._width() - self._left - 16, 4000)
        flags = int(Qt.TextFlag.TextWordWrap | Qt.AlignmentFlag.AlignLeft)
        return self.skin.metrics(LABEL).boundingRect(room, flags, row.finding.message).height()

    def _title_height(self, row: FindingRow) -> float:
        room = QRectF(0, 0, self._title_width(row), 4000)
        flags = int(Qt.TextFlag.TextWordWrap | Qt.AlignmentFlag.AlignLeft)
        return max(self.skin.metrics(BODY, bold=True).boundingRect(room, flags, row.title).height(), self.skin.px(20))

    def _title_width(self, row: FindingRow) -> float:
        return self._width() - self._left - 16 - (self._badge_width(row) + GAP if self._badge(row) else 0)

    def _badge(self, row: FindingRow) -> str:
        return "live" if row.live else "accepted" if row.finding.accepted else ""

    def _badge_width(self, row: FindingRow) -> float:
        return self.skin.metrics(LABEL, bold=True).horizontalAdvance(self._badge(row)) + 20

    def _is_current(self, index: Index) -> bool:
        return self._view.currentIndex().row() == index.row()

    def _form_open(self, index: Index) -> bool:
        return self.form_at is not None and self.form_at.isValid() and self.form_at.row() == index.row()

    def form_height(self) -> int:
        """Room for the accept form."""
        return self.form.sizeHint().height() if self.form is not None else 3 * self.skin.target + 20

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:  # noqa: N802  # Qt's name
        """As high as its words and buttons need."""
        row: FindingRow = index.data(ROW_ROLE)
        high = PAD + self._title_height(row) + 2 + self._message_height(row) + PAD
        if self._form_open(index):
            high += self.form_height() + GAP
        else:
            high += len(buttons_of(row, self._is_current(index))) * (self.skin.target + GAP)
        return QSize(self._width(), round(max(high, self.skin.row + PAD)))

    def button_rects(self, rect: QRect, index: Index) -> list[tuple[RowButton, QRectF]]:
        """Where the painted buttons of a row are, given the row's rectangle."""
        row: FindingRow = index.data(ROW_ROLE)
        if self._form_open(index):
            return []
        made = buttons_of(row, self._is_current(index))
        top = rect.bottom() + 1 - PAD - len(made) * (self.skin.target + GAP) + GAP
        placed = []
        for entry in made:
            placed.append((entry, QRectF(self._left, top, rect.width() - self._left - 16, self.skin.target)))
            top += self.skin.target + GAP
        return placed

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """Paint the row."""
        row: FindingRow = index.data(ROW_ROLE)
        rect: QRect = option.rect
        state: QStyle.StateFlag = option.state
        tokens, skin = self.skin.tokens, self.skin
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if row.live and row.finding.severity == "error":
            painter.fillRect(rect, QColor(tokens.error_tint))
        if state & QStyle.StateFlag.State_Selected:
            painter.fillRect(rect, QColor(tokens.tint))
            painter.fillRect(QRect(rect.left(), rect.top(), 4, rect.height()), QColor(tokens.accent))
        faded = row.finding.accepted
        size = skin.px(22)
        paint_mark(painter, QRectF(15, rect.top() + PAD - 1, size, size), row.finding.severity, tokens, faded=faded)
        wrap = int(Qt.TextFlag.TextWordWrap | Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)
        top = float(rect.top() + PAD)
        high = self._title_height(row)
        painter.setFont(skin.font(BODY, bold=True))
        painter.setPen(QColor(tokens.ink2 if faded else tokens.ink))
        painter.drawText(QRectF(self._left, top, self._title_width(row), high), wrap, row.title)
        if self._badge(row):
            self._paint_badge(painter, QRectF(rect.right() - 15 - self._badge_width(row), top - 1, 0, 0), row)
        top += high + 2
        painter.setFont(skin.font(LABEL))
        painter.setPen(QColor(tokens.ink2))
        painter.drawText(
            QRectF(self._left, top, rect.width() - self._left - 16, self._message_height(row) + 4),
            wrap,
            row.finding.message,
        )
        for entry, place in self.button_rects(rect, index):
            self._paint_button(painter, place, entry)
        if state & QStyle.StateFlag.State_HasFocus:
            focus_ring(painter, QRectF(rect), tokens)
        painter.restore()

    def _paint_badge(self, painter: QPainter, at: QRectF, row: FindingRow) -> None:
        tokens, text = self.skin.tokens, self._badge(row)
        box = QRectF(at.left(), at.top(), self._badge_width(row), self.skin.px(20))
        painter.setPen(QPen(QColor(tokens.ink), 1))
        painter.setBrush(QColor(tokens.ink) if row.live else Qt.BrushStyle.NoBrush)
        painter.drawRoundedRect(box, box.height() / 2, box.height() / 2)
        painter.setFont(self.skin.font(LABEL, bold=True))
        painter.setPen(QColor(tokens.paper if row.live else tokens.ink2))
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, text)

    def _paint_button(self, painter: QPainter, place: QRectF, entry: RowButton) -> None:
        tokens, skin = self.skin.tokens, self.skin
        painter.setPen(QPen(QColor(tokens.ink2), 1))
        painter.setBrush(QColor(tokens.raised))
        painter.drawRoundedRect(place.adjusted(0.5, 0.5, -0.5, -0.5), 6, 6)
        key_wide = skin.metrics(LABEL, fixed=True).horizontalAdvance(entry.key)
        room = place.width() - key_wide - 36
        if skin.metrics(LABEL + 1).horizontalAdvance(entry.text) > room:
            # The words matter more than the reminder of the key.
            room, key_wide = place.width() - 16, -10
        text = skin.metrics(LABEL + 1).elidedText(entry.text, Qt.TextElideMode.ElideRight, room)
        wide = skin.metrics(LABEL + 1).horizontalAdvance(text)
        left = place.left() + (place.width() - wide - key_wide - 10) / 2
        align = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft
        painter.setFont(skin.font(LABEL + 1))
        painter.setPen(QColor(tokens.ink))
        painter.drawText(QRectF(left, place.top(), wide + 4, place.height()), align, text)
        painter.setFont(skin.font(LABEL, fixed=True))
        painter.setPen(QColor(tokens.ink2))
        if key_wide > 0:
            painter.drawText(QRectF(left + wide + 10, place.top(), key_wide + 4, place.height()), align, entry.key)

    def editorEvent(  # noqa: N802  # Qt's name
        self, event: QEvent, model: QAbstractItemModel, option: QStyleOptionViewItem, index: Index
    ) -> bool:
        """A release on a painted button presses it."""
        if event.type() == QEvent.Type.MouseButtonRelease and isinstance(event, QMouseEvent):
            rect: QRect = option.rect
            for entry, place in self.button_rects(rect, index):
                if place.contains(event.position()):
                    self.pressed.emit(model.index(index.row(), 0), entry.deed)
                    return True
        return False

    def createEditor(  # noqa: N802  # Qt's name
        self, parent: QWidget, option: QStyleOptionViewItem, index: Index
    ) -> QWidget:
        """The accept form."""
        self.form = AcceptForm(parent, self.skin, self.signer)
        return self.form

    def setEditorData(self, editor: QWidget, index: Index) -> None:  # noqa: N802  # Qt's name
        """Nothing to fill in: the reason is the person's."""

    def setModelData(self, editor: QWidget, model: QAbstractItemModel, index: Index) -> None:  # noqa: N802  # Qt's name
        """Nothing to write: accepting is an edit of the plant, not of the list."""

    def updateEditorGeometry(  # noqa: N802  # Qt's name
        self, editor: QWidget, option: QStyleOptionViewItem, index: Index
    ) -> None:
        """The form stands at the foot of the row."""
        rect: QRect = option.rect
        high = self.form_height()
        editor.setGeometry(self._left, rect.bottom() + 1 - PAD - high, rect.width() - self._left - 16, high)

    def eventFilter(self, watched: object, event: QEvent) -> bool:  # noqa: N802  # Qt's name
        """Tab, Enter and Esc belong to the form's own fields."""
        return False
