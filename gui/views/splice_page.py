"""The Splices view with its three forms: bundled ranges, every fibre opened, and rows; a switch and the counts on top.

The counts are the same in every form, for all three are made from one table.
"""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QStackedWidget, QVBoxLayout, QWidget

from gui.canvas.view import CanvasView
from gui.panels.joint_rows import JointRow, count_of
from gui.panels.row_table import ROOMY, RowTable
from gui.panels.skin import Skin, Words
from gui.panels.switch import Switch
from gui.theme import DAY, Tokens

FORMS = ("bundled", "opened", "rows")


class SplicePage(QWidget):
    """The picture or the table, with the switch over it; ``form_asked`` carries the form that was pressed."""

    form_asked = Signal(str)

    def __init__(self, view: CanvasView) -> None:
        super().__init__()
        self.view = view
        self.table = RowTable()
        self.form = "bundled"
        self.setObjectName("splicePage")
        ways = {form: (form.title(), f"show {form}", f"Show joints {form}") for form in FORMS}
        self.switch = Switch(ways, self.form, self.form_asked.emit)
        self.counts = Words("", elide=True)
        self.counts.setObjectName("spliceCounts")
        self.switch.addWidget(self.counts)
        self.below = Words("", tone="ink2")
        self.below.setObjectName("spliceCountsBelow")
        self.below.setWordWrap(True)
        self.below.setContentsMargins(12, 0, 12, 6)
        self.below.hide()
        self.skin = Skin()
        self.stack = QStackedWidget()
        self.stack.addWidget(view)
        self.stack.addWidget(self.table)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addLayout(self.switch)
        column.addWidget(self.below)
        column.addWidget(self.stack, 1)

    @property
    def front(self) -> QWidget:
        """What is shown: the picture or the table."""
        return self.table if self.form == "rows" else self.view

    def set_form(self, form: str) -> None:
        """Show another form; the focus goes along when it was in the one before."""
        held = self.front.hasFocus()
        self.form = form if form in FORMS else "bundled"
        self.switch.choose(self.form)
        self.stack.setCurrentWidget(self.front)
        if held:
            self.front.setFocus()

    def show_rows(self, rows: list[JointRow], pick: tuple[str, ...]) -> None:
        """Show what a site holds."""
        self.table.show_rows(rows, pick)
        for label in (self.counts, self.below):
            label.setText(count_of(rows).words)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802  # Qt's name
        """Where the switch leaves no room beside it, the counts stand under it."""
        super().resizeEvent(event)
        narrow = self.width() < self.skin.px(ROOMY)
        self.counts.setVisible(not narrow)
        self.below.setVisible(narrow)

    def set_tokens(self, tokens: Tokens = DAY, large: bool = False) -> None:
        """Take colours and size."""
        skin = self.skin = Skin(tokens, large)
        self.switch.set_skin(skin)
        self.below.set_skin(skin)
        self.counts.set_skin(skin)
        self.table.set_tokens(tokens, large)
