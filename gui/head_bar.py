"""The rows above the canvas: views, undo and sheet; the place and the Line; the read-back; the notice."""

from __future__ import annotations

from PySide6.QtWidgets import QComboBox, QHBoxLayout, QPushButton, QSizePolicy, QTabBar, QVBoxLayout, QWidget

from gui.session import VIEWS


class HeadBar(QWidget):
    """Lays the rows out; who owns the window connects them."""

    def __init__(self, view: int, line: QWidget, readback: QWidget, notice: QWidget) -> None:
        super().__init__()
        rows = QVBoxLayout(self)
        rows.setContentsMargins(8, 0, 8, 0)
        rows.setSpacing(4)
        rows.addLayout(self._views_row(view))
        line_row = QHBoxLayout()
        line_row.setSpacing(10)
        self.at_chip = QComboBox()
        self.at_chip.setObjectName("atChip")
        self.at_chip.setAccessibleName("At: the place in sight")
        self.at_chip.setMinimumWidth(232)
        line_row.addWidget(self.at_chip)
        line_row.addWidget(line, 1)
        rows.addLayout(line_row)
        rows.addWidget(readback)
        rows.addWidget(notice)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)

    def _views_row(self, view: int) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(8)
        self.tabs = QTabBar()
        self.tabs.setObjectName("viewTabs")
        self.tabs.setAccessibleName("Views")
        self.tabs.setExpanding(False)
        self.tabs.setDrawBase(False)
        for number, name in enumerate(VIEWS, start=1):
            self.tabs.addTab(f"{name}  {number}")
        self.tabs.setCurrentIndex(view)
        row.addWidget(self.tabs)
        row.addStretch(1)
        self.undo_button, self.redo_button = QPushButton("Undo"), QPushButton("Redo")
        self.sheet_button, self.night_button = QPushButton("Sheet  Ctrl+P"), QPushButton("Night")
        for button, name in (
            (self.undo_button, "undoButton"),
            (self.redo_button, "redoButton"),
            (self.sheet_button, "sheetButton"),
            (self.night_button, "nightButton"),
        ):
            button.setObjectName(name)
            row.addWidget(button)
        self.night_button.setCheckable(True)
        return row
