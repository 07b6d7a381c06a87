"""One edit on a 288-fibre enclosure, from the edit to fresh findings and a fresh canvas, and its share by part.

Peer: the same plant judged, gathered and drawn from nothing, which is what an edit costs without keeping anything in
step. Limit: 16 ms, one frame. Run: python tests/bench/bench_edit.py
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
sys.path.insert(0, str(Path(__file__).parent))
from clock import best_ms, table
from plants import full_enclosure
from PySide6.QtWidgets import QApplication

from gui.canvas.board import Board
from gui.document import Document
from gui.views.enclosure import unit_of
from gui.views.pictures import enclosure_view
from model.changes import Change, ChangeSet
from model.edits.routing import SetSupport
from model.entities import Reading
from model.graph import Continuity
from model.ids import RouteId, SpliceId
from model.plant import Plant
from model.rules.context import Facts
from model.rules.run import check, check_sites
from model.rules.touched import sites_touched
from model.storage.files import load
from model.storage.lock import Holder

SAMPLE = Path(__file__).parents[2] / "samples" / "larkmoor.gwp"


def moving(document: Document, route_id: RouteId) -> Callable[[], bool]:
    """An edit that moves the first corner of a route by 1 mm, to and fro."""
    route = document.plant.routes[route_id]
    index = next(i for i, support in enumerate(route.supports) if support.kind == "corner")
    there = [False]

    def edit() -> bool:
        there[0] = not there[0]
        support = route.supports[index]
        moved = replace(support, x_mm=support.x_mm + 1.0) if there[0] else support
        return document.do(SetSupport(route_id, index, moved, "move"))

    return edit


def measuring(document: Document, splice_id: SpliceId) -> Callable[[], None]:
    """An edit that enters a reading of a splice, another each time."""
    reading = [0.0]

    def edit() -> None:
        reading[0] += 0.001
        old = document.plant.splices[splice_id]
        new = replace(old, measured=(Reading(1550, "A-B", round(reading[0], 3)),))
        document.history.commit(ChangeSet("enter a reading", (Change("splices", old.id, old, new),)))

    return edit


def shares(document: Document, board: Board, site: str, changes: ChangeSet) -> list[tuple[str, float, str]]:
    """What each part of an edit costs, on its own."""
    plant, continuity = document.plant, document.continuity
    touched = sites_touched(plant, changes, continuity)
    groups = enclosure_view(plant, site, continuity=continuity)
    return [
        ("  graph in step", best_ms(lambda: continuity.update(changes)), ""),
        ("  which sites are touched", best_ms(lambda: sites_touched(plant, changes, continuity)), f"{len(touched)}"),
        ("  their rules", best_ms(lambda: check_sites(Facts(plant, continuity), touched)), ""),
        ("  picture", best_ms(lambda: enclosure_view(plant, site, continuity=continuity)), f"{len(groups)} groups"),
        ("  scene", best_ms(lambda: board.scene.show_groups(groups, unit_of(plant, site))), "nothing differs"),
    ]


def measure(title: str, plant: Plant, site: str) -> None:
    """Measure two edits of one enclosure."""
    document = Document(Holder("bench", "here", 1, "now"))
    document.new(plant)
    board = Board("canvas", to_scale=True)
    board.view.resize(1200, 800)
    board.view.show()

    def draw() -> None:
        groups = enclosure_view(document.plant, site, continuity=document.continuity)
        board.show_groups(groups, unit_of(document.plant, site), site)

    draw()
    splice = next(s.id for s in plant.splices.values() if s.site == site)
    route = next(
        r.id for r in plant.routes.values() if r.kind == "tube" and any(s.kind == "corner" for s in r.supports)
    )
    last: list[ChangeSet] = []
    document.changed.connect(last.append)
    for name, edit in (("move a corner", moving(document, route)), ("enter a reading", measuring(document, splice))):

        def whole(edit: Callable[[], object] = edit) -> None:
            edit()
            draw()

        def painted(whole: Callable[[], None] = whole) -> None:
            whole()
            board.view.grab()

        def from_nothing() -> None:
            check(document.plant)
            draw()

        table(
            f"{title}: {name}",
            [
                ("edit to findings and canvas", best_ms(whole, 15), "limit 16 ms"),
                ("with the whole view painted", best_ms(painted, 5), ""),
                *shares(document, board, site, (whole(), last[-1])[1]),  # type: ignore[func-returns-value]
                ("peer: graph, all rules and picture from nothing", best_ms(from_nothing), ""),
                ("peer: graph alone from nothing", best_ms(lambda: Continuity(document.plant)), ""),
            ],
        )


def main() -> None:
    """Measure and print."""
    app = QApplication.instance() or QApplication([])
    started = time.perf_counter()
    measure("288 splices, 48 drawn tubes", full_enclosure(), "box")
    sample = load(SAMPLE)
    measure("72-fibre sample", sample, next(e.site for e in sample.enclosures.values()))
    app.processEvents()
    print(f"\n{time.perf_counter() - started:.1f} s in all")


if __name__ == "__main__":
    main()
