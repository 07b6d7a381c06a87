"""Rows and lines: tables pasted into the Line; picked joints copied and carried on; lines written out or folded.

Everything becomes text for the Line, which alone reads it back and does it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QApplication

from gui.document import Notice
from gui.pick_work import picked_joints
from model.entities import Splice
from model.errors import PlantError
from model.line.folding import side_text
from model.line.onward import joined_by
from model.line.pasted import BadRow, as_lines, is_table, read_table
from model.line.rows import draw_together, rows_of, write_out
from model.refs import LONGEST

if TYPE_CHECKING:
    from gui.window import MainWindow

HEADING = ("From", "To", "Tray", "Slot")


class RowWork(QObject):
    """What the window does with rows."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self.window_ = window
        self.control = window.control
        window.line.pasted.connect(self.paste)

    def paste_key(self) -> None:
        """Ctrl+V outside a field: joints in hand go on the tray in sight; else a table goes into the Line."""
        text = QApplication.clipboard().text()
        if self.window_.pick_work.in_hand or not (is_table(text) or as_lines(text)):
            self.window_.pick_work.paste()
        elif self.window_.document.is_open:
            self.window_.line.setFocus()
            self.paste(text)

    def paste(self, text: str) -> None:
        """Read a pasted table, or several lines, as one line; what cannot be joined is listed by row number."""
        lines = as_lines(text)
        if lines:
            self._put(lines)
            return
        pasted = read_table(self.control.context(), text)
        if pasted.lines:
            self._put(pasted.text, pasted.bad)
        else:
            first = pasted.bad[0] if pasted.bad else "there is no row in it"
            more = f", and {len(pasted.bad) - 1} more" if len(pasted.bad) > 1 else ""
            self._tell(f"Nothing of the table can be joined: {first}{more}")

    def _put(self, text: str, bad: Sequence[BadRow] = ()) -> None:
        if len(text) > LONGEST:
            self._tell(f"The table comes to a line of {len(text)} characters, at most {LONGEST}: paste it in parts")
            return
        self.control.put_rows(text, bad)

    def _tell(self, text: str) -> None:
        self.window_.notice.tell(Notice("error", text))

    # -- picked joints -------------------------------------------------------------------------------------------

    def picked(self) -> list[Splice]:
        """The joints picked, tray by tray in the order of their slots."""
        plant, session = self.window_.document.plant, self.window_.session
        trays = {tray.id: tray.position for tray in plant.trays.values()}
        found = picked_joints(plant, session.place, session.pick)
        return sorted(found, key=lambda s: (trays.get(s.tray, 0) if s.tray else 0, s.slot or 0, s.id))

    def copy(self) -> None:
        """Copy the picked joints as rows that a spreadsheet and the Line understand."""
        joints = self.picked()
        context = self.control.context()
        if not joints:
            self.window_.notice.tell(Notice("note", "Pick joints to copy their rows"))
            return
        lines = ["\t".join(HEADING)]
        for row in rows_of(context.plant, joints, context.place):
            tray = "" if row.tray == "bay" else row.tray
            slot = "" if row.slot is None else str(row.slot)
            lines.append("\t".join((side_text(context, row.a), side_text(context, row.b), tray, slot)))
        QApplication.clipboard().setText("\n".join(lines) + "\n")
        self.window_.notice.tell(Notice("note", f"{len(joints)} joint{'s' * (len(joints) != 1)} copied as rows"))

    def carry_on(self) -> None:
        """Say ``next`` after the joints picked, or after the last line that joined where none are."""
        joints = self.picked()
        if joints:
            self.control.joined(joined_by(self.window_.document.plant, joints))
        self.control.say("next")

    # -- the line itself -----------------------------------------------------------------------------------------

    def write_out(self) -> None:
        """The line in the Line as one join for every joint."""
        self._rewrite(lambda text: write_out(self.control.context(), text))

    def draw_together(self) -> None:
        """The line in the Line as the shortest that makes the same joints."""
        self._rewrite(lambda text: draw_together(self.control.context(), text))

    def _rewrite(self, form: Callable[[str], str]) -> None:
        text = self.control.text()
        if not text.strip():
            self.window_.notice.tell(Notice("note", "Type a join first"))
            return
        try:
            self.control.say(form(text))
        except PlantError as fault:
            self.window_.notice.tell(Notice("warning", fault.message + (f". {fault.hint}" if fault.hint else "")))
