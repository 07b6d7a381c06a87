"""The tree of parts for Qt: a model over plain nodes, a filter that keeps what leads to a match, and the painting.

The model is read-only; a new tree replaces the old one whole. Roles: ``NODE_ROLE`` gives the node itself.
"""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import QAbstractItemModel, QModelIndex, QObject, QPersistentModelIndex, QRect, QRectF, QSize, Qt
from PySide6.QtCore import QSortFilterProxyModel as FilterModel
from PySide6.QtGui import QColor, QPainter
from PySide6.QtWidgets import QStyle, QStyledItemDelegate, QStyleOptionViewItem

from gui.marks import WORDS, paint_bar, paint_mark, paint_swatch
from gui.panels.part_nodes import Node
from gui.panels.skin import BODY, LABEL, Skin, focus_ring

Index = QModelIndex | QPersistentModelIndex
NODE_ROLE = Qt.ItemDataRole.UserRole + 1
NOWHERE = QModelIndex()


class PartsModel(QAbstractItemModel):
    """Nodes as a tree of one column."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.root = Node("")

    def show_tree(self, root: Node) -> None:
        """Show another tree."""
        self.beginResetModel()
        self.root = root
        self.endResetModel()

    def node(self, index: Index) -> Node:
        """The node of an index; the root for none."""
        found = index.internalPointer() if index.isValid() else None
        return found if isinstance(found, Node) else self.root

    def index(self, row: int, column: int, parent: Index = NOWHERE) -> QModelIndex:
        """The index of a child."""
        children = self.node(parent).children
        return self.createIndex(row, column, children[row]) if 0 <= row < len(children) else QModelIndex()

    def parent(self, index: Index = NOWHERE) -> QModelIndex:  # type: ignore[override]  # the stubs list an overload
        """The index of the node above."""
        above = self.node(index).parent
        return QModelIndex() if above is None or above is self.root else self.createIndex(above.row, 0, above)

    def rowCount(self, parent: Index = NOWHERE) -> int:  # noqa: N802  # Qt's name
        """Number of children."""
        return len(self.node(parent).children)

    def columnCount(self, parent: Index = NOWHERE) -> int:  # noqa: N802  # Qt's name
        """One."""
        return 1

    def flags(self, index: Index) -> Qt.ItemFlag:
        """Headings are read, not picked."""
        if not index.isValid():
            return Qt.ItemFlag.NoItemFlags
        return (
            Qt.ItemFlag.ItemIsEnabled
            if self.node(index).heading
            else Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable
        )

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """Text, the node, or its words."""
        if not index.isValid():
            return None
        node = self.node(index)
        if role == NODE_ROLE:
            return node
        if role == Qt.ItemDataRole.DisplayRole:
            return f"{node.text} {node.second}".strip()
        if role in (Qt.ItemDataRole.AccessibleTextRole, Qt.ItemDataRole.ToolTipRole):
            return node.words() + (f", {WORDS[node.mark]}" if node.mark else "")
        return None

    def find(self, ref: str) -> QModelIndex:
        """Where a ref stands in the tree; an invalid index when it does not."""
        stack = [self.root]
        while stack:
            node = stack.pop()
            if node.ref == ref and node is not self.root:
                return self.createIndex(node.row, 0, node)
            stack += node.children
        return QModelIndex()


class PartsFilter(FilterModel):
    """Keeps nodes whose text holds every word typed, with what leads to them and what hangs under them."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._words: list[str] = []
        self.setRecursiveFilteringEnabled(True)
        self.setAutoAcceptChildRows(True)

    def look_for(self, text: str) -> None:
        """Take other words."""
        self.beginFilterChange()
        self._words = text.casefold().split()
        self.endFilterChange(FilterModel.Direction.Rows)

    def filterAcceptsRow(self, row: int, parent: Index) -> bool:  # noqa: N802  # Qt's name
        """Whether one row matches by itself."""
        if not self._words:
            return True
        node = self.sourceModel().index(row, 0, parent).data(NODE_ROLE)
        if node is None or node.heading:
            return False
        text = f"{node.text} {node.second} {node.spoken}".casefold()
        return all(word in text for word in self._words)


class PartDelegate(QStyledItemDelegate):
    """Paints a part: swatch, name, bar, words at the right, mark."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.skin = Skin()

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:  # noqa: N802  # Qt's name
        """A row a finger can hit in Large."""
        node: Node = index.data(NODE_ROLE)
        return QSize(120, self.skin.row + (6 if node.heading and node.row else 0))

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """Paint the row over the whole width of the view."""
        node: Node = index.data(NODE_ROLE)
        rect: QRect = option.rect
        state: QStyle.StateFlag = option.state
        skin, tokens = self.skin, self.skin.tokens
        selected = bool(state & QStyle.StateFlag.State_Selected)
        painter.save()
        if selected:
            painter.fillRect(QRect(0, rect.top(), rect.right() + 1, rect.height()), QColor(tokens.tint))
            painter.fillRect(QRect(0, rect.top(), 4, rect.height()), QColor(tokens.accent))
        middle = rect.center().y() + 0.5 + (3 if node.heading and node.row else 0)
        left, right = float(rect.left()) + 2, float(rect.right()) - 14
        bold = selected or node.heading
        if node.swatch is not None:
            size = skin.px(14)
            place = QRectF(left, middle - size / 2, size, size)
            paint_swatch(
                painter, place, node.swatch.fill, tokens, marks=node.swatch.marks, mark_colour=node.swatch.mark_colour
            )
            left += size + 5
        if node.mark is not None:
            size = skin.px(18)
            paint_mark(painter, QRectF(right - size, middle - size / 2, size, size), node.mark, tokens)
            right -= size + 6
        align = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft
        size_px = LABEL if node.heading else BODY
        fixed = node.swatch is not None and node.bar is not None
        measure = skin.metrics(size_px, bold=bold, fixed=fixed)
        second_bold = selected and node.bar is not None
        second = skin.metrics(LABEL, bold=second_bold)
        # The words at the right are short and say the state: the name gives way to them, up to half the row.
        kept = min(second.horizontalAdvance(node.second) + 10, (right - left) / 2) if node.second else 0.0
        wide = min(measure.horizontalAdvance(node.text), right - left - kept)
        painter.setFont(skin.font(size_px, bold=bold, fixed=fixed))
        painter.setPen(QColor(tokens.ink2 if node.heading else tokens.ink))
        down = 3 if node.heading and node.row else 0
        text = measure.elidedText(node.text, Qt.TextElideMode.ElideRight, wide + 1)
        painter.drawText(QRectF(left, rect.top() + down, wide + 2, rect.height()), align, text)
        left += wide + 8
        if node.bar is not None and right - left > skin.px(40):
            high, long = skin.px(8), skin.px(32)
            ground = tokens.tint if selected else tokens.panel
            paint_bar(painter, QRectF(left, middle - high / 2, long, high), node.bar, tokens, ground=ground)
            left += long + 8
        if node.second and right - left > 24:
            painter.setFont(skin.font(LABEL, bold=second_bold))
            painter.setPen(QColor(tokens.ink if selected else tokens.ink2))
            words = second.elidedText(node.second, Qt.TextElideMode.ElideRight, right - left)
            painter.drawText(
                QRectF(left, rect.top(), right - left, rect.height()),
                Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight,
                words,
            )
        if state & QStyle.StateFlag.State_HasFocus:
            focus_ring(painter, QRectF(0, rect.top(), rect.right() + 1, rect.height()), tokens)
        painter.restore()
