"""The question to the planner as fields: which of the three it is, and what belongs to it. No plant is known here."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QIntValidator, QKeyEvent
from PySide6.QtWidgets import (
    QButtonGroup,
    QComboBox,
    QHBoxLayout,
    QLineEdit,
    QPushButton,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from gui.panels.skin import LABEL, Skin, Words, button
from gui.theme import DAY, Tokens
from model.line.questions import Question

KINDS = (
    ("drops", "Tubes to open", "Tubes"),
    ("trays", "Trays and slots", "Trays"),
    ("stubs", "Loose glass", "Stubs"),
)
"""Each question, its words, and its word where there is little room."""
BY = (
    ("tube", "the joints of one tube"),
    ("service", "the joints of one customer"),
    ("side", "the joints of one side"),
    ("crossings", "anything, for the fewest crossings"),
)
STUBS = "Cut ends that meet nothing, and uncut fibres that lie nowhere yet"


class PlanForm(QWidget):
    """``asked`` carries the question after a field was changed by hand; ``entered`` an Enter in a field."""

    asked = Signal(object)
    entered = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.question = Question("drops", "all")
        self._filling = False
        self._labels: list[Words] = []
        self.kinds: dict[str, QPushButton] = {}
        self.group = QButtonGroup(self)
        top = QHBoxLayout()
        top.setSpacing(0)
        for kind, words, _ in KINDS:
            made = button(words, name=f"plan {kind}", about=f"Plan: {words}")
            made.setCheckable(True)
            made.setAutoDefault(False)
            made.clicked.connect(lambda _=False, kind=kind: self._ask(Question(kind, keep=10 * (kind == "trays"))))
            self.group.addButton(made)
            self.kinds[kind] = made
            top.addWidget(made)
        self.head = top
        self.drops, self.ports, self.skip = QLineEdit(), QLineEdit(), QLineEdit()
        self.cable, self.by = QComboBox(), QComboBox()
        self.keep, self.free = QLineEdit(), QLineEdit()
        self.pages = QStackedWidget()
        self.pages.addWidget(
            self._page(
                ("drops", self.drops, "planDrops", "Drops to serve, like D-01..D-12 or D-1:1-2; all of them", 3),
                ("from", self.cable, "planCable", "The cable that passes", 2),
                ("keep", self.keep, "planKeep", "Dark fibres that each tube keeps", 1),
                ("ports", self.ports, "planPorts", "Numbers of the exchange ports that will do, like 1-24", 2),
                ("skip", self.skip, "planSkip", "Fibres of the cable not to be used, like 1-4,T2", 2),
            )
        )
        self.pages.addWidget(
            self._page(
                ("a tray holds", self.by, "planBy", "What a tray should hold one of", 3),
                ("keep free, %", self.free, "planFree", "Share of the slots of each tray that stay free", 1),
            )
        )
        self.pages.addWidget(self._page())
        for value, words in BY:
            self.by.addItem(words, value)
        for field, hint in ((self.drops, "all"), (self.keep, "0"), (self.ports, "any"), (self.skip, "none")):
            field.setPlaceholderText(hint)
        for box in (self.cable, self.by):
            box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        for number in (self.keep, self.free):
            number.setValidator(QIntValidator(0, 99, number))
        for field in (self.drops, self.ports, self.skip, self.keep, self.free):
            field.textEdited.connect(lambda _text: self._changed())
            field.returnPressed.connect(self.entered)
        for box in (self.cable, self.by):
            box.activated.connect(lambda _index: self._changed())
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.pages)

    def _page(self, *fields: tuple[str, QWidget, str, str, int]) -> QWidget:
        page = QWidget()
        row = QHBoxLayout(page)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(8)
        for label, field, name, hint, stretch in fields:
            words = Words(label, LABEL, tone="ink2", elide=True)
            self._labels.append(words)
            row.addWidget(words)
            field.setObjectName(name)
            field.setAccessibleName(hint)
            field.setToolTip(hint)
            field.setMinimumWidth(44)
            row.addWidget(field, stretch)
        if not fields:
            words = Words(STUBS, tone="ink2", elide=True)
            self._labels.append(words)
            row.addWidget(words, 1)
        elif len(fields) < 3:
            row.addStretch(4)
        return page

    def show_question(self, question: Question, cables: Sequence[str]) -> None:
        """Fill the fields, but for one that is being typed in; ``cables`` are the names that pass here."""
        self._filling = True
        self.question = question
        self.kinds[question.kind].setChecked(True)
        self.pages.setCurrentIndex([kind for kind, _, _ in KINDS].index(question.kind))
        for field, text in ((self.drops, question.drops), (self.ports, question.ports), (self.skip, question.skip)):
            if field.text() != text and not field.hasFocus():
                field.setText(text)
        names = [self.cable.itemText(n) for n in range(self.cable.count())]
        if names != list(cables):
            self.cable.clear()
            self.cable.addItems(list(cables))
        self.cable.setCurrentIndex(self.cable.findText(question.cable, Qt.MatchFlag.MatchFixedString))
        self.by.setCurrentIndex(self.by.findData(question.by))
        number = self.free if question.kind == "trays" else self.keep
        if not number.hasFocus():
            number.setText(str(question.keep) if question.keep or question.kind == "trays" else "")
        self._filling = False

    def _changed(self) -> None:
        if self._filling:
            return
        old = self.question
        if old.kind == "drops":
            drops, ports, skip = (" ".join(f.text().split()) for f in (self.drops, self.ports, self.skip))
            cable = self.cable.currentText()
            self._ask(replace(old, drops=drops, cable=cable, keep=int(self.keep.text() or 0), ports=ports, skip=skip))
        elif old.kind == "trays":
            self._ask(replace(old, by=str(self.by.currentData()), keep=int(self.free.text() or 0)))

    def _ask(self, question: Question) -> None:
        self.question = question
        self.asked.emit(question)

    def set_narrow(self, narrow: bool) -> None:
        """Short words on the buttons, or whole ones."""
        for kind, words, short in KINDS:
            self.kinds[kind].setText(short if narrow else words)

    def first(self) -> QWidget:
        """The first field of the question in sight."""
        return {"drops": self.drops, "trays": self.by}.get(self.question.kind, self.kinds["stubs"])

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802  # Qt's name
        """Enter in a field that has no use for it asks to be done."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.entered.emit()
            return
        super().keyPressEvent(event)

    def set_tokens(self, tokens: Tokens = DAY, large: bool = False) -> None:
        """Take colours and size."""
        skin = Skin(tokens, large)
        for words in self._labels:
            words.set_skin(skin)
