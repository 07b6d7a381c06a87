"""Finding the way in the window: to a part that was opened, where a gauge leads, to what the Line answers."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from gui.document import Notice
from gui.line_control import answer_words
from gui.session import ENCLOSURE, SPLICES, TRACE, TRAYS
from gui.suspect_refs import refs_of
from gui.views.trace_answer import SuspectRow
from model.line.context import Answer
from render.refs import split_ref

if TYPE_CHECKING:
    from gui.window import MainWindow


class Wayfinding(QObject):
    """Moves place, view and pick; edits nothing."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self.window_ = window

    def find_part(self) -> None:
        """Find among the parts."""
        self.window_.parts.field.setFocus()
        self.window_.parts.field.selectAll()

    def type_over(self) -> None:
        """F2: accept the finding that has the focus or was just gone to, else type over the first detail."""
        findings = self.window_.findings.list
        in_hand = findings.hasFocus() or self.window_.finding_work.in_hand()
        if in_hand and findings.currentIndex().isValid():
            findings.deed.emit(findings.currentIndex(), "accept")
        elif not self.window_.details.edit_first():
            self.window_.notice.tell(Notice("note", "Pick something first: its numbers and names can be typed over"))

    def open_part(self, ref: str) -> None:
        """A part that was opened: a site is gone to, anything else is picked and brought into sight."""
        kind, key, _ = split_ref(ref)
        if kind == "site":
            self.window_.session.go(key)
            self.window_.session.show_view(ENCLOSURE)
            return
        self.window_.session.set_pick([ref])
        if kind == "tray":
            self.window_.session.show_view(TRAYS)
        self.window_.boards.centre_on([ref])

    def go_to_ref(self, ref: str) -> None:
        """Where a gauge leads."""
        if ref == "findings":
            self.window_.finding_work.step(1)
            return
        kind, key, _ = split_ref(ref)
        view = {"tray": TRAYS, "splice": SPLICES, "service": TRACE, "site": ENCLOSURE, "route": ENCLOSURE}.get(kind)
        if view is not None:
            self.window_.session.show_view(view)
        if kind == "site":
            self.window_.session.go(key)
        self.window_.session.set_pick([ref])
        self.window_.boards.centre_on([ref])

    def show_inside(self, row: SuspectRow | None) -> None:
        """The Enclosure view of the place of a suspect, with the suspect picked and hatched."""
        if row is None or not row.site:
            self.window_.notice.tell(Notice("note", "No suspect yet: mark who is down"))
            return
        self.window_.session.go(row.site)
        self.window_.session.show_view(ENCLOSURE)
        refs = refs_of(self.window_.document.plant, row.keys)
        self.window_.session.set_pick(refs)
        self.window_.boards.centre_on(refs)

    def light_suspects(self) -> None:
        """Hatch the suspects of the ticket in hand in every view."""
        self.window_.boards.show_suspects(self.window_.trace.suspect_keys)

    def trace_pick(self) -> None:
        """Show the path of what is picked."""
        if self.window_.session.node_of_pick() is None and not self.window_.session.lit:
            self.window_.notice.tell(Notice("note", "Pick a fibre, a joint, a port or a service first"))
            return
        self.window_.session.show_view(TRACE)

    def take_answer(self, answer: Answer) -> None:
        """What a line that changes nothing leads to: a path, a place, a list of names."""
        if answer.kind == "trace" and answer.nodes:
            self.window_.session.light(answer.nodes[0])
            self.window_.session.show_view(TRACE)
        elif answer.kind == "ticket":
            self.window_.session.show_ticket(answer.ids[0])
            self.window_.session.show_view(TRACE)
        elif answer.kind == "who":
            self.window_.notice.tell(Notice("note", answer_words(self.window_.document, answer)))
        elif answer.kind == "site" and answer.ids:
            self.window_.session.go(answer.ids[0])
        elif answer.kind == "tray" and answer.ids:
            self.go_to_ref(f"tray:{answer.ids[0]}")
        elif answer.kind == "finding" and answer.number is not None:
            found = self.window_.findings.show_finding(int(answer.number))
            if found is not None:
                self.window_.finding_work.go_to(found)
        elif answer.kind in ("cable", "find") and answer.ids:
            self._found(answer)
        else:
            labels = ", ".join(answer.labels[:4])
            self.window_.notice.tell(Notice("note", labels or "Nothing of that name"))

    def _found(self, answer: Answer) -> None:
        plant, key = self.window_.document.plant, answer.ids[0]
        for table, kind in (("sites", "site"), ("cables", "cable"), ("services", "service"), ("trays", "tray")):
            if key in plant.table(table):
                self.open_part(f"{kind}:{key}")
                return
