"""Make the pictures of the README: ``python samples/pictures.py`` draws sheets and the window into samples/pictures.

``python samples/pictures.py FOLDER`` instead grabs all five views of both samples, by day and by night, for looking at.

Everything in them comes from the sample plants; set QT_QPA_PLATFORM=offscreen on a machine without a screen.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PySide6.QtCore import QPointF, QSettings, QSize, Qt
from PySide6.QtGui import QImage, QPainter
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from gui.app import make_window
from gui.canvas.shapes import group_strokes
from gui.panels.typed_field import TypedField
from gui.session import VIEWS
from gui.theme import load_fonts
from gui.window import MainWindow
from model.dispatch.facts import Report, facts_of
from model.graph import Continuity
from model.ids import SiteId
from model.nodes import node_of
from model.otdr.reading import Reading
from model.storage.files import load
from render.drawing import Drawing, Group
from render.sheet_set import Request, drawings
from render.sheets.fault import fault_sheet
from render.sheets.options import Options

HERE: Final = Path(__file__).parent
OUT: Final = HERE / "pictures"
PRINTED_ON: Final = "2026-11-25"
WIDE: Final = 1800
"""Pixels across a sheet."""


def paint(drawing: Drawing, pixels: int = WIDE) -> QImage:
    """A drawing as a picture."""
    per_mm = pixels / drawing.width
    image = QImage(QSize(pixels, round(drawing.height * per_mm)), QImage.Format.Format_RGB32)
    image.fill(Qt.GlobalColor.white)
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.scale(per_mm, per_mm)
    for stroke in group_strokes(Group(drawing.parts)):
        painter.setPen(stroke.pen)
        painter.setBrush(stroke.brush)
        painter.drawPath(stroke.path)
    painter.end()
    return image


def sheets() -> None:
    """All sheets of Thistlemere and Larkmoor, the schematic of Bramblecote."""
    for name, site in (("thistlemere", "wb-07"), ("larkmoor", "wb-12")):
        plant = load(HERE / f"{name}.gwp")
        for sheet, drawing in drawings(plant, Request("all", plant.sites[site].id, printed_on=PRINTED_ON)):
            wide = WIDE if drawing.width > drawing.height else round(WIDE * 0.7)
            paint(drawing, wide).save(str(OUT / f"{name}-{sheet}.png"))

    plant = load(HERE / "bramblecote.gwp")
    first = drawings(plant, Request("splices", plant.sites[SiteId("bc-5")].id, printed_on=PRINTED_ON))[0][1]
    paint(first).save(str(OUT / "bramblecote-splices.png"))


def say(made: MainWindow, *lines: str) -> None:
    """Type lines and do them."""
    for line in lines:
        made.line.setText(line)
        made.line.setFocus()
        QTest.keyClick(made.line, Qt.Key.Key_Return)
        QApplication.processEvents()


def fault() -> None:
    """The fault sheet of the Marrowfield ticket."""
    plant = load(HERE / "marrowfield.gwp")
    names = {service.name: service.id for service in plant.services.values()}
    down = tuple(names[name] for name in ("C5", "C6", "C9", "C10", "C11"))
    up = tuple(key for key in names.values() if key not in down)
    continuity = Continuity(plant)
    reading = Reading(3359.0, index=1.4682, lead_m=150.0)
    report = Report("FT 118", "2026-02-11 02:10", down, up, node_of(continuity, "MF-48:17"), reading)
    options = Options(printed_on=PRINTED_ON, file="fault.svg")
    paint(fault_sheet(continuity, facts_of(continuity, report), options), round(WIDE * 0.7)).save(
        str(OUT / "marrowfield-fault.png")
    )


def window(name: str) -> MainWindow:
    """A window on a sample, as a desk shows it."""
    folder = TemporaryDirectory()
    made = make_window(QSettings(f"{folder.name}/settings.ini", QSettings.Format.IniFormat), Path(folder.name))
    made.show()
    made.open_path(HERE / f"{name}.gwp")
    QApplication.processEvents()
    return made


def grab(made: MainWindow, name: str) -> None:
    """Save what the window shows."""
    for _ in range(3):
        QApplication.processEvents()
    made.grab().save(str(OUT / f"{name}.png"))


def windows() -> None:
    """The window: a drag judged as it moves, a line read back, the trays, a path, by night."""
    made = window("thistlemere")
    made.session.set_pick(["route:tube tm-b1.wb-07 T2>"])
    tools, view = made.boards.tools, made.boards.current.view
    gesture = tools.gesture_at(QPointF(*_handle(made, 1)), 10.0)
    if gesture is not None:
        view.gesture = gesture
        gesture.move(QPointF(165.0, 88.0), Qt.KeyboardModifier.AltModifier)
    grab(made, "window-drag")
    view.cancel_gesture()
    made.session.set_pick(["fibre:d-1:3"])
    made.session.show_view(3)
    made.line.setText("part TM-B1:13-16; join TM-B1:16-13 to D-1:1-4 on tray 1 from 5")
    grab(made, "window-line")
    made.line.clear()
    made.session.show_view(2)
    grab(made, "window-trays")
    made.session.show_view(1)
    made.set_night(True)
    grab(made, "window-night")
    made.document.close()
    made.close()
    made = window("larkmoor")
    made.session.show_view(0)
    grab(made, "window-route")
    made.session.show_view(3)
    say(made, "part tray 2 all")
    made.actions_by_key["plan_tubes"].trigger()
    grab(made, "window-plan")
    made.document.close()
    made.close()
    made = window("marrowfield")
    made.session.show_view(4)
    say(made, "down C5 C6 C9..C11", "up C1..C4 C7 C8 C12", "read MF-48:17 3359")
    for name, text in (("index set", "1.4682"), ("launch lead", "150 m")):
        field = made.findChild(TypedField, f"field {name}")
        field.setText(text)
        field.setModified(True)
        field.commit()
    grab(made, "window-trace")
    made.document.close()


def views(folder: Path) -> None:
    """Every view of both samples with a path lit, by day and by night."""
    for name, fibre in (("thistlemere", "fibre:d-1:3"), ("larkmoor", "fibre:d-03:1")):
        made = window(name)
        made.session.set_pick([fibre])
        for night in (False, True):
            made.set_night(night)
            for number, view in enumerate(VIEWS):
                made.session.show_view(number)
                for _ in range(3):
                    QApplication.processEvents()
                made.grab().save(str(folder / f"{name}-{view.lower()}-{'night' if night else 'day'}.png"))
        made.document.close()
        made.close()


def _handle(made: MainWindow, index: int) -> tuple[float, float]:
    route = made.boards.tools.route
    if route is None:
        return 0.0, 0.0
    return route.supports[index].x_mm, route.supports[index].y_mm


def main() -> int:
    """Make every picture."""
    OUT.mkdir(exist_ok=True)
    app = QApplication(sys.argv[:1])
    app.setStyle("Fusion")
    load_fonts()
    if len(sys.argv) > 1:
        folder = Path(sys.argv[1])
        folder.mkdir(parents=True, exist_ok=True)
        views(folder)
        return 0
    sheets()
    fault()
    windows()
    return 0


if __name__ == "__main__":
    sys.exit(main())
