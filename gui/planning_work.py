"""The planner at work in the window: a question is a line, the Line reads it, and the panel shows what it found.

So whatever the panel does can be typed, and a typed question opens the panel. Only the Line applies anything.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from gui.panels.plan import PlanPanel
from model.line.names import natural
from model.line.questions import Question
from model.line.readback import Reading
from model.lookup import passes, stops_at
from render.refs import split_ref

if TYPE_CHECKING:
    from gui.window import MainWindow


class PlanWork(QObject):
    """Ties the panel to the Line of a window."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self.window_ = window
        self.panel = PlanPanel()
        self.panel.hide()
        self.panel.asked.connect(window.control.put)
        self.panel.applied.connect(window.control.enter)
        self.panel.dropped.connect(self.drop)
        window.control.understood.connect(self.show_reading)
        window.document.opened.connect(self.panel.hide)

    def ask(self, kind: str) -> None:
        """Ask one of the three questions about the place in sight, with what is picked."""
        if not self.window_.document.is_open:
            return
        cables = self.cables()
        question = Question(kind, keep=10 if kind == "trays" else 0)
        if kind == "drops":
            picked = [self._name(ref) for ref in self.window_.session.pick]
            feeder = next((name for name in picked if name in cables), cables[0] if cables else "")
            drops = [name for name in dict.fromkeys(picked) if name and name not in cables]
            question = Question("drops", ",".join(drops) or "all", feeder)
        self.panel.ask_first(question, cables)
        self.panel.show()
        self.window_.control.put(question.text())
        self.panel.take_focus()

    def _name(self, ref: str) -> str:
        kind, key, _ = split_ref(ref)
        cables = self.window_.document.plant.table("cables")
        return str(cables[key].name) if kind in ("cable", "tube", "fibre") and key in cables else ""

    def cables(self) -> list[str]:
        """Names of the cables that pass the place in sight, or any box where that is the whole plant."""
        plant, place = self.window_.document.plant, self.window_.session.place
        sites = [place] if place is not None else sorted({box.site for box in plant.enclosures.values()})
        found = {c.name for site in sites for c, index, _ in stops_at(plant, site) if passes(c, index)}
        return sorted(found, key=natural)

    def show_reading(self, reading: Reading | None) -> None:
        """Show what the Line reads, if it asks the planner; else the panel goes."""
        asks = reading is not None and reading.text.split(None, 1)[:1] == ["plan"]
        if reading is None or not (asks or reading.plan):
            self._hide()
        elif reading.plan is not None or self.panel.isVisible():
            self.panel.show()
            self.panel.show_reading(reading, self.cables())

    def _hide(self) -> None:
        held = self.panel.isAncestorOf(self.window_.focusWidget()) if self.window_.focusWidget() else False
        self.panel.hide()
        if held:
            self.window_.boards.front.setFocus()

    def drop(self) -> None:
        """Esc: the question goes from the Line, and the panel with it."""
        self.window_.control.put("")
        self._hide()
