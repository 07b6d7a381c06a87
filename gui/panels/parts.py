"""Parts of the place: a tree to pick from, with a field that narrows it.

Picking goes out as refs and comes back through ``show_pick``, which never sends it out again. What is open stays open
from one step to the next. Keys are the tree's own: arrows, Space, and letters find.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from PySide6.QtCore import QItemSelection, QItemSelectionModel, QModelIndex, QPoint, QRect, Qt, Signal
from PySide6.QtGui import QColor, QContextMenuEvent, QKeyEvent, QPainter, QPen
from PySide6.QtWidgets import QAbstractItemView, QHBoxLayout, QLineEdit, QTreeView, QVBoxLayout, QWidget

from gui.panels.following import Follows, Source
from gui.panels.part_nodes import Node, part_tree
from gui.panels.parts_model import NODE_ROLE, PartDelegate, PartsFilter, PartsModel
from gui.panels.skin import LABEL, TITLE, Skin, Words
from gui.theme import DAY, Tokens
from model.lookup import enclosure_at, enclosure_type


class FindField(QLineEdit):
    """The field above the tree: Enter and Down go on to what was found."""

    onward = Signal()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802  # Qt's name
        """Keys of the field."""
        if event.key() in (Qt.Key.Key_Down, Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.onward.emit()
            return
        super().keyPressEvent(event)


class PartsTree(QTreeView):
    """The tree itself."""

    asked_here = Signal(str, QPoint)
    opened_node = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self.skin = Skin()
        self.setObjectName("partsTree")
        self.setAccessibleName("Parts")
        self.setHeaderHidden(True)
        self.setIndentation(14)
        self.setExpandsOnDoubleClick(False)
        self.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setUniformRowHeights(False)

    def drawBranches(self, painter: QPainter, rect: QRect, index: QModelIndex) -> None:  # type: ignore[override]  # noqa: N802  # Qt's name
        """A small chevron where there is more below; nothing at headings, which are always open."""
        node: Node | None = index.data(NODE_ROLE)
        if node is None or node.heading or not self.model().hasChildren(index):
            return
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(QColor(self.skin.tokens.ink2), 1.6))
        x, y, size = rect.right() - 5.0, rect.center().y() + 0.5, 3.5
        if self.isExpanded(index):
            painter.drawPolyline(
                [
                    QPoint(round(x - size), round(y - 2)),
                    QPoint(round(x), round(y + 2)),
                    QPoint(round(x + size), round(y - 2)),
                ]
            )
        else:
            painter.drawPolyline(
                [
                    QPoint(round(x - 2), round(y - size)),
                    QPoint(round(x + 2), round(y)),
                    QPoint(round(x - 2), round(y + size)),
                ]
            )
        painter.restore()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802  # Qt's name
        """Enter opens what is current."""
        node: Node | None = self.currentIndex().data(NODE_ROLE)
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and node is not None and node.ref:
            self.opened_node.emit(node.ref)
            return
        super().keyPressEvent(event)

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:  # noqa: N802  # Qt's name
        """Ask for what can be done with the thing under the pointer."""
        node: Node | None = self.indexAt(event.pos()).data(NODE_ROLE)
        if node is not None and node.ref:
            self.asked_here.emit(node.ref, event.globalPos())


class PartsPanel(QWidget, Follows):
    """Parts beside the canvas. ``picked`` carries all picked refs; ``opened_part`` one that was double-clicked."""

    picked = Signal(list)
    opened_part = Signal(str)
    asked_here = Signal(str, QPoint)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._skin = Skin()
        self._closed: set[str] = set()
        self._hearing = True
        self._pick: tuple[str, ...] = ()
        self.setObjectName("parts")
        self.setAccessibleName("Parts")
        self.model = PartsModel(self)
        self.filter = PartsFilter(self)
        self.filter.setSourceModel(self.model)
        self.tree = PartsTree()
        self.tree.setModel(self.filter)
        self.delegate = PartDelegate(self.tree)
        self.tree.setItemDelegate(self.delegate)
        self.tree.selectionModel().selectionChanged.connect(self._selected)
        self.tree.collapsed.connect(lambda index: self._note_open(index, False))
        self.tree.expanded.connect(lambda index: self._note_open(index, True))
        self.tree.opened_node.connect(self.opened_part)
        self.tree.asked_here.connect(self.asked_here)
        self.tree.doubleClicked.connect(self._double)
        self.field = FindField()
        self.field.setObjectName("partsFind")
        self.field.setAccessibleName("Find in this list")
        self.field.setPlaceholderText("Find in this list   Ctrl+F")
        self.field.setClearButtonEnabled(True)
        self.field.setMaxLength(200)
        self.field.textChanged.connect(self._filtered)
        self.field.onward.connect(self._to_first_found)
        self.head, self.about = Words("Parts", TITLE, bold=True), Words("", LABEL, tone="ink2", elide=True)
        self.about.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        top = QHBoxLayout()
        top.addWidget(self.head)
        top.addWidget(self.about, 1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        inset = QVBoxLayout()
        inset.setContentsMargins(16, 10, 14, 4)
        inset.setSpacing(8)
        inset.addLayout(top)
        inset.addWidget(self.field)
        column.addLayout(inset)
        self.empty = Words("", LABEL, tone="ink2")
        self.empty.setWordWrap(True)
        self.empty.setContentsMargins(16, 0, 16, 0)
        column.addWidget(self.empty)
        column.addWidget(self.tree, 1)
        self.setFocusProxy(self.tree)

    def set_tokens(self, tokens: Tokens = DAY, large: bool = False) -> None:
        """Take colours and size."""
        self._skin = self.delegate.skin = self.tree.skin = Skin(tokens, large)
        self.field.setMinimumHeight(self._skin.target)
        for words in (self.head, self.about, self.empty):
            words.set_skin(self._skin)
        self.tree.scheduleDelayedItemsLayout()
        self.tree.viewport().update()

    def follow(self, document: Source) -> None:
        """Show the parts of a document from now on."""
        self._follow(document)

    def set_place(self, site: str | None) -> None:
        """Show one site's parts, or the whole plant's."""
        if site != self._site:
            self._closed.clear()
        self._site = site
        self.refresh()

    def refresh(self) -> None:
        """Build the tree anew; what was open or picked stays so while it exists."""
        if self._document is None:
            return
        kept = self._pick
        self._hearing = False
        self.model.show_tree(part_tree(self._document, self._site))
        self._open_all()
        self._hearing = True
        self.show_pick(kept)
        self._say_place()

    def _say_place(self) -> None:
        if self._document is None:
            return
        plant = self._document.plant
        site = plant.sites.get(self._site) if self._site else None
        if site is None:
            self.about.setText(f"{len(plant.sites)} sites, {len(plant.cables)} cables")
        else:
            enclosure = enclosure_at(plant, site.id)
            kind = enclosure_type(plant, enclosure).title.partition(",")[0].lower() if enclosure else site.kind
            self.about.setText(f"{site.name}, {kind}")
        if not self.model.root.children:
            self.empty.setText("No cable stops here yet. Say: add cable NAME TYPE from SITE to SITE")
        elif not self.filter.rowCount():
            self.empty.setText(f"Nothing here holds \u201c{self.field.text().strip()[:40]}\u201d")
        else:
            self.empty.setText("")
        self.empty.setVisible(bool(self.empty.text()))
        self.setAccessibleDescription(self.about.text())

    # -- open and closed -----------------------------------------------------------------------------------------

    @staticmethod
    def _name(node: Node) -> str:
        return node.ref or f"{node.parent.text if node.parent else ''}/{node.text}"

    def _note_open(self, index: QModelIndex, is_open: bool) -> None:
        node: Node | None = index.data(NODE_ROLE)
        if node is None or not self._hearing:
            return
        if node.heading and not is_open:
            self.tree.expand(index)
            return
        key = self._name(node)
        # Long lists start closed; everything else starts open. What a hand changes is remembered against that.
        starts_open = self._starts_open(node)
        if is_open == starts_open:
            self._closed.discard(key)
        else:
            self._closed.add(key)

    @staticmethod
    def _starts_open(node: Node) -> bool:
        if node.heading:
            return True
        return node.ref.startswith("cable:") and len(node.children) <= 12

    def _open_all(self) -> None:
        searching = bool(self.field.text().strip())
        stack = [QModelIndex()]
        while stack:
            index = stack.pop()
            for row in range(self.filter.rowCount(index)):
                child = self.filter.index(row, 0, index)
                node: Node | None = child.data(NODE_ROLE)
                if node is None or not node.children:
                    continue
                is_open = self._starts_open(node) != (self._name(node) in self._closed)
                self.tree.setExpanded(child, is_open or searching)
                stack.append(child)

    def _filtered(self, text: str) -> None:
        self._hearing = False
        self.filter.look_for(text)
        self._open_all()
        self._hearing = True
        self.show_pick(self._pick)
        self._say_place()

    # -- picking -------------------------------------------------------------------------------------------------

    def _selected(self, selected: QItemSelection, deselected: QItemSelection) -> None:
        if not self._hearing:
            return
        refs = []
        for index in self.tree.selectionModel().selectedIndexes():
            node: Node | None = index.data(NODE_ROLE)
            if node is not None and node.ref:
                refs.append(node.ref)
            elif node is not None:
                refs += [child.ref for child in node.children if child.ref]
        self._pick = tuple(dict.fromkeys(refs))
        self.picked.emit(list(self._pick))

    def _to_first_found(self) -> None:
        """Pick the first part that holds the words typed, and give the tree the keys."""
        waiting = [self.filter.index(row, 0) for row in reversed(range(self.filter.rowCount()))]
        while waiting:
            index = waiting.pop()
            node: Node = index.data(NODE_ROLE)
            source = self.filter.mapToSource(index)
            if node.ref and self.filter.filterAcceptsRow(source.row(), source.parent()):
                self.tree.setFocus()
                self.tree.setCurrentIndex(index)
                return
            waiting += [self.filter.index(row, 0, index) for row in reversed(range(self.filter.rowCount(index)))]

    def _double(self, index: QModelIndex) -> None:
        node: Node | None = index.data(NODE_ROLE)
        if node is not None and node.ref:
            self.opened_part.emit(node.ref)

    def show_pick(self, refs: Iterable[str]) -> None:
        """Show what was picked elsewhere; a thing not listed here is left out. Sends nothing out."""
        self._pick = tuple(refs)
        indexes = [self._index(ref) for ref in self._pick]
        self._hearing = False
        chosen = self.tree.selectionModel()
        chosen.clearSelection()
        shown: Sequence[QModelIndex] = [index for index in indexes if index.isValid()]
        for index in shown:
            chosen.select(index, QItemSelectionModel.SelectionFlag.Select)
        if shown:
            chosen.setCurrentIndex(shown[0], QItemSelectionModel.SelectionFlag.NoUpdate)
            above = shown[0].parent()
            while above.isValid():
                self.tree.expand(above)
                above = above.parent()
            self.tree.scrollTo(shown[0])
        self._hearing = True

    def _index(self, ref: str) -> QModelIndex:
        found = self.model.find(ref)
        return self.filter.mapFromSource(found) if found.isValid() else QModelIndex()
