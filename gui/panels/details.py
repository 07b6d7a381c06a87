"""Details of what is picked: a title, rows, numbers to type over, and for a route the table of its bends.

It reads the document again after every step. During a drag the window hands in live values, which show until it hands
in none. Edits go out as a signal; nothing is written here.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from PySide6.QtCore import QModelIndex, QRectF, Qt, Signal
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QFrame, QGridLayout, QHBoxLayout, QScrollArea, QVBoxLayout, QWidget

from gui.marks import paint_swatch
from gui.panels.bend_limits import support_names
from gui.panels.bend_table import BEND_ROLE, BendTable
from gui.panels.detail_data import details, details_of, support_rows
from gui.panels.detail_routes import route_details
from gui.panels.detail_types import BendRow, Details, Row, Section
from gui.panels.following import Follows, Source
from gui.panels.number_field import NumberField
from gui.panels.skin import LABEL, TITLE, Painted, Skin, Words, button
from gui.panels.text_field import TextField
from gui.theme import DAY, Tokens
from model.entities import Route


class SectionForm(QWidget):
    """One section: heading, then label and words or label and field."""

    edit = Signal(object)

    def __init__(self, section: Section, skin: Skin) -> None:
        super().__init__()
        self._shape = self.shape_of(section)
        self._words: dict[str, Words] = {}
        self._fields: dict[str, NumberField] = {}
        self._texts: dict[str, TextField] = {}
        self._parts: list[Words | NumberField | TextField] = []
        grid = self._grid = QGridLayout(self)
        grid.setContentsMargins(16, 8, 16, 6)
        grid.setHorizontalSpacing(12)
        grid.setVerticalSpacing(8)
        grid.setColumnStretch(1, 1)
        line = 0
        self._right = Words(section.right, LABEL, tone="ink2")
        if section.title or section.right:
            head = Words(section.title, LABEL, tone="ink2", bold=True)
            row = QHBoxLayout()
            row.addWidget(head)
            row.addStretch(1)
            row.addWidget(self._right)
            self._parts.append(head)
            grid.addLayout(row, line, 0, 1, 2)
            line += 1
        self._parts.append(self._right)
        for entry in section.rows:
            line = self._add(grid, line, entry)
        self.set_skin(skin)

    @staticmethod
    def shape_of(section: Section) -> tuple[Any, ...]:
        """What a form must be built anew for: its labels and fields, not their values."""
        return (
            section.title,
            tuple(
                (row.label, row.key, row.field is not None, row.entry is not None, bool(row.value))
                for row in section.rows
            ),
        )

    def _add(self, grid: QGridLayout, line: int, row: Row) -> int:
        top = Qt.AlignmentFlag.AlignTop
        label = Words(row.label, LABEL, tone="ink2")
        self._parts.append(label)
        words = Words(row.value, LABEL)
        words.setWordWrap(True)
        words.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        words.setObjectName(f"value {row.key}")
        words.setAccessibleName(row.label)
        self._words[row.key] = words
        self._parts.append(words)
        if row.field is None and row.entry is None:
            grid.addWidget(label, line, 0, top)
            grid.addWidget(words, line, 1, top)
            return line + 1
        field: NumberField | TextField
        if row.entry is not None:
            field = self._texts[row.key] = TextField(row.label, row.entry)
            field.given.connect(lambda text, key=row.key: self._written(key, text))
        elif row.field is not None:
            field = self._fields[row.key] = NumberField(row.label, row.field)
            field.given.connect(lambda value, key=row.key: self._given(key, value))
        label.setBuddy(field)
        self._parts.append(field)
        fault = Words("", LABEL, tone="error")
        fault.setWordWrap(True)
        fault.hide()
        field.refused.connect(fault.setText)
        field.refused.connect(lambda text: fault.setVisible(bool(text)))
        self._parts.append(fault)
        box = QHBoxLayout()
        box.setSpacing(8)
        box.addWidget(field, 2)
        if row.value:
            box.addWidget(words, 1)
        else:
            words.setParent(None)
            self._parts.remove(words)
        grid.addWidget(label, line, 0, Qt.AlignmentFlag.AlignVCenter)
        grid.addLayout(box, line, 1)
        grid.addWidget(fault, line + 1, 0, 1, 2)
        return line + 2

    def _given(self, key: str, value: float) -> None:
        field = self._fields[key].field
        self.edit.emit(field.make(value))

    def _written(self, key: str, text: str) -> None:
        self.edit.emit(self._texts[key].entry.make(text))

    def show_section(self, section: Section) -> bool:
        """Show other values in the same form; False when the form does not fit them."""
        if self.shape_of(section) != self._shape:
            return False
        self._right.setText(section.right)
        for row in section.rows:
            self._words[row.key].setText(row.value)
            if row.field is not None:
                self._fields[row.key].show_field(row.field)
            if row.entry is not None:
                self._texts[row.key].show_entry(row.entry)
        return True

    def say(self, key: str, text: str) -> bool:
        """Show a live value; False when there is no such row here."""
        if key in self._fields:
            self._fields[key].setText(text)
            return True
        if key in self._words:
            self._words[key].setText(text)
            return True
        return False

    @property
    def fields(self) -> list[NumberField]:
        """The number fields in order."""
        return list(self._fields.values())

    @property
    def texts(self) -> list[TextField]:
        """The text fields in order."""
        return list(self._texts.values())

    def set_skin(self, skin: Skin) -> None:
        """Take colours and size."""
        self._grid.setColumnMinimumWidth(0, skin.px(84))
        for part in self._parts:
            part.set_skin(skin)


class DetailsPanel(QWidget, Follows):
    """Details beside the canvas.

    ``edit`` carries an edit to be done; ``bend_picked`` the route and the support of a bend that was picked.
    """

    edit = Signal(object)
    bend_picked = Signal(str, int)
    asked = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._skin = Skin()
        self._refs: tuple[str, ...] = ()
        self._shown: Details | None = None
        self._support = -1
        self.setObjectName("details")
        self.setAccessibleName("Details")
        self.head, self.count = Words("Details", TITLE, bold=True), Words("", LABEL, tone="ink2")
        self.title = Words("", TITLE, bold=True)
        self.title.setWordWrap(True)
        self.title.setObjectName("detailTitle")
        self.second = Words("", LABEL, tone="ink2")
        self.second.setWordWrap(True)
        self.swatch = Painted(18, 18, self._paint_swatch)
        self.bends_head, self.bends_right = Words("Bends", LABEL, tone="ink2", bold=True), Words("", LABEL, tone="ink2")
        self.bends = BendTable()
        self.bends.selectionModel().currentRowChanged.connect(self._bend_changed)
        self.bends.clicked.connect(self._bend_clicked)
        self._forms: list[SectionForm] = []
        self._support_form: SectionForm | None = None
        self._build()
        self.set_tokens()
        self.refresh()

    def _build(self) -> None:
        top = QHBoxLayout()
        top.setContentsMargins(16, 10, 16, 6)
        top.addWidget(self.head)
        top.addStretch(1)
        top.addWidget(self.count)
        name = QHBoxLayout()
        name.setContentsMargins(16, 6, 16, 0)
        name.setSpacing(8)
        name.addWidget(self.swatch, 0, Qt.AlignmentFlag.AlignTop)
        name.addWidget(self.title, 1)
        under = QHBoxLayout()
        under.setContentsMargins(16, 0, 16, 0)
        under.addWidget(self.second, 1)
        self._bends_bar = QWidget()
        bar = QHBoxLayout(self._bends_bar)
        bar.setContentsMargins(16, 6, 16, 2)
        bar.addWidget(self.bends_head)
        bar.addStretch(1)
        bar.addWidget(self.bends_right)
        bends = QVBoxLayout()
        bends.setContentsMargins(8, 0, 8, 0)
        bends.addWidget(self.bends)
        self._above = QVBoxLayout()
        self._above.setSpacing(0)
        self._below = QVBoxLayout()
        self._below.setSpacing(0)
        self._next = button("Next bend", name="nextBend", about="Goes through the bends of this route")
        self._next.clicked.connect(self.next_bend)
        turn = QHBoxLayout()
        turn.setContentsMargins(16, 6, 16, 0)
        turn.addWidget(self._next)
        turn.addStretch(1)
        inside = QWidget()
        inside.setObjectName("detailsBody")
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 0, 8)
        column.setSpacing(4)
        column.addLayout(name)
        column.addLayout(under)
        column.addLayout(self._above)
        column.addWidget(self._bends_bar)
        column.addLayout(bends)
        column.addLayout(self._below)
        column.addLayout(turn)
        column.addStretch(1)
        self.area = QScrollArea()
        self.area.setObjectName("detailsScroll")
        self.area.setFrameShape(QFrame.Shape.NoFrame)
        self.area.setWidgetResizable(True)
        self.area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.area.setWidget(inside)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(0)
        whole.addLayout(top)
        whole.addWidget(self.area, 1)

    def _paint_swatch(self, painter: QPainter, rect: QRectF, skin: Skin) -> None:
        held = self._shown.swatch if self._shown else None
        if held is not None:
            paint_swatch(painter, rect, held.fill, skin.tokens, marks=held.marks, mark_colour=held.mark_colour)

    def set_tokens(self, tokens: Tokens = DAY, large: bool = False) -> None:
        """Take colours and size."""
        self._skin = Skin(tokens, large)
        ground = f"background: {tokens.panel};"
        self.area.setStyleSheet(f"QScrollArea {{ {ground} }} QWidget#detailsBody {{ {ground} }}")
        for words in (self.head, self.count, self.title, self.second, self.bends_head, self.bends_right):
            words.set_skin(self._skin)
        self.swatch.set_skin(self._skin)
        self.bends.set_skin(self._skin)
        self._next.setMinimumHeight(self._skin.target)
        for form in (*self._forms, *([self._support_form] if self._support_form else [])):
            form.set_skin(self._skin)

    # -- what is shown -------------------------------------------------------------------------------------------

    def follow(self, document: Source) -> None:
        """Show details of a document's things from now on."""
        self._follow(document)

    def set_place(self, site: str | None) -> None:
        """What is picked is told as it is at this site."""
        self._site = site
        self.refresh()

    def show_pick(self, refs: Sequence[str]) -> None:
        """Show the first of these; with none, the place itself."""
        if tuple(refs) != self._refs:
            self._support = -1
        self._refs = tuple(refs)
        self.refresh()

    def refresh(self) -> None:
        """Read the document again."""
        document = self._document
        if document is None:
            self._show(None, 0)
            return
        found = [made for made in (details(document, self._site, ref) for ref in self._refs) if made is not None]
        if found:
            self._show(details_of(document, self._site, self._refs), len(found))
        else:
            self._show(details(document, self._site, f"site:{self._site}" if self._site else "plant:"), 0)

    def _show(self, made: Details | None, picked: int) -> None:
        self._shown = made
        self.count.setText(f"{picked} picked" if picked else "nothing picked")
        self.swatch.setVisible(made is not None and made.swatch is not None)
        self.swatch.update()
        self.title.setText(made.title if made else "Nothing picked")
        self.second.setText(made.second if made else "Click a thing in the picture or in Parts, or say: go tray 1")
        self.second.setVisible(bool(self.second.text()))
        self._show_sections(made.sections if made else ())
        self._show_bends(made.bends if made else (), made.bend_limit if made else "")
        said = [self.title.text(), self.second.text()]
        said += [f"{row.label} {row.value}" for s in (made.sections if made else ()) for row in s.rows if row.value]
        self.setAccessibleDescription(", ".join(part for part in said if part))

    def _show_sections(self, sections: Sequence[Section]) -> None:
        fits = len(sections) == len(self._forms) and all(
            form.show_section(section) for form, section in zip(self._forms, sections, strict=True)
        )
        if fits:
            return
        for form in self._forms:
            self._above.removeWidget(form)
            form.hide()
            form.deleteLater()
        self._forms = [SectionForm(section, self._skin) for section in sections if section.rows]
        for form in self._forms:
            form.edit.connect(self.edit)
            self._above.addWidget(form)

    def _show_bends(self, bends: tuple[BendRow, ...], limit: str) -> None:
        self.bends.show_bends(bends)
        self._bends_bar.setVisible(bool(bends))
        self._next.setVisible(len(bends) > 1)
        self.bends_right.setText(limit)
        known = [bend.support for bend in bends]
        if bends and self._support not in known:
            shares = [(bend.radius_mm / (bend.limit_mm or 1e9), bend.support) for bend in bends]
            self._support = min(shares)[1]
        self._mark_current()
        self._show_support()

    def _mark_current(self) -> None:
        for number, bend in enumerate(self.bends.bends.bends):
            if bend.support == self._support:
                chosen = self.bends.selectionModel()
                blocked = chosen.blockSignals(True)
                self.bends.selectRow(number)
                chosen.blockSignals(blocked)
                self.bends.viewport().update()

    def _route(self) -> Route | None:
        made, document = self._shown, self._document
        return document.plant.table("routes").get(made.route) if made and made.route and document else None

    def _show_support(self, proposed: Route | None = None) -> None:
        route = proposed or self._route()
        section: Section | None = None
        if route is not None and self._shown and self._shown.bends and 0 <= self._support < len(route.supports):
            name = support_names(route)[self._support]
            section = Section(f"At {name}", support_rows(route, self._support), route.supports[self._support].kind)
        if section is not None and self._support_form is not None and self._support_form.show_section(section):
            return
        if self._support_form is not None:
            self._below.removeWidget(self._support_form)
            self._support_form.hide()
            self._support_form.deleteLater()
            self._support_form = None
        if section is not None:
            self._support_form = SectionForm(section, self._skin)
            self._support_form.edit.connect(self.edit)
            self._below.addWidget(self._support_form)

    # -- hands ---------------------------------------------------------------------------------------------------

    def _bend_changed(self, current: QModelIndex, previous: QModelIndex) -> None:
        bend: BendRow | None = current.data(BEND_ROLE) if current.isValid() else None
        if bend is not None and self._shown is not None and bend.support != self._support:
            self._support = bend.support
            self._show_support()
            self.bend_picked.emit(self._shown.route, bend.support)

    def _bend_clicked(self, index: QModelIndex) -> None:
        bend: BendRow = index.data(BEND_ROLE)
        if self._shown is not None:
            self.bend_picked.emit(self._shown.route, bend.support)

    def next_bend(self) -> None:
        """Pick the next bend of the route, round the table."""
        rows = self.bends.bends.rowCount()
        if rows:
            at = self.bends.currentIndex().row()
            self.bends.selectRow((at + 1) % rows)

    @property
    def fields(self) -> list[NumberField]:
        """Every number that can be typed over, in order."""
        made = [field for form in self._forms for field in form.fields]
        return made + (self._support_form.fields if self._support_form else [])

    def edit_first(self) -> bool:
        """Focus the first number, as F2 does; False when there is none."""
        fields = [*self.fields, *self.texts]
        if not fields:
            return False
        fields[0].setFocus(Qt.FocusReason.TabFocusReason)
        return True

    @property
    def texts(self) -> list[TextField]:
        """Every text that can be typed over, in order."""
        return [field for form in self._forms for field in form.texts]

    # -- while something is dragged ------------------------------------------------------------------------------

    def show_live(self, values: Mapping[str, object] | None) -> None:
        """Show values of a drag in hand; None or nothing when it has ended.

        ``route`` (a proposed Route) shows all its figures, ``support`` (its index) which of its supports is in hand;
        any other key is a row's, its value the words to show.
        """
        if not values:
            self.refresh()
            return
        route, document = values.get("route"), self._document
        if isinstance(route, Route) and document is not None:
            before = document.plant.table("routes").get(route.id)
            made = route_details(document.plant, route, before)
            if self._shown is not None and self._shown.route == route.id:
                self._shown = made
                self._show_sections(made.sections)
                self.bends.show_bends(made.bends)
                held = values.get("support")
                if isinstance(held, int) and 0 <= held < len(route.supports):
                    self._support = held
                self._mark_current()
                self._show_support(route)
        for key, value in values.items():
            if key not in ("route", "support"):
                forms = [*self._forms, *([self._support_form] if self._support_form else [])]
                any(form.say(key, str(value)) for form in forms)
