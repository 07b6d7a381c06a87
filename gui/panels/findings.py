"""The findings of a place: a list to read, go to, cure and accept, with an empty state that says what was checked.

It follows a document by ``changed`` and ``opened`` and makes no edit itself: what is asked for goes out as signals.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRectF, Qt, QTime, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QResizeEvent
from PySide6.QtWidgets import QAbstractItemView, QHBoxLayout, QListView, QStackedWidget, QVBoxLayout, QWidget

from gui.marks import paint_mark
from gui.panels.finding_titles import FAULTS
from gui.panels.findings_model import ROW_ROLE, FindingRow, FindingsModel
from gui.panels.findings_rows import FindingDelegate
from gui.panels.following import Follows, Source
from gui.panels.skin import BODY, LABEL, TITLE, Painted, Skin, Words
from gui.theme import DAY, Tokens
from model.rules.registry import Finding


class FindingsList(QListView):
    """The list itself: Enter goes there, Alt+Enter cures, F2 accepts."""

    deed = Signal(QModelIndex, str)

    def __init__(self) -> None:
        super().__init__()
        self.setObjectName("findingsList")
        self.setAccessibleName("Findings")
        self.setResizeMode(QListView.ResizeMode.Adjust)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setMouseTracking(True)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802  # Qt's name
        """Keys of the list."""
        index = self.currentIndex()
        enter = event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
        if index.isValid() and enter:
            alt = bool(event.modifiers() & Qt.KeyboardModifier.AltModifier)
            self.deed.emit(index, "cure" if alt else "go")
        elif index.isValid() and event.key() == Qt.Key.Key_F2:
            self.deed.emit(index, "accept")
        else:
            super().keyPressEvent(event)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:  # noqa: N802  # Qt's name
        """A double click goes there, as a click does: no second meaning."""
        self.mousePressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802  # Qt's name
        """Words wrap anew."""
        super().resizeEvent(event)
        self.scheduleDelayedItemsLayout()


class FindingsPanel(QWidget, Follows):
    """Findings beside the canvas.

    ``goto`` a finding; ``cure_asked`` with a finding and the number of its cure; ``accept_asked`` with reason and name;
    ``withdrawn`` when a finding shall no longer be accepted.
    """

    goto = Signal(object)
    cure_asked = Signal(object, int)
    accept_asked = Signal(object, str, str)
    withdrawn = Signal(object)

    def __init__(self, titles: Mapping[str, str] = FAULTS, checks: int = 0, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._skin = Skin()
        self._live: tuple[Finding, ...] = ()
        self.checks = checks
        self._last: tuple[str, str, tuple[str, ...]] | None = None
        self.goto.connect(self._went)
        self.setObjectName("findings")
        self.setAccessibleName("Findings")
        self.model = FindingsModel(titles, self)
        self.list = FindingsList()
        self.list.setModel(self.model)
        self.delegate = FindingDelegate(self.list)
        self.list.setItemDelegate(self.delegate)
        self.list.deed.connect(self._do)
        self.list.clicked.connect(self._clicked)
        self.delegate.pressed.connect(self._pressed)
        self.list.selectionModel().currentChanged.connect(self._current_changed)
        self.head, self.count = Words("Findings", TITLE, bold=True), Words("", LABEL, tone="ink2")
        self._empty_mark = Painted(28, 28, lambda p, r, s: paint_mark(p, r, "fine", s.tokens))
        self.empty = Words("", BODY)
        self.empty.setWordWrap(True)
        self._stack = QStackedWidget()
        self._stack.addWidget(self.list)
        self._stack.addWidget(self._empty_page())
        top = QHBoxLayout()
        top.setContentsMargins(16, 10, 16, 8)
        top.addWidget(self.head)
        top.addStretch(1)
        top.addWidget(self.count)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addLayout(top)
        column.addWidget(self._stack, 1)
        self.setFocusProxy(self.list)
        self._checked_at = ""
        self.refresh()

    def _empty_page(self) -> QWidget:
        page = QWidget()
        row = QHBoxLayout()
        row.setContentsMargins(16, 8, 16, 8)
        row.setSpacing(12)
        row.addWidget(self._empty_mark, 0, Qt.AlignmentFlag.AlignTop)
        row.addWidget(self.empty, 1)
        column = QVBoxLayout(page)
        column.setContentsMargins(0, 0, 0, 0)
        column.addLayout(row)
        column.addStretch(1)
        return page

    def set_tokens(self, tokens: Tokens = DAY, large: bool = False) -> None:
        """Take colours and size."""
        self._skin = self.delegate.skin = Skin(tokens, large)
        for words in (self.head, self.count, self.empty):
            words.set_skin(self._skin)
        self._empty_mark.set_skin(self._skin)
        self.list.scheduleDelayedItemsLayout()
        self.list.viewport().update()

    def set_signer(self, name: str) -> None:
        """The name filled in when something is accepted."""
        self.delegate.signer = name

    # -- what is shown -------------------------------------------------------------------------------------------

    def follow(self, document: Source) -> None:
        """Show the findings of a document from now on."""
        self._follow(document)

    def set_place(self, site: str | None) -> None:
        """Show one site's findings, or the whole plant's."""
        self._site = site
        self.refresh()

    def show_live(self, findings: Iterable[Finding] | None) -> None:
        """While a drag runs, the findings it makes; None when it has ended."""
        self._live = tuple(findings) if findings is not None else ()
        self.refresh()

    def refresh(self) -> None:
        """Take the document's findings; the current one stays current while it exists."""
        document = self._document
        everything = document.findings if document is not None else ()
        shown = [f for f in everything if self._site is None or f.site == self._site]
        row = self.current()
        kept = row.key if row is not None else None
        at = self.list.currentIndex().row()
        before = [entry.key for entry in self.model.rows]
        self.model.show_findings(shown, self._live)
        if before != [entry.key for entry in self.model.rows]:
            self._forget_form()
            again = self.model.row_of(kept) if kept is not None else -1
            if again < 0 and at >= 0:
                again = min(at, len(self.model.rows) - 1)
            if again >= 0:
                self.list.setCurrentIndex(self.model.index(again))
        self.list.scheduleDelayedItemsLayout()
        self._checked_at = QTime.currentTime().toString("HH:mm")
        accepted = sum(finding.accepted for finding in shown)
        where = "this place" if self._site is not None else "whole plant"
        self.count.setText(f"{len(shown) - accepted} of {len(everything)}, {where} \u00b7 F8")
        lines = [f"Nothing found by {self.checks} checks, {self._checked_at}" if self.checks else "Nothing found"]
        if self._site is not None and everything:
            lines.append(f"{len(everything)} elsewhere in the plant.")
        self.empty.setText("\n".join(lines))
        self._stack.setCurrentIndex(0 if self.model.rows else 1)
        self.setAccessibleDescription(self.count.text() if self.model.rows else lines[0])

    def current(self) -> FindingRow | None:
        """The row being read."""
        index = self.list.currentIndex()
        found: FindingRow | None = index.data(ROW_ROLE) if index.isValid() else None
        return found

    def step(self, by: int = 1) -> Finding | None:
        """Go to the next (or previous) finding nobody has accepted, round the list; None when there is none."""
        rows = [number for number, row in enumerate(self.model.rows) if not row.finding.accepted]
        if not rows:
            return None
        at = self.list.currentIndex().row()
        row = self.current()
        if by > 0 and row is not None and row.key != self._last:
            # The list makes its first row current when it gets focus; nobody has been there yet.
            at -= 1
        if by > 0:
            number = next((row for row in rows if row > at), rows[0])
        else:
            number = next((row for row in reversed(rows) if row < at), rows[-1])
        self.list.setCurrentIndex(self.model.index(number))
        self.list.scrollTo(self.model.index(number))
        found = self.model.rows[number].finding
        self.goto.emit(found)
        return found

    def at_end(self, by: int) -> bool:
        """True when a step that way would begin the list again: nothing further is left here."""
        rows = [number for number, row in enumerate(self.model.rows) if not row.finding.accepted]
        row = self.current()
        if row is None or row.key != self._last:
            return not rows
        at = self.list.currentIndex().row()
        return not any(number > at if by > 0 else number < at for number in rows)

    def start_anew(self) -> None:
        """Nobody has been at any of these yet."""
        self._last = None
        self.list.setCurrentIndex(QModelIndex())

    def show_finding(self, number: int) -> Finding | None:
        """Go to a finding by its place in the list, from 1."""
        if not 1 <= number <= len(self.model.rows):
            return None
        self.list.setCurrentIndex(self.model.index(number - 1))
        found = self.model.rows[number - 1].finding
        self.goto.emit(found)
        return found

    def cure(self) -> bool:
        """Ask for the first cure of the current finding, or of a live one; False when it has none."""
        row = self.current()
        if row is None or not row.finding.cures:
            row = next((row for row in self.model.rows if row.live and row.finding.cures), None)
        if row is None or row.finding.accepted:
            return False
        self.cure_asked.emit(row.finding, 0)
        return True

    # -- hands ---------------------------------------------------------------------------------------------------

    def _went(self, finding: Finding) -> None:
        self._last = finding.site, finding.rule, finding.refs

    def _clicked(self, index: QModelIndex) -> None:
        row: FindingRow = index.data(ROW_ROLE)
        self.goto.emit(row.finding)

    def _pressed(self, index: QModelIndex, deed: str) -> None:
        self._do(index, deed)

    def _do(self, index: QModelIndex, deed: str) -> None:
        row: FindingRow = index.data(ROW_ROLE)
        if deed == "go":
            self.goto.emit(row.finding)
        elif deed == "cure":
            if row.finding.cures and not row.finding.accepted:
                self.cure_asked.emit(row.finding, 0)
        elif row.finding.accepted:
            self.withdrawn.emit(row.finding)
        elif not row.live:
            self._open_form(index)

    def _open_form(self, index: QModelIndex) -> None:
        self._close_form()
        self.list.setCurrentIndex(index)
        self.delegate.form_at = QPersistentModelIndex(index)
        self.list.openPersistentEditor(index)
        form = self.delegate.form
        if form is None:
            return
        form.given.connect(self._given)
        form.left.connect(self._leave_form)
        self.list.doItemsLayout()
        self.list.scrollTo(index)
        form.reason.setFocus()

    def _forget_form(self) -> None:
        self.delegate.form_at = None
        self.delegate.form = None

    def _close_form(self) -> None:
        at = self.delegate.form_at
        if at is not None and at.isValid():
            self.list.closePersistentEditor(self.model.index(at.row()))
        self._forget_form()
        self.list.scheduleDelayedItemsLayout()

    def _leave_form(self) -> None:
        self._close_form()
        self.list.setFocus()

    def _given(self, reason: str, by: str) -> None:
        row = self.current()
        self.delegate.signer = by
        self._leave_form()
        if row is not None:
            self.accept_asked.emit(row.finding, reason, by)

    def _current_changed(self, current: QModelIndex, previous: QModelIndex) -> None:
        at = self.delegate.form_at
        if at is not None and at.isValid() and at.row() != current.row():
            self._close_form()
        self.list.scheduleDelayedItemsLayout()
        row: FindingRow | None = current.data(ROW_ROLE) if current.isValid() else None
        if row is not None:
            self.list.setAccessibleDescription(str(current.data(Qt.ItemDataRole.AccessibleTextRole)))

    def row_rect(self, number: int) -> QRectF:
        """Where a row is in the list's viewport."""
        return QRectF(self.list.visualRect(self.model.index(number)))
