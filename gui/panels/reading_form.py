"""The reading of a ticket as fields: the fibre and the end it was taken from, what the instrument showed, its settings.

What the plant knows (index, tail, fibre over sheath) stands beside what was typed, for it is used in the same sum. It
makes no edit: ``given`` carries the name of a field and its new value.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QComboBox, QFrame, QGridLayout, QHBoxLayout, QLineEdit, QVBoxLayout, QWidget

from gui.panels.detail_types import Entry, Field
from gui.panels.number_field import NumberField
from gui.panels.skin import BODY, LABEL, Skin, Words, button
from gui.panels.text_field import TextField
from gui.theme import DAY, Tokens
from model.errors import PlantError

LAMPS_NM = (1310, 1490, 1550, 1625, 1650)
UNITS = ("m", "km", "ft")
CELL = 126


@dataclass(frozen=True, slots=True)
class FormData:
    """What the fields show; ``known`` are (label, words) of what the plant says. No ``fibre``: nothing to read from."""

    fibre: str = ""
    shown: float | None = None
    unit: str = "m"
    index: float | None = None
    lead_m: float = 0.0
    from_side: str = "<"
    wavelength_nm: int = 1310
    known: tuple[tuple[str, str], ...] = ()
    fault: str = ""


def _never(_: object) -> Any:
    raise PlantError("this field makes no edit of its own", hint="Report this")


class IndexField(TextField):
    """The index set in the instrument; empty for that of the cable."""

    def __init__(self) -> None:
        super().__init__("Index set", Entry("", _never, needed=False))
        self.setAlignment(Qt.AlignmentFlag.AlignRight)

    def show_entry(self, entry: Entry) -> None:
        """Say what none means."""
        super().show_entry(entry)
        self.setPlaceholderText("that of the cable")


class Cell(QFrame):
    """A label over a field or over words."""

    def __init__(self, label: str, body: QWidget) -> None:
        super().__init__()
        self.label = Words(label, LABEL, tone="ink2", elide=True)
        self.body = body
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        column.addWidget(self.label)
        column.addWidget(body)

    def set_skin(self, skin: Skin) -> None:
        """Take colours and size."""
        self.label.set_skin(skin)


class ReadingForm(QWidget):
    """Fields of the reading in hand."""

    given = Signal(str, object)
    steps_asked = Signal(bool)
    drop_asked = Signal()
    other_asked = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.setObjectName("readingForm")
        self.setAccessibleName("Reading")
        self.data = FormData()
        self.skin = Skin()
        self.fault = Words("", LABEL, tone="error")
        self.fault.setObjectName("readingFault")
        self.fault.setWordWrap(True)
        self.fibre = TextField("Fibre read", Entry("", _never))
        self.side = self._box("Read from", (("the exchange", "<"), ("the field", ">")), "from_side")
        self.lamp = self._box("Wavelength", [(f"{nm} nm", nm) for nm in LAMPS_NM], "wavelength_nm")
        self.unit = self._box("Unit", [(unit, unit) for unit in UNITS], "unit")
        self.shown = NumberField("Shown end", Field(0.0, "m", _never))
        self.index = IndexField()
        self.lead = NumberField("Launch lead", Field(0.0, "m", _never))
        self.steps = button("All steps", name="allSteps", about="The sum from the shown distance to the mark")
        self.steps.setCheckable(True)
        self.steps.toggled.connect(self.steps_asked)
        self.drop = button("Drop", name="dropReading", about="Take this reading out of the ticket")
        self.drop.clicked.connect(self.drop_asked)
        self.other = button("Other end", name="otherEnd", about="A second reading, from the other end of the path")
        self.other.clicked.connect(self.other_asked)
        self.cells = [
            Cell("Shown end", self._with(self.shown, self.unit)),
            Cell("Index set", self.index),
            Cell("Launch lead", self.lead),
            Cell("Fibre read", self.fibre),
            Cell("Read from", self.side),
            Cell("Wavelength", self.lamp),
        ]
        self.known = Words("", LABEL, tone="ink2")
        self.known.setObjectName("readingKnown")
        self.known.setWordWrap(True)
        self.grid = QGridLayout()
        self.grid.setHorizontalSpacing(8)
        self.grid.setVerticalSpacing(6)
        column = QVBoxLayout(self)
        column.setContentsMargins(14, 6, 14, 10)
        column.setSpacing(6)
        column.addLayout(self.grid)
        column.addWidget(self.known)
        column.addWidget(self.fault)
        self._columns = 0
        self._lay()
        self.fibre.given.connect(lambda text: self.given.emit("fibre", text))
        self.shown.given.connect(lambda value: self.given.emit("shown", value))
        self.lead.given.connect(lambda value: self.given.emit("lead_m", value))
        self.index.given.connect(lambda text: self.given.emit("index", text))
        for field in self.fields:
            field.refused.connect(self._refused)
        self._refusal = ""
        self.show_data(self.data)

    @property
    def fields(self) -> tuple[TextField | NumberField, ...]:
        """What is typed into."""
        return self.shown, self.index, self.lead, self.fibre

    def _box(self, name: str, options: Sequence[tuple[str, object]], key: str) -> QComboBox:
        made = QComboBox()
        made.setObjectName(f"field {name.lower()}")
        made.setAccessibleName(name)
        for text, value in options:
            made.addItem(text, value)
        made.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        made.activated.connect(lambda index: self.given.emit(key, made.itemData(index)))
        return made

    def _with(self, field: QLineEdit, unit: QComboBox) -> QWidget:
        both = QWidget()
        row = QHBoxLayout(both)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(2)
        row.addWidget(field, 3)
        row.addWidget(unit, 2)
        return both

    def _lay(self) -> None:
        """As many cells in a row as there is room for."""
        columns = max((self.width() - 28) // self.skin.px(CELL), 2)
        if columns == self._columns:
            return
        self._columns = columns
        # The first holds a number and its unit.
        spans = [2 if cell is self.cells[0] and columns > 2 else 1 for cell in self.cells]
        place = 0
        for cell, span in zip(self.cells, spans, strict=True):
            if place % columns + span > columns:
                place += columns - place % columns
            self.grid.addWidget(cell, place // columns, place % columns, 1, span)
            place += span
        for number in range(self.grid.columnCount()):
            self.grid.setColumnStretch(number, 1 if number < columns else 0)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802  # Qt's name
        """Another width has room for more or fewer cells in a row."""
        super().resizeEvent(event)
        self._lay()

    def _refused(self, fault: str) -> None:
        self._refusal = fault
        self._say()

    def _say(self) -> None:
        text = self._refusal or self.data.fault
        self.fault.setText(text)
        self.fault.setVisible(bool(text))

    def refuse(self, key: str, fault: str) -> None:
        """Say in its place what was wrong with a field."""
        fields: dict[str, Callable[[str], None]] = {"fibre": self.fibre.say, "index": self.index.say}
        fields.get(key, self.shown.say)(fault)

    def show_data(self, data: FormData) -> None:
        """Show a reading; fields that are being typed over are left alone."""
        self.data = data
        self.fibre.show_entry(Entry(data.fibre, _never))
        self.index.show_entry(Entry("" if data.index is None else f"{data.index:g}", _never, needed=False))
        self.shown.show_field(Field(data.shown or 0.0, data.unit, _never, decimals=3 if data.unit == "km" else 1))
        self.lead.show_field(Field(data.lead_m, "m", _never))
        for box, value in ((self.side, data.from_side), (self.lamp, data.wavelength_nm), (self.unit, data.unit)):
            if box.findData(value) < 0:
                box.addItem(f"{value} nm" if box is self.lamp else str(value), value)
            box.setCurrentIndex(box.findData(value))
        self.known.setText("   \u00b7   ".join(f"{label} {words}" for label, words in data.known))
        self.drop.setEnabled(data.shown is not None)
        self.other.setEnabled(data.shown is not None)
        self.steps.setEnabled(data.shown is not None)
        self._say()

    def set_tokens(self, tokens: Tokens = DAY, large: bool = False) -> None:
        """Take colours and size."""
        skin = self.skin = Skin(tokens, large)
        self.setStyleSheet(
            f"QWidget#readingForm {{ background: {tokens.panel}; border-bottom: 1px solid {tokens.line}; }} "
            "QComboBox, QLineEdit { padding: 2px 6px; } QPushButton { padding: 4px 8px; }"
        )
        for words in (self.fault, self.known):
            words.set_skin(skin)
        for cell in self.cells:
            cell.set_skin(skin)
        for field in self.fields:
            field.set_skin(skin)
            field.setFont(skin.font(BODY, bold=True, fixed=True))
        self._columns = 0
        self._lay()
