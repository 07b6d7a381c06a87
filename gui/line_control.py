"""The Line at work: reads what is typed against the plant, shows what it would do, and does it on Enter.

The grammar is the model's; here is only when it is asked and what its answers move in the window. A line that would
darken a live service is held once; any change of the text arms the stop again.
"""

from __future__ import annotations

import datetime
import getpass
from collections.abc import Callable, Sequence

from PySide6.QtCore import QObject, Signal

from gui.document import Document, Notice
from gui.panels.line_edit import NOTHING, Chip, LineEdit, Readback, ReadbackData
from gui.session import Session
from model.ids import CableId, SiteId, TrayId
from model.line.context import Answer, Context
from model.line.entry import Entry
from model.line.pasted import BadRow
from model.line.picks import Joined
from model.line.readback import Reading, all_completions, read_line
from render.refs import split_ref

MOST_ROWS_SAID = 4
"""Bad rows of a pasted table that the read-back names; the rows of the Splices view list all."""
TOLD_BY_PANEL = ("why", "left alone")
"""Chips of a question to the planner that its panel tells whole."""


def user_name() -> str:
    """Who confirms a held line: the name the machine knows, or nobody."""
    try:
        return getpass.getuser()
    except (OSError, KeyError, ImportError):
        return ""


class LineControl(QObject):
    """Ties the field and its read-back row to a document; ``previewed`` carries the reading, None when dropped."""

    previewed = Signal(object)
    answered = Signal(object)
    understood = Signal(object)
    """Every reading, right or wrong; None for an empty line."""

    def __init__(
        self,
        document: Document,
        session: Session,
        line: LineEdit,
        readback: Readback,
        tell: Callable[[Notice], None],
    ) -> None:
        super().__init__(session)
        self.document, self.session = document, session
        self.line, self.readback = line, readback
        self._tell = tell
        self.signer = user_name()
        self.entry = Entry()
        self.reading: Reading | None = None
        self._context: Context | None = None
        self._whole: dict[str, str] = {}
        self._turn = 0
        self._held = False
        self._last: Joined | None = None
        self._left_out: tuple[BadRow, ...] = ()
        self._pasted = ""
        line.changed_text.connect(self.read)
        line.said.connect(lambda _text: self.enter())
        line.complete.connect(self.complete)
        line.dropped.connect(self.drop)
        readback.ending_taken.connect(self._take)
        document.changed.connect(self._plant_changed)
        document.opened.connect(self._plant_changed)
        session.place_changed.connect(self._looked_away)
        session.pick_changed.connect(self._looked_away)

    def context(self) -> Context:
        """The plant and where the person is."""
        place = self.session.place
        cable = tray = None
        for ref in self.session.pick:
            kind, key, _ = split_ref(ref)
            if kind in ("cable", "tube", "fibre"):
                cable = CableId(key)
            if kind == "tray":
                tray = TrayId(key)
        site = SiteId(place) if place is not None else None
        if self._context is None:
            self._context = Context(self.document.plant, self.document.continuity, last=self._last)
        now = datetime.datetime.now().strftime("%H:%M")  # the clock on the wall
        return self._context.at(site, cable, tray, self.session.ticket, now)

    def _plant_changed(self, changes: object = None) -> None:
        self._context = None
        self.read(self.line.text())

    def _looked_away(self) -> None:
        if self.line.text():
            self.read(self.line.text())

    def read(self, text: str) -> None:
        """Read the text and show what it means; the plant is not touched."""
        self.entry.typed(text)
        if text != self._pasted:
            self._left_out = ()
        self._held = False
        self._turn = 0
        if not text.strip():
            self.reading = None
            self._show(NOTHING)
            self.previewed.emit(None)
            self.understood.emit(None)
            return
        self.reading = read_line(self.context(), text)
        self._show(self.data())
        self.previewed.emit(self.reading if self.reading.ok else None)
        self.understood.emit(self.reading)

    def data(self) -> ReadbackData:
        """What the row shows of the present reading."""
        reading = self.reading
        if reading is None:
            return NOTHING
        fault = reading.error
        wrong = fault is not None and not fault.incomplete
        chips = [
            Chip(chip.label, chip.text, "error" if wrong else "warning" if chip.warns and not fault else "plain")
            for chip in reading.chips
            if reading.plan is None or chip.label not in TOLD_BY_PANEL
        ]
        if reading.holds and self._held:
            text = f"{reading.hold_words}: Enter again does it, or add  outage WORDS"
            chips.append(Chip("held", text, "warning"))
        chips += [Chip(f"row {bad.row}", bad.why, "warning") for bad in self._left_out[:MOST_ROWS_SAID]]
        if self._left_out:
            more = len(self._left_out) - MOST_ROWS_SAID
            text = f"{more} more rows cannot be joined. " if more > 0 else ""
            text += "Enter again joins the others" if self._held else "Enter joins the others"
            chips.append(Chip("left out", text, "warning"))
        endings = self._endings(reading)
        return ReadbackData(
            chips=tuple(chips),
            error_column=fault.column if wrong and fault else None,
            error_length=max(fault.length, 1) if fault else 1,
            hint="Enter does it \u00b7 Esc drops it" if reading.ok else "",
            endings=endings,
        )

    def _endings(self, reading: Reading) -> tuple[str, ...]:
        self._whole = {}
        fault = reading.error
        if fault is not None and fault.repaired and not fault.incomplete:
            self._whole[fault.repaired] = fault.repaired
        for completion in reading.completions:
            self._whole.setdefault(completion.ending.strip() or completion.text, completion.text)
        return tuple(self._whole)[:3]

    def _show(self, data: ReadbackData) -> None:
        self.line.show_readback(data)
        self.readback.show_readback(data)

    def _take(self, ending: str) -> None:
        text = self._whole.get(ending)
        if text is not None:
            self.line.take_ending(text)

    def complete(self, which: int) -> None:
        """Take an ending: the first (0), the next in turn (1), or show all (2)."""
        endings = list(self._whole)
        if which == 2:
            found = all_completions(self.context(), self.line.text())
            self._whole = {c.ending.strip() or c.text: c.text for c in found}
            data = self.data() if not found else ReadbackData(endings=tuple(self._whole)[:12])
            self._show(data)
            return
        if endings:
            turn = self._turn if which == 1 else 0
            keep = self._whole
            self._take(endings[turn % len(endings)])
            if which == 1:
                self._whole, self._turn = keep, turn + 1

    def enter(self) -> None:
        """Do what is read, hold it once when a live service would go dark, or say again what is wrong."""
        reading = self.reading
        if reading is None:
            return
        if self.document.read_only and reading.edits:
            self._tell(Notice("warning", f"Read only: {self.document.why_read_only()}"))
            return
        verdict = self.entry.enter(reading)
        # One press holds for both: services that go dark, and rows of a table that are left out.
        if verdict == "hold" or (verdict == "do" and self._left_out and not self._held):
            self._held = True
            self._show(self.data())
        elif verdict == "do":
            self._do(reading)
        elif verdict == "nothing" and reading.ok:
            self._tell(Notice("note", "That is so already, nothing to change"))
        else:
            self._show(self.data())

    def _do(self, reading: Reading) -> None:
        text = self.line.text()
        if reading.edits and not self.document.do(*reading.confirmed_by(self.signer), name=reading.name):
            return
        if reading.joined is not None:
            self.joined(reading.joined)
        self.line.keep(text)
        self.line.clear()
        for answer in reading.answers:
            self._answer(answer)

    def _answer(self, answer: Answer) -> None:
        self.answered.emit(answer)

    def drop(self) -> None:
        """Esc: first the preview, then the text; then the focus goes back."""
        if self.line.text():
            self.line.clear()

    def do_or_hold(self, text: str) -> None:
        """Do a line as if it had been typed and Enter pressed; one that is held or wrong stays there, to be mended."""
        before = self.line.text()
        self.put(text)
        reading = self.reading
        if reading is not None and reading.ok and not reading.holds:
            self.enter()
            self.put(before)
        else:
            self.say(text)
            self.enter()

    def ask_outage(self) -> None:
        """Go to the Line with the word for an outage at its end, to be finished with its number."""
        if self.reading is not None and self.reading.holds:
            self.say(f"{self.line.text().rstrip()} outage ")

    def text(self) -> str:
        """What is in the Line."""
        return self.line.text()

    def joined(self, last: Joined | None) -> None:
        """What ``next`` carries on from here."""
        self._last, self._context = last, None

    def put_rows(self, text: str, bad: Sequence[BadRow]) -> None:
        """Put the line of a table in; rows that cannot be joined are listed, and Enter is held once for them."""
        self._left_out, self._pasted = tuple(bad), text
        if self.line.text() == text:
            self.read(text)
        self.line.setText(text)

    @property
    def left_out(self) -> tuple[BadRow, ...]:
        """Rows of the pasted table that are left out."""
        return self._left_out

    def put(self, text: str) -> None:
        """Put a text into the Line and read it; the focus stays where it is."""
        self.line.setText(text)

    def say(self, text: str) -> None:
        """Put a text into the Line, ready to be finished."""
        self.line.setFocus()
        self.line.setText(text)
        self.line.setCursorPosition(len(text))


def answer_words(document: Document, answer: Answer) -> str:
    """What ``who`` found, as one sentence."""
    plant = document.plant
    names: Sequence[str] = [plant.services[i].name for i in plant.services if i in answer.ids]
    if not names:
        return "Nobody is on it"
    shown = ", ".join(names[:12])
    return f"{len(names)} service{'s' * (len(names) != 1)}: {shown}" + (" and others" if len(names) > 12 else "")
