"""Files for the window: open, save, recent plants, recovery after a crash, sheets to files and printers, closing.

Everything that can fail says so in a notice; the only windows that open are the system's file and print choosers.
Unsaved work is never lost: a plant with a file keeps its recovery log, one without is asked about before it goes.
"""

from __future__ import annotations

import datetime
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING

from platformdirs import user_state_path
from PySide6.QtCore import QObject
from PySide6.QtGui import QPageLayout, QPageSize, QPainter
from PySide6.QtWidgets import QFileDialog

from gui.canvas.shapes import group_strokes
from gui.document import Action, Notice
from gui.lit_refs import reference_of
from gui.panels.recent_list import RecentEntry
from gui.panels.start import RecoverData
from gui.session import ENCLOSURE, SPLICES, TRACE, TRAYS
from gui.views.pictures import shown_tray
from model.errors import PlantError
from model.plant import Plant
from model.templates import TEMPLATES
from render.drawing import Drawing, Group
from render.sheet_set import Request, drawings

if TYPE_CHECKING:
    from PySide6.QtPrintSupport import QPrinter

    from gui.window import MainWindow

RECENT = 12
PLANTS = "Plants (*.gwp)"


def strings(value: object) -> list[str]:
    """A list of texts as settings keep it: one text comes back bare, none as None."""
    if isinstance(value, str):
        return [value]
    return [str(item) for item in value] if isinstance(value, list | tuple) else []


