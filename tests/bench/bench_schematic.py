"""A schematic of 288 splices from the plant to SVG text, beside a plain svgwrite document with as many shapes.

Folded is the sheet as drawn by default, one row a tube; unfolded gives every fibre its own row, on two dozen.
Limit: 100 ms for the folded sheet after warm-up. Run: python tests/bench/bench_schematic.py
"""

from __future__ import annotations

import sys
from pathlib import Path

import svgwrite

sys.path.insert(0, str(Path(__file__).parent))
from clock import best_ms, table

from model.catalogue import parts_for
from model.entities import Cable, Enclosure, FibreEnd, Site, Splice, Stop, Tray
from model.graph import Continuity
from model.ids import CableId, CableTypeId, EnclosureId, EnclosureTypeId, SiteId, SpliceId, StopId, TrayId, TrayTypeId
from model.plant import Entity, Plant
from render.drawing import Drawing, walk
from render.sheets.options import Options
from render.sheets.splices import splice_sheets
from render.svg import to_svg

OPTIONS = Options(printed_on="2026-01-01")


def straight_joint(count: int = 288, kind: str = "lt-288") -> Plant:
    """Two cables ending at one joint, fibre to fibre, 24 splices to a tray."""
    ex, joint, far = SiteId("ex"), SiteId("j"), SiteId("fa")
    near_id, far_id, box = CableId("a"), CableId("b"), EnclosureId("e")
    near = Cable(near_id, "NG-A1", CableTypeId(kind), (Stop(StopId("a.ex"), ex), Stop(StopId("a.j"), joint)))
    beyond = Cable(far_id, "AF-B1", CableTypeId(kind), (Stop(StopId("b.j"), joint), Stop(StopId("b.fa"), far)))
    entities: list[Entity] = [
        *parts_for(kind, "tray-24", "wall-box-large"),
        Site(ex, "Nettle Green", "exchange"),
        Site(joint, "Alder Fork", "enclosure"),
        Site(far, "Quarry Gate", "cabinet"),
        near,
        beyond,
        Enclosure(box, joint, EnclosureTypeId("wall-box-large"), "Alder Fork"),
    ]
    entities += [Tray(TrayId(f"t{n}"), box, TrayTypeId("tray-24"), n, str(n)) for n in range(1, count // 24 + 1)]
    entities += [
        Splice(
            SpliceId(f"s{n}"),
            joint,
            FibreEnd(near_id, n, StopId("a.j"), "<"),
            FibreEnd(far_id, n, StopId("b.j"), ">"),
            TrayId(f"t{(n - 1) // 24 + 1}"),
            (n - 1) % 24 + 1,
        )
        for n in range(1, count + 1)
    ]
    return Plant(entities)


def plain(shapes: int) -> str:
    """A document of so many paths and texts, made by svgwrite alone."""
    document = svgwrite.Drawing(size=("420mm", "297mm"), viewBox="0 0 420 297", debug=False)
    for n in range(shapes):
        y = 10.0 + n % 270
        if n % 4:
            document.add(document.path(d=f"M20 {y} L390 {y}", stroke="#111111", fill="none", stroke_width=0.5))
        else:
            document.add(document.text(f"fibre {n}", insert=(20, y), font_size=3.4))
    return str(document.tostring())


def shapes_of(drawings: list[Drawing]) -> int:
    """How many shapes some sheets hold."""
    return sum(1 for drawing in drawings for _ in walk(drawing.parts))


def main() -> None:
    """Measure and print."""
    plant = straight_joint()
    continuity = Continuity(plant)
    for title, unfold in (("288 splices, equal ranges folded", False), ("288 splices, every fibre a row", True)):

        def draw(unfold: bool = unfold) -> list[Drawing]:
            return splice_sheets(plant, "j", OPTIONS, unfold=unfold, continuity=continuity)

        sheets = draw()
        shapes = shapes_of(sheets)
        table(
            f"{title}: {len(sheets)} sheets, {shapes} shapes",
            [
                (
                    "graph, rows, drawing and SVG",
                    best_ms(lambda u=unfold: [to_svg(d) for d in splice_sheets(plant, "j", OPTIONS, unfold=u)]),
                    "" if unfold else "limit 100 ms",
                ),
                ("rows and drawing", best_ms(draw), ""),
                ("SVG of the drawing", best_ms(lambda s=sheets: [to_svg(d) for d in s]), ""),
                ("plain svgwrite, as many shapes", best_ms(lambda n=shapes: plain(n)), ""),
            ],
        )


if __name__ == "__main__":
    main()
