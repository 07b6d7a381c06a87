"""The foot of a splice schematic: legend, colour key with the patterns used on mono prints, and the count check.

Counts are sums a technician can check against the plant; each line adds up to the fibres of the cable. Millimetres.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Sequence

from model.lookup import cable_type, stops_at, tray_type
from model.plant import Plant
from render import style
from render.bands import band, ribbon
from render.blocks import chip
from render.box import Box
from render.drawing import Circle, Group, Line, Part, Path, Pen, Rect, Text
from render.legend import COLUMN_GAP, SAMPLE, SAMPLE_GAP, LegendEntry, legend
from render.looks import GlassLook, fibre_look
from render.marks import bracket_cap, slash_count, splice_dot
from render.sheets.splice_fold import runs_of
from render.sheets.splice_rows import SiteTable
from render.sheets.splice_strokes import RIBBON, level
from render.text import text_width, wrap

KEY_PITCH = 6.2
SIGN = SAMPLE + SAMPLE_GAP + COLUMN_GAP
TUBE, OLD, NEW, DONE, PLANNED = "tube, uncut", "fibre, existing", "fibre, new", "splice done", "splice planned"
STUB, MANY, LOOP, TRACED, PORT = "stub, capped", "equal range", "uncut fibre, loop", "traced path", "plug in a port"


def count_lines(plant: Plant, table: SiteTable) -> list[str]:
    """One sentence for each passing or ending cable and side, then splices and stubs."""
    lines: list[str] = []
    sides = defaultdict(list)
    for count in table.counts:
        sides[count.cable].append(count)
    single = Counter[tuple[int, int]]()
    for cable, counts in sides.items():
        if len(counts) == 1 and counts[0].side == ">" and counts[0].total <= 12:
            single[counts[0].joined, counts[0].stub] += 1
            continue
        texts = []
        for count in counts:
            side = ("Side A: " if count.side == "<" else "Side B: ") if len(counts) > 1 else ""
            parts = ((count.joined, "joined"), (count.stub, "stub"), (count.loop, "loop-through"))
            words = [f"{n} {word}" for n, word in (*parts, (count.express, "express")) if n] or ["0"]
            texts.append(f"{side}{' + '.join(words)} = {count.total}.")
        lines.append(f"{plant.cables[cable].name} {' '.join(texts)}")
    splices = [s for s in plant.splices.values() if s.site == table.site]
    done = sum(s.status in ("done", "existing") for s in splices)
    trays = {s.tray for s in splices if s.tray}
    slots = sum(tray_type(plant, plant.trays[tray]).slots for tray in trays if tray in plant.trays)
    text = f"Splices: {done} done + {len(splices) - done} planned = {len(splices)}"
    lines.append(text + (f", in trays of {slots} slots." if slots else "."))
    plugs = sum(plant.ports[mating.port].site == table.site for mating in plant.matings.values())
    if plugs:
        lines[-1] += f" Plugs: {plugs}."
    legs = [row for block in table.blocks if block.state == "legs" for row in block.rows if row.bundle.side == "out"]
    if legs:
        parked = sum(row.count for row in legs if row.state == "stub")
        held = sum(row.count for row in legs) - parked
        lines.append(f"Splitter legs: {held} joined + {parked} parked = {held + parked}.")
    drops = sum(single.values())
    if drops:
        joined = sum(n * joined for (joined, _), n in single.items())
        stubs = sum(n * stub for (_, stub), n in single.items())
        cables = "1 cable" if drops == 1 else f"{drops} cables"
        lines.append(f"Drops, {cables}: {joined} joined + {stubs} stub = {joined + stubs}.")
    return lines


def count_box(x: float, y: float, width: float, lines: Sequence[str]) -> tuple[list[Part], float]:
    """(shapes, height) of the count check."""
    parts: list[Part] = [Text(x, y + 4.0, "COUNT CHECK", weight="bold")]
    base = y + 4.0
    for line in lines:
        for piece in wrap(line, width - 27.0):
            parts.append(Text(x + 27.0, base, piece))
            base += 4.0
    return parts, base - y - 1.0


def key_looks(plant: Plant, site: str) -> list[GlassLook]:
    """The first dozen colours of the cable with most fibres here."""
    cables = [cable for cable, _, _ in stops_at(plant, site)]
    if not cables:
        return []
    cable = max(cables, key=lambda c: (cable_type(plant, c).fibre_count, c.name))
    most = min(12, cable_type(plant, cable).tubes[0])
    return [fibre_look(plant, cable, n) for n in range(1, most + 1)]


def colour_key(x: float, y: float, width: float, looks: Sequence[GlassLook], mono: bool) -> tuple[list[Part], float]:
    """(shapes, height) of the key: chips with a line in colour above the pattern of mono prints."""
    if not looks:
        return [], 0.0
    title = "COLOUR KEY: black patterns, number and letters"
    if not mono:
        title = "COLOUR KEY: upper line in colour, lower the pattern of mono prints"
    parts: list[Part] = [Text(x, y + 4.0, wrap(title, width, weight="bold")[0], weight="bold")]
    columns = max(1, min(6, int(width // 24)))
    pitch = width / columns
    for i, glass in enumerate(looks):
        left, middle = x + (i % columns) * pitch, y + 9.6 + (i // columns) * KEY_PITCH
        look = style.look_of("white") if mono else glass.look
        block = chip(left, middle - 1.9, glass.label, look, width=11.5)
        parts.append(block.group)
        start, end = block.box.right + 0.8, min(left + pitch - 1.5, block.box.right + 19.0)
        if end - start < 4.0:
            continue
        if not mono:
            parts.append(band(level(start, end, middle - 0.9), glass.colour, *style.BAND_OLD))
        parts.append(band(level(start, end, middle + (0.0 if mono else 0.9)), glass.colour, *style.BAND_OLD, mono=True))
    return parts, 9.6 + KEY_PITCH * ((len(looks) - 1) // columns) + 3.0


def occurring(table: SiteTable, traced: bool) -> frozenset[str]:
    """The signs that a schematic of these rows can hold: the words of its legend."""
    found: set[str] = {TRACED} if traced else set()
    for block in table.blocks:
        if any(len(run) > 1 for run in runs_of(block.rows)):
            found.add(MANY)
        for row in (*block.rows, *block.back):
            joined = row.state in ("joined", "plugged")
            if row.state == "express":
                found.add(TUBE)
                continue
            if row.state == "stub":
                found.add(STUB)
            elif row.state == "loop":
                found.add(LOOP)
            elif row.state == "plugged":
                found.add(PORT)
            elif row.status in ("done", "existing"):
                found.add(DONE)
            elif row.status:
                found.add(PLANNED)
            if joined or row.count == 1:
                found.add(NEW if row.status == "planned" else OLD)
            if row.count > 1 and not joined:
                found.add(MANY)
    return frozenset(found)


def signs(mono: bool, shown: Collection[str]) -> list[LegendEntry]:
    """The signs of the schematic with their meanings, of those that are ``shown``."""

    def tube(x: float, y: float) -> Part:
        return band(level(x, x + 13.0, y), "brown", *style.BAND_EXPRESS, mono=mono)

    def old(x: float, y: float) -> Part:
        return band(level(x, x + 13.0, y), "blue", *style.BAND_OLD, mono=mono)

    def new(x: float, y: float) -> Part:
        return band(level(x, x + 13.0, y), "red", *style.BAND_NEW, mono=mono)

    def many(x: float, y: float) -> Part:
        return Group((ribbon(level(x, x + 13.0, y), style.HARDWARE, RIBBON), slash_count(x + 5.0, y + 0.3, 10)))

    def stub(x: float, y: float) -> Part:
        return Group((Line(x + 2.0, y, x + 13.0, y, Pen(style.INK, style.W_HEAVY)), bracket_cap(x + 2.0, y)))

    def loop(x: float, y: float) -> Part:
        line = Line(x, y + 1.6, x + 13.0, y + 1.6, Pen(style.INK, style.W_HEAVY))
        return Group((line, Circle(x + 6.5, y - 0.4, 2.0, Pen(style.INK, style.W_HEAVY))))

    def port(x: float, y: float) -> Part:
        return Group((Rect(x + 3.9, y - 2.6, 5.2, 5.2, style.TAG), splice_dot(x + 6.5, y, False).parts[0]))

    def traced(x: float, y: float) -> Part:
        fill = style.HARDWARE if mono else style.TRACE
        paths = (Path(level(x, x + 13.0, y), Pen(style.INK, 4.4)), Path(level(x, x + 13.0, y), Pen(fill, 3.9)))
        return Group((*paths, old(x, y)))

    found = [
        LegendEntry(tube, TUBE),
        LegendEntry(old, OLD),
        LegendEntry(new, NEW),
        LegendEntry(lambda x, y: splice_dot(x + 6.5, y, True), DONE),
        LegendEntry(lambda x, y: splice_dot(x + 6.5, y, False), PLANNED),
        LegendEntry(stub, STUB),
        LegendEntry(many, MANY),
        LegendEntry(loop, LOOP),
        LegendEntry(traced, TRACED),
        LegendEntry(port, PORT),
    ]
    return [entry for entry in found if entry.text in shown]


def legend_box(box: Box, mono: bool, shown: Collection[str]) -> tuple[list[Part], float]:
    """(shapes, height) of the legend in a column of the sheet, in two rows or more, as many as no text is cut at."""
    entries = signs(mono, shown)
    if not entries:
        return [], 0.0
    for rows in (2, 3, 4, 5):
        columns = [entries[i : i + rows] for i in range(0, len(entries), rows)]
        need = sum(SIGN + max(text_width(entry.text) for entry in column) for column in columns)
        if need - COLUMN_GAP <= box.width:
            break
    block = legend(box.x, box.y, box.width, entries, rows=rows)
    return [block.group], block.height
