"""Working through the findings: to the next one, to what it is about, its cure, accepting it with a reason."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from gui.canvas.judging import nearest_legal
from gui.document import Notice
from gui.findings_refs import refs_of, view_of
from gui.views.route_tools import SupportDrag
from model.edits.parts import Add, Remove
from model.edits.routing import DrawRoute
from model.entities import Acceptance
from model.rules.registry import Finding

if TYPE_CHECKING:
    from gui.window import MainWindow


class FindingWork(QObject):
    """What the findings panel and its keys do."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self.window_ = window
        self._reached: tuple[str, tuple[str, ...], tuple[str, ...]] | None = None

    def in_hand(self) -> bool:
        """True while the row in sight is the finding gone to last and nothing else has been picked since."""
        row = self.window_.findings.current()
        if row is None:
            return False
        return self._reached == (row.finding.rule, tuple(row.finding.refs), self.window_.session.pick)

    def step(self, by: int) -> None:
        """Go to the next or the previous finding: round this place, then on to the next place that has any."""
        if self.window_.findings.at_end(by):
            other = self._place_with_findings(by)
            if other is not None:
                self.window_.session.go(other)
                self.window_.findings.start_anew()
        found = self.window_.findings.step(by)
        if found is not None:
            self.go_to(found)

    def _place_with_findings(self, by: int) -> str | None:
        """The next or previous place, in the order of the plant, with a finding that nobody has accepted."""
        here = self.window_.session.place
        found = {finding.site for finding in self.window_.document.findings if not finding.accepted}
        places: list[str] = [site for site in self.window_.document.plant.sites if site in found or site == here]
        if here not in places or len(places) < 2:
            return None
        return places[(places.index(here) + by) % len(places)]

    def go_to(self, finding: Finding) -> None:
        """Bring what a finding is about into sight and pick it."""
        refs = refs_of(self.window_.document.plant, finding)
        self.window_.session.go(finding.site)
        if refs:
            self.window_.session.show_view(view_of(refs))
            self.window_.session.set_pick(refs[:1])
            self.window_.boards.centre_on(refs)
        self._reached = (finding.rule, tuple(finding.refs), self.window_.session.pick)

    def cure(self) -> None:
        """Cure what is in hand: the drag, else the finding in sight."""
        gesture = self.window_.boards.current.view.gesture
        if isinstance(gesture, SupportDrag):
            gesture.cure()
            return
        if self.window_.findings.cure():
            return
        row = self.window_.findings.current()
        if row is not None and not row.finding.accepted and not self._cure_bend(row.finding):
            self.window_.notice.tell(Notice("note", "No cure is known for it: mend it by hand, or accept it (F2)"))

    def _cure_bend(self, finding: Finding) -> bool:
        """Move a corner of a route that bends too tightly to the nearest place with room; False where there is none."""
        plant = self.window_.document.plant
        route = next((plant.routes[key] for key in finding.refs if key in plant.routes), None)
        if route is None or not finding.rule.startswith("bend."):
            return False
        made = nearest_legal(plant, route)
        return made is not None and self.window_.document.do(
            DrawRoute(made, f"cure {finding.rule}: make room for the bend")
        )

    def do_cure(self, finding: Finding, number: int) -> None:
        """Do one of a finding's cures as one step."""
        if 0 <= number < len(finding.cures):
            edits = finding.cures[number]
            self.window_.document.do(*edits, name=f"cure {finding.rule}: {edits[0].name}")

    def accept(self, finding: Finding, reason: str, name: str) -> None:
        """Accept a finding with a reason; it stays in sight and comes back if it worsens."""
        key = f"{finding.rule} {' '.join(finding.refs)}"
        if key in self.window_.document.plant.acceptances:
            self.withdraw(finding)
        entry = Acceptance(key, finding.rule, finding.refs, finding.measured, reason, name, self.window_.today())
        self.window_.document.do(Add((entry,), f"accept {finding.rule}"))

    def withdraw(self, finding: Finding) -> None:
        """Let an accepted finding stand again."""
        for key, entry in self.window_.document.plant.acceptances.items():
            if entry.rule == finding.rule and entry.refs == finding.refs:
                self.window_.document.do(Remove("acceptances", key, f"no longer accept {finding.rule}"))
                return