class FileWork(QObject):
    """The file commands of one window."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self.window_ = window
        self.document = window.document
        self.leave = False
        self._answering = False
        self.document.changed.connect(lambda _changes: self.stay())
        self.document.opened.connect(self.stay)

    def tell(self, notice: Notice) -> None:
        """Tell in the notice row."""
        self.window_.notice.tell(notice)

    # -- recent --------------------------------------------------------------------------------------------------

    def recent(self) -> list[Path]:
        """Plants opened lately, the latest first; those gone are kept, and shown as gone."""
        return [Path(path) for path in strings(self.window_.settings.value("recent"))][:RECENT]

    def note_recent(self, path: Path) -> None:
        """Put a plant at the head of the recent ones."""
        whole = path.resolve()
        kept = [str(whole), *(str(p) for p in self.recent() if p != whole)][:RECENT]
        self.window_.settings.setValue("recent", kept)
        # On the disk now: after a crash the next start looks at the latest plant.
        self.window_.settings.sync()

    # -- opening -------------------------------------------------------------------------------------------------

    def _before_leaving(self, go_on: str) -> bool:
        """True when the open plant may be left; else a notice has asked."""
        if not self.document.is_open or self.document.history.clean or self.document.read_only:
            return True
        if self.document.path is not None:
            return True
        if self.leave:
            return self.keep()
        self.tell(
            Notice(
                "warning",
                f"The new plant is not saved. Save it first, or {go_on} again to keep it for later",
                (Action("Save as...", self._save_first),),
            )
        )
        self.leave = True
        return False

    def _save_first(self) -> None:
        self.choose_save()

    def keep(self) -> bool:
        """Keep a plant that has no file among the recent ones, under a name of its own; False if the disk refuses."""
        folder = (self.document.log_folder or user_state_path("glasswright")) / "kept"
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError as fault:
            self.tell(Notice("error", f"The new plant cannot be kept: {fault.strerror}. Save it first"))
            return False
        number = next(n for n in count(1) if not (folder / f"new-plant-{n}.gwp").exists())
        path = folder / f"new-plant-{number}.gwp"
        if not self.document.save_as(path):
            return False
        self.note_recent(path)
        self.tell(Notice("note", f"The new plant is kept as {path.name}, among the recent ones"))
        return True

    def new_empty(self) -> None:
        """An empty plant."""
        self.new_plant(Plant())

    def new_plant(self, plant: Plant) -> bool:
        """Work on a plant that has no file yet."""
        if not self._before_leaving("choose it"):
            return False
        self.document.new(plant)
        return True

    def new_from(self, template: str) -> bool:
        """Start from a template."""
        return self.new_plant(TEMPLATES[template]())

    def choose_open(self) -> None:
        """Ask the system for a plant file and open it."""
        path, _ = QFileDialog.getOpenFileName(self.window_, "Open a plant", self._folder(), PLANTS)
        if path:
            self.open_path(Path(path))

    def open_path(self, path: Path) -> bool:
        """Open a plant file; the open plant stays if that fails."""
        if not self._before_leaving("open it"):
            return False
        if not self.document.open(path):
            return False
        self.note_recent(path)
        return True

    def _folder(self) -> str:
        return str(self.document.path.parent if self.document.path else Path.cwd())

    def offer_recovery(self) -> None:
        """Steps that a crash left: bring them back, or leave them."""
        found = self.document.recovered
        if found is None or self._answering:
            return
        count = len(found.steps)
        last = found.steps[-1].name if found.steps else ""
        self.tell(
            Notice(
                "warning",
                f"{count} edit{'s were' if count != 1 else ' was'} not saved when the program stopped: {last}",
                (Action("Bring them back", self.bring_back), Action("Leave them", self.document.leave_behind)),
            )
        )

    def bring_back(self) -> None:
        """Do the recovered steps again."""
        if self.document.bring_back():
            self.tell(Notice("note", "The edits are back; save to keep them"))

    # -- saving --------------------------------------------------------------------------------------------------

    def save(self) -> bool:
        """Save, asking for a name when there is none."""
        if self.document.path is None:
            return self.choose_save()
        if self.document.save(Action("Save elsewhere...", self._save_first)):
            self.tell(Notice("note", f"Saved {self.document.name}"))
            return True
        return False

    def choose_save(self) -> bool:
        """Ask the system for a name and save there."""
        start = str(Path(self._folder()) / "plant.gwp")
        path, _ = QFileDialog.getSaveFileName(self.window_, "Save the plant", start, PLANTS)
        return self.save_to(Path(path)) if path else False

    def save_to(self, path: Path) -> bool:
        """Save under a name, with the ending it needs."""
        target = path if path.suffix == ".gwp" else path.with_name(path.name + ".gwp")
        if not self.document.save_as(target):
            return False
        self.note_recent(target)
        self.tell(Notice("note", f"Saved {target.name}"))
        return True

    def may_close(self) -> bool:
        """True when the window may go: all saved, or kept in the recovery log, or asked once already."""
        if not self.document.is_open or self.document.history.clean or self.document.read_only:
            return True
        if self.leave:
            return self.document.path is not None or self.keep()
        self.leave = True
        kept = "They stay in the recovery log" if self.document.path is not None else "The new plant is kept for later"
        self.tell(
            Notice(
                "warning",
                f"There are edits that are not saved. {kept} if you close again",
                (Action("Save", self.save_and_close), Action("Stay", self.stay)),
            )
        )
        return False

    def save_and_close(self) -> None:
        """Save, then close if that worked."""
        if self.save():
            self.leave = True
            self.window_.close()

    def stay(self) -> None:
        """Do not close after all."""
        self.leave = False

    def remember(self) -> None:
        """Keep what the next session wants to know."""
        settings = self.window_.settings
        settings.setValue("geometry", self.window_.saveGeometry())
        settings.setValue("lines", list(self.window_.line.lines))
        settings.setValue("night", self.window_.actions_by_key["night"].isChecked())
        settings.setValue("large", self.window_.large)

    # -- sheets --------------------------------------------------------------------------------------------------

    def sheet_request(self) -> Request | None:
        """The sheet of the view in sight; None, with a notice, when there is none."""
        session, plant = self.window_.session, self.document.plant
        sheet = {ENCLOSURE: "layout", TRAYS: "tray", SPLICES: "splices", TRACE: "path"}.get(session.view, "layout")
        if session.place is None:
            self.tell(Notice("note", "Choose a place first: its sheets are drawn"))
            return None
        ref = ""
        if sheet == "tray":
            tray = shown_tray(plant, session.place, session.tray)
            if tray is not None:
                ref = f'"{plant.sites[session.place].name}"/{plant.trays[tray].name}'
        if sheet == "path":
            lit = reference_of(self.document.continuity, session.lit) if session.lit else None
            if lit is None:
                self.tell(Notice("note", "Pick a fibre first, or say trace CABLE:FIBRE"))
                return None
            ref = lit
        return Request(sheet, session.place, ref, printed_on=self.window_.today())

    def sheets(self) -> list[tuple[str, Drawing]]:
        """The drawings of the view in sight; empty, with a notice, when they cannot be made."""
        request = self.sheet_request()
        if request is None:
            return []
        try:
            return drawings(self.document.plant, request)
        except PlantError as fault:
            self.tell(Notice("error", str(fault)))
            return []

    def choose_sheet(self) -> None:
        """Ask the system where to put the sheet of this view: with a ticket in sight, the fault sheet."""
        if self.window_.fault.in_sight:
            self.window_.fault.save()
        else:
            self.save_made(self.sheets())

    def save_made(self, made: list[tuple[str, Drawing]]) -> None:
        """Ask the system where to put sheets."""
        if not made:
            return
        start = str(Path(self._folder()) / f"{made[0][0]}.svg")
        path, _ = QFileDialog.getSaveFileName(self.window_, "Save the sheet", start, "Drawings (*.svg)")
        if path:
            self.write_sheets(made, Path(path))

    def write_sheets(self, made: list[tuple[str, Drawing]], path: Path) -> bool:
        """Write sheets to a file and numbered files beside it."""
        from render.svg import write  # here and below: what a window can open without is loaded when it is needed

        try:
            for index, (_, drawing) in enumerate(made):
                write(drawing, path if index == 0 else path.with_name(f"{path.stem}-{index + 1}{path.suffix}"))
        except (OSError, PlantError) as fault:
            self.tell(Notice("error", f"The sheet was not written: {fault}"))
            return False
        self.tell(Notice("note", f"Wrote {path.name}" + (f" and {len(made) - 1} more" if len(made) > 1 else "")))
        return True

    def choose_all(self) -> None:
        """Ask the system for a folder and write all sheets of the place."""
        folder = QFileDialog.getExistingDirectory(self.window_, "Folder for the sheets", self._folder())
        if folder:
            self.write_all(Path(folder))

    def write_all(self, folder: Path) -> bool:
        """Write all sheets of the place into a folder."""
        from render.svg import write

        place = self.window_.session.place
        if place is None:
            self.tell(Notice("note", "Choose a place first: its sheets are drawn"))
            return False
        try:
            made = drawings(self.document.plant, Request("all", place, printed_on=self.window_.today()))
            for name, drawing in made:
                write(drawing, folder / f"{name}.svg")
        except (OSError, PlantError) as fault:
            self.tell(Notice("error", f"The sheets were not written: {fault}"))
            return False
        self.tell(Notice("note", f"Wrote {len(made)} sheets into {folder.name}"))
        return True

    def print_sheet(self) -> None:
        """Ask the system for a printer and print the sheet of this view: with a ticket in sight, the fault sheet."""
        if self.window_.fault.in_sight:
            self.window_.fault.print()
        else:
            self.print_made(self.sheets())

    def print_made(self, made: list[tuple[str, Drawing]]) -> None:
        """Ask the system for a printer and print sheets."""
        if not made:
            return
        from PySide6.QtPrintSupport import QPrintDialog, QPrinter

        printer = QPrinter(QPrinter.PrinterMode.HighResolution)
        set_page(printer, made[0][1])
        chooser = QPrintDialog(printer, self.window_)
        if chooser.exec():
            print_drawings(printer, [drawing for _, drawing in made])

    # -- the start page ------------------------------------------------------------------------------------------

    def fill_start(self) -> None:
        """Show the recent plants, and what a crash left of the latest."""
        entries = []
        for path in self.recent():
            gone = not path.exists()
            second = "not found where it was" if gone else path.parent.name
            when = "" if gone else datetime.date.fromtimestamp(path.stat().st_mtime).isoformat()
            entries.append(RecentEntry(str(path), path.name, second, when, missing=gone))
        self.window_.start.show_recent(entries)
        self.window_.start.show_recovery(self._left_behind())

    def _left_behind(self) -> RecoverData | None:
        """The steps a crash left of the plant opened last; None when there are none."""
        if not self.recent() or self.document.is_open:
            return None
        path = self.recent()[0]
        found = self.document.left_behind(path)
        if found is None:
            return None
        steps = tuple(("", step.name) for step in reversed(found.steps[-3:]))
        return RecoverData(path.name, len(found.steps), steps=steps)

    def answer_recovery(self, answer: str) -> None:
        """Bring the steps back, look at the file without them first, or leave them."""
        recent = self.recent()
        if not recent:
            return
        self._answering = answer != "look"
        try:
            opened = self.document.open(recent[0])
        finally:
            self._answering = False
        if opened and answer == "bring":
            self.bring_back()
        elif opened and answer == "leave":
            self.document.leave_behind()


def set_page(printer: QPrinter, drawing: Drawing) -> None:
    """Give the printer the paper of a drawing."""
    from PySide6.QtCore import QMarginsF, QSizeF

    size = QPageSize(QSizeF(drawing.width, drawing.height), QPageSize.Unit.Millimeter)
    layout = QPageLayout(size, QPageLayout.Orientation.Portrait, QMarginsF(0, 0, 0, 0))
    printer.setPageLayout(layout)
    printer.setFullPage(True)


def print_drawings(printer: QPrinter, sheets: list[Drawing]) -> None:
    """Paint drawings on a printer, a page each, true to size."""
    painter = QPainter()
    set_page(printer, sheets[0])
    painter.begin(printer)
    for index, drawing in enumerate(sheets):
        if index:
            set_page(printer, drawing)
            printer.newPage()
        painter.save()
        per_mm = printer.resolution() / 25.4
        painter.scale(per_mm, per_mm)
        for stroke in group_strokes(Group(drawing.parts)):
            painter.setPen(stroke.pen)
            painter.setBrush(stroke.brush)
            painter.drawPath(stroke.path)
        painter.restore()
    painter.end()
