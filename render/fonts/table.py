"""Writes ``advances.json`` from the two faces beside it: ``python -m render.fonts.table``.

The table holds, per weight, runs of neighbouring code points of the basic plane with their advances in
font units. Only this script needs fontTools, a development dependency; the product reads the table alone.
"""

from __future__ import annotations

import json
from pathlib import Path

HERE = Path(__file__).parent
FACES = {"normal": "DejaVuSansCondensed.ttf", "bold": "DejaVuSansCondensed-Bold.ttf"}


def runs(advances: dict[int, int]) -> list[list[object]]:
    """Neighbouring code points joined: ``[[first code point, [advance, advance, ...]], ...]``."""
    joined: list[tuple[int, list[int]]] = []
    for code, advance in sorted(advances.items()):
        if joined and joined[-1][0] + len(joined[-1][1]) == code:
            joined[-1][1].append(advance)
        else:
            joined.append((code, [advance]))
    return [[first, list(row)] for first, row in joined]


def main() -> None:
    """Read both faces and write the table beside them."""
    from fontTools.ttLib import TTFont

    table: dict[str, object] = {}
    for weight, file in FACES.items():
        with TTFont(HERE / file) as font:
            metrics = font["hmtx"]
            table["units_per_em"] = font["head"].unitsPerEm
            table["cap_height"] = font["glyf"]["H"].yMax
            table[weight] = runs(
                {code: metrics[name][0] for code, name in font.getBestCmap().items() if code <= 0xFFFF}
            )
    (HERE / "advances.json").write_text(json.dumps(table, separators=(",", ":")) + "\n", encoding="ascii")


if __name__ == "__main__":
    main()
