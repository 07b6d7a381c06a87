"""Panning and zooming 50 000 fibre curves, and one drag step of a tube, on the canvas.

Peer: the same curves as one QGraphicsPathItem each, in a plain view. Limit: 33 ms a frame (30 a second). A run of 288
fibres is one group, as a cable is. A drag step is judged, shown and painted. Run: python tests/bench/bench_canvas.py
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from itertools import count
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
sys.path.insert(0, str(Path(__file__).parent))
from clock import best_ms, table
from plants import full_enclosure
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen
from PySide6.QtWidgets import QApplication, QGraphicsPathItem, QGraphicsScene, QGraphicsView

from gui.canvas.board import Board
from gui.canvas.judging import judge, moved
from gui.document import Document
from gui.views.enclosure import unit_of
from gui.views.pictures import enclosure_view
from gui.views.route_tools import RouteTools, SupportDrag, handle_at
from model.plant import Plant
from model.rules.context import Facts
from model.rules.run import check_sites
from model.storage.files import load
from model.storage.lock import Holder
from render.drawing import CurveTo, Group, MoveTo, Pen
from render.drawing import Path as Outline

RUNS, FIBRES = 174, 288
COLOURS = ("#1f77b4", "#ff7f0e", "#2ca02c", "#8b4513", "#708090", "#c0c0c0")
SAMPLE = Path(__file__).parents[2] / "samples" / "larkmoor.gwp"


def curves() -> list[Group]:
    """174 runs of 288 curves, 50 112 in all, on 2900 x 1800 mm."""
    groups = []
    for run in range(RUNS):
        x, y = 500.0 * (run % 6), 62.0 * (run // 6)
        parts = []
        for fibre in range(FIBRES):
            top = y + 0.2 * fibre
            steps = (MoveTo(x, top), CurveTo(x + 150.0, top, x + 250.0, top + 30.0, x + 400.0, top + 30.0))
            parts.append(Outline(steps, Pen(COLOURS[fibre % 6], 0.15)))
        groups.append(Group(tuple(parts), role="run", ref=f"cable:{run}"))
    return groups


def peer(groups: list[Group]) -> tuple[QGraphicsView, QGraphicsScene]:
    """A plain view with one item per curve."""
    scene = QGraphicsScene()
    for group in groups:
        for part in group.parts:
            assert isinstance(part, Outline)
            path = QPainterPath()
            start, curve = part.steps
            assert isinstance(start, MoveTo)
            assert isinstance(curve, CurveTo)
            path.moveTo(start.x, start.y)
            path.cubicTo(curve.x1, curve.y1, curve.x2, curve.y2, curve.x, curve.y)
            item = QGraphicsPathItem(path)
            item.setPen(QPen(QColor(part.pen.stroke or "#000000"), part.pen.width))
            scene.addItem(item)
    view = QGraphicsView(scene)
    view.setRenderHint(QPainter.RenderHint.Antialiasing)
    view.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    view.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    view.resize(1200, 800)
    view.show()
    return view, scene


def panning(view: QGraphicsView) -> Callable[[], None]:
    """One step of 20 pixels to the right and back, painted."""
    steps = count()

    def pan() -> None:
        bar = view.horizontalScrollBar()
        bar.setValue(bar.value() + (20 if next(steps) % 2 else -20))
        QApplication.processEvents()

    return pan


def zooming(view: QGraphicsView) -> Callable[[], None]:
    """One step of zoom in and back, painted."""
    steps = count()

    def zoom() -> None:
        factor = 1.1 if next(steps) % 2 else 1 / 1.1
        view.scale(factor, factor)
        QApplication.processEvents()

    return zoom


def frames(groups: list[Group]) -> None:
    """Pan and zoom both ways, with everything in sight and close up."""
    board = Board("canvas", to_scale=True)
    built = best_ms(lambda: board.scene.show_groups(groups), 1)
    board.view.resize(1200, 800)
    board.view.show()
    other: list[tuple[QGraphicsView, QGraphicsScene]] = []
    peer_built = best_ms(lambda: other.append(peer(groups)), 1)
    plain, scene = other[0]
    rows = [("build", built, ""), ("peer: build, one item per curve", peer_built, "")]
    for name, scale in (("everything in sight", 0.0), ("close up, 4 px a mm", 4.0)):
        for title, view, mine in (("", board.view, True), ("peer: ", plain, False)):
            if scale == 0.0:
                board.view.fit() if mine else plain.fitInView(scene.sceneRect(), Qt.AspectRatioMode.KeepAspectRatio)
            elif mine:
                board.view.set_scale(scale, None)
                board.view.centerOn(200.0, 900.0)
            else:
                plain.resetTransform()
                plain.scale(scale, scale)
                plain.centerOn(200.0, 900.0)
            QApplication.processEvents()
            limit = "limit 33 ms" if mine else ""
            rows.append((f"{title}pan a step, {name}", best_ms(panning(view), 6), limit))
            rows.append((f"{title}zoom a step, {name}", best_ms(zooming(view), 6), limit))
    table(f"{RUNS * FIBRES} fibre curves, {RUNS} runs", rows)


def drag(title: str, plant: Plant, site: str) -> None:
    """One step of dragging a corner, with its share by part."""
    document = Document(Holder("bench", "here", 1, "now"))
    document.new(plant)
    board = Board("canvas", to_scale=True)
    board.view.resize(1200, 800)
    board.view.show()
    board.show_groups(enclosure_view(plant, site, continuity=document.continuity), unit_of(plant, site), site)
    route = next(r for r in plant.routes.values() if r.kind == "tube" and any(s.kind == "corner" for s in r.supports))
    index = next(i for i, support in enumerate(route.supports) if support.kind == "corner")
    tools = RouteTools(document, board.view, board.overlay)
    tools.pick(route.id)
    gesture = SupportDrag(tools, route, index, QPointF(0.0, 0.0))
    QApplication.processEvents()
    x, y = handle_at(route.supports[index])
    steps = count()

    def step() -> None:
        gesture.move(QPointF(x + next(steps) % 7 * 0.5, y), Qt.KeyboardModifier.NoModifier)

    def painted() -> None:
        step()
        QApplication.processEvents()

    judged = judge(plant, moved(route, index, x + 1.0, y))
    facts = Facts(plant, document.continuity)
    table(
        f"One drag step, {title}",
        [
            ("whole step, painted", best_ms(painted, 30), "limit 16 ms"),
            (
                "  geometry and its limit",
                best_ms(lambda: judge(plant, moved(route, index, x + next(steps) % 7, y)), 30),
                "",
            ),
            ("  scene: course, handles, tag", best_ms(lambda: tools.show_judged(judged, gesture.before), 30), ""),
            ("  all but paint", best_ms(step, 30), ""),
            ("  rules of the site, after the release only", best_ms(lambda: check_sites(facts, [site]), 5), ""),  # type: ignore[list-item]
            ("peer: picture made anew", best_ms(lambda: enclosure_view(plant, site), 5), ""),
        ],
    )


def main() -> None:
    """Measure and print."""
    app = QApplication.instance() or QApplication([])
    sample = load(SAMPLE)
    drag("72-fibre sample", sample, next(e.site for e in sample.enclosures.values()))
    drag("288 splices, 48 drawn tubes", full_enclosure(), "box")
    frames(curves())
    app.processEvents()


if __name__ == "__main__":
    main()
