"""The suspects as a list, ranked: what it is in bold, under it how the reading stands to it or why it is suspected."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QPainter
from PySide6.QtWidgets import QFrame, QListView, QStyle, QStyledItemDelegate, QStyleOptionViewItem

from gui.panels.plain_rows import PlainRows
from gui.panels.skin import BODY, LABEL, TITLE, Skin, focus_ring
from gui.theme import DAY, Tokens
from gui.views.trace_answer import SuspectRow

ROW = Qt.ItemDataRole.UserRole
WORDS = int(Qt.AlignmentFlag.AlignLeft) | int(Qt.AlignmentFlag.AlignTop) | int(Qt.TextFlag.TextWordWrap)


class _Delegate(QStyledItemDelegate):
    def __init__(self, view: SuspectList) -> None:
        super().__init__(view)
        self.view = view

    def _boxes(self, rect: QRectF, row: SuspectRow) -> tuple[QRectF, QRectF]:
        """Boxes of the two texts, as high as their words need."""
        px = self.view.skin.px
        left, wide = rect.x() + px(40), max(rect.width() - px(52), 40.0)
        title = self.view.skin.metrics(BODY, bold=True).boundingRect(QRectF(0, 0, wide, 4000), WORDS, row.title)
        second = self.view.skin.metrics(LABEL).boundingRect(QRectF(0, 0, wide, 4000), WORDS, row.second)
        top = rect.y() + px(6)
        return QRectF(left, top, wide, title.height()), QRectF(left, top + title.height() + 2, wide, second.height())

    def sizeHint(  # noqa: N802  # Qt's name
        self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> QSize:
        """As high as the words."""
        rect = QRectF(0, 0, self.view.viewport().width(), 10)
        low = self._boxes(rect, index.data(ROW))[1].bottom()
        return QSize(40, round(max(low + self.view.skin.px(6), self.view.skin.px(44))))

    def paint(
        self, painter: QPainter, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        """Paint a suspect."""
        row: SuspectRow = index.data(ROW)
        skin, tokens, px = self.view.skin, self.view.skin.tokens, self.view.skin.px
        rect = QRectF(option.rect)
        chosen = bool(option.state & QStyle.StateFlag.State_Selected)
        painter.save()
        painter.fillRect(rect, QColor(tokens.tint if chosen else tokens.panel))
        if chosen:
            painter.fillRect(QRectF(rect.x(), rect.y(), 4, rect.height()), QColor(tokens.accent))
        title, second = self._boxes(rect, row)
        painter.setPen(QColor(tokens.suspect))
        painter.setFont(skin.font(TITLE, bold=True))
        painter.drawText(
            QRectF(rect.x() + px(14), title.y() - 2, px(22), px(24)), Qt.AlignmentFlag.AlignLeft, str(row.rank)
        )
        painter.setPen(QColor(tokens.ink))
        painter.setFont(skin.font(BODY, bold=True))
        painter.drawText(title, WORDS, row.title)
        painter.setFont(skin.font(LABEL))
        painter.setPen(QColor(tokens.ink if chosen else tokens.ink2))
        painter.drawText(second, WORDS, row.second)
        if index == self.view.currentIndex() and self.view.hasFocus():
            focus_ring(painter, rect, tokens)
        painter.restore()


class SuspectList(QListView):
    """The list; ``chosen`` carries the suspect chosen by hand."""

    chosen = Signal(object)

    def __init__(self) -> None:
        super().__init__()
        self.setObjectName("suspects")
        self.setAccessibleName("Suspects")
        self.setFrameShape(QFrame.Shape.NoFrame)
        for policy in (self.setHorizontalScrollBarPolicy, self.setVerticalScrollBarPolicy):
            policy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.skin = Skin()
        self.suspects: PlainRows[SuspectRow] = PlainRows()
        self.setModel(self.suspects)
        self.setItemDelegate(_Delegate(self))
        self._filling = False
        self.selectionModel().currentChanged.connect(self._current)

    @property
    def rows(self) -> tuple[SuspectRow, ...]:
        """The suspects shown."""
        return self.suspects.rows

    @property
    def in_hand(self) -> SuspectRow | None:
        """The suspect chosen, else the first."""
        number = self.currentIndex().row()
        return self.rows[number] if 0 <= number < len(self.rows) else self.rows[0] if self.rows else None

    def show_rows(self, rows: Sequence[SuspectRow]) -> None:
        """Show the suspects; the one chosen stays so while it is one."""
        if tuple(rows) == self.rows:
            return
        held = self.in_hand.keys if self.in_hand is not None and self.currentIndex().isValid() else None
        self._filling = True
        self.suspects.show_rows(rows)
        for number, row in enumerate(self.rows):
            if row.keys == held:
                self.setCurrentIndex(self.suspects.index(number))
        self._filling = False
        self.fit()

    def fit(self) -> None:
        """As high as its rows: the column scrolls as a whole."""
        high = sum(self.sizeHintForRow(n) for n in range(len(self.rows)))
        self.setFixedHeight(max(high, 1))

    def _current(self, now: QModelIndex, before: QModelIndex) -> None:
        self.viewport().update()
        if now.isValid() and not self._filling:
            self.chosen.emit(self.rows[now.row()])

    def set_tokens(self, tokens: Tokens = DAY, large: bool = False) -> None:
        """Take colours and size."""
        self.skin = Skin(tokens, large)
        self.scheduleDelayedItemsLayout()
        self.fit()
        self.viewport().update()
