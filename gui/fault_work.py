"""The fault sheet of the ticket in hand: drawn beside the window, then handed to the system's print or file chooser."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from gui.beside import Beside
from gui.document import Notice
from gui.session import TRACE
from model.dispatch.facts import Report, facts_of, report_of
from model.entities import Ticket
from model.errors import PlantError
from model.graph import Continuity
from model.plant import Plant
from render.drawing import Drawing
from render.outfiles import file_name
from render.sheets.fault import fault_sheet
from render.sheets.options import Options

if TYPE_CHECKING:
    from gui.window import MainWindow

Made = list[tuple[str, Drawing]]


def draw_fault(plant: Plant, report: Report, printed_on: str) -> Made:
    """The sheet with its file name. Raises PlantError for a reading that has no place."""
    continuity = Continuity(plant)
    name = file_name(f"fault-{report.number}" if report.number else "fault")
    return [(name, fault_sheet(continuity, facts_of(continuity, report), Options(printed_on=printed_on, file=name)))]


class FaultWork(QObject):
    """Prints and saves the sheet of a ticket."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self.window_ = window
        self.beside = Beside(self)

    @property
    def ticket(self) -> Ticket | None:
        """The ticket in hand, if somebody is down in it."""
        found = self.window_.document.plant.tickets.get(self.window_.session.ticket or "")
        return found if found is not None and found.down else None

    @property
    def in_sight(self) -> bool:
        """True when the sheet of the view in sight is the fault sheet."""
        trace = self.window_.boards.trace
        return self.window_.session.view == TRACE and self.ticket is not None and not trace.sheet_shown

    def make(self, then: Callable[[Made], None]) -> None:
        """Draw it beside the window and go on with it; what is wrong is said in a notice."""
        ticket = self.ticket
        if ticket is None:
            self.window_.notice.tell(Notice("note", "Mark who is down first: the fault sheet is drawn from the ticket"))
            return
        plant, report, today = self.window_.document.plant.copy(), report_of(ticket), self.window_.today()

        def arrived(made: Made | PlantError) -> None:
            if isinstance(made, PlantError):
                self.window_.notice.tell(Notice("error", str(made)))
            else:
                then(made)

        self.beside.run(lambda: draw_fault(plant, report, today), arrived)

    def print(self) -> None:
        """Print it."""
        self.make(self.window_.files.print_made)

    def save(self) -> None:
        """Save it as a drawing."""
        self.make(self.window_.files.save_made)
