"""What the table of joints shows of a site: one row for every joint and plug, every uncut tube, every loop and stub.

The rows come from the same table as the splice schematic, so that both always count the same.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

from model.graph import Continuity
from model.line.pasted import BadRow
from model.line.readback import Reading
from model.numbers import from_text, to_text
from render.refs import bundle_ref, fibre_ref, port_ref, splice_ref, split_ref, tube_ref
from render.sheets.splice_build import build
from render.sheets.splice_rows import Bundle, Row, SiteTable
from render.sheets.splice_words import Words

Kind = Literal["joint", "plug", "uncut", "loop", "stub", "parked", "preview", "bad"]
SHOWN_SERVICES = 3
DONE, PLANNED = "\u25cf", "\u25cb"
"""The dot of a joint, filled once it is made, as on the sheets."""


@dataclass(frozen=True, slots=True)
class JointRow:
    """One row: its cells, what it pictures, and how many fibres it stands for."""

    kind: Kind
    cells: tuple[str, str, str, str, str, str]
    ref: str
    count: int
    spoken: str
    glass: frozenset[str] = frozenset()
    """Refs of the fibres in it."""
    fills: tuple[str, str] = ("", "")
    """Colours of the glass on the left and on the right, ``#RRGGBB``; empty where there is no one colour."""


@dataclass(frozen=True, slots=True)
class Counts:
    """What a site holds, in the words of every form of the view."""

    joints: int
    plugs: int
    tubes: int
    loops: int
    stubs: int
    parked: int = 0

    @property
    def words(self) -> str:
        """``4 joints, 3 tubes UNCUT, 8 fibres UNCUT in opened tubes, 4 stubs``; what is not there is left out."""
        said = (
            (self.joints, "joint", "joints"),
            (self.plugs, "plug", "plugs"),
            (self.tubes, "tube UNCUT", "tubes UNCUT"),
            (self.loops, "fibre UNCUT in an opened tube", "fibres UNCUT in opened tubes"),
            (self.stubs, "stub", "stubs"),
            (self.parked, "parked leg", "parked legs"),
        )
        return ", ".join(f"{n} {one if n == 1 else more}" for n, one, more in said if n) or "no joints yet"


def count_of(rows: Iterable[JointRow]) -> Counts:
    """Sums over rows: joints, plugs and tubes count as rows, loops, stubs and legs one by one, previews not."""
    sums = dict.fromkeys(("joint", "plug", "uncut", "loop", "stub", "parked"), 0)
    for row in rows:
        if row.kind in sums:
            sums[row.kind] += row.count if row.kind in ("loop", "stub", "parked") else 1
    return Counts(*sums.values())


def joint_rows(continuity: Continuity, site: str | None) -> list[JointRow]:
    """Every row at a site in the order of the schematic; none where nothing stops."""
    plant = continuity.plant
    if site is None or site not in plant.sites:
        return []
    table: SiteTable = build(continuity, site)
    words = Words(plant, site)
    rows: list[JointRow] = []
    for block in table.blocks:
        rows += [_row(words, row) for row in block.rows]
        # A joint of the other side has its own row where its partner stands.
        rows += [_row(words, row) for row in block.back if row.state not in ("joined", "plugged")]
    return rows


def preview_rows(reading: Reading | None, left_out: Iterable[BadRow] = ()) -> list[JointRow]:
    """The joints that a typed line would make, as rows that say so, after the rows that are left out of it."""
    made = [
        JointRow("bad", (f"row {bad.row}", "left out", "", bad.why, "bad row", ""), "", 1, f"left out: {bad}")
        for bad in left_out
    ]
    for row in reading.rows if reading is not None else ():
        slot = f"{row.tray} / {row.slot}" if row.slot is not None else row.tray or "no tray"
        cells = (slot, row.a, row.b, "", f"preview, {row.state}", f"plan {row.planned_db:.2f}")
        made.append(JointRow("preview", cells, "", 1, f"preview: slot {slot}, {row.a} to {row.b}, {row.state}"))
    return made


def fibres_of_bundles(refs: Iterable[str]) -> list[str]:
    """Refs with those of bundles taken apart: fibres that run as one are picked fibre by fibre."""
    found: list[str] = []
    for ref in refs:
        kind, key, numbers = split_ref(ref)
        found += [fibre_ref(key, n) for n in from_text(numbers.rstrip("<>"))] if kind == "fibres" else [ref]
    return found


def _row(words: Words, row: Row) -> JointRow:
    glass = {fibre_ref(b.owner, n) for b in (row.left, row.right) if b and b.kind == "cable" for n in b.numbers}
    fills = _fill(words, row.left), _fill(words, row.right)
    said = _said(words, row)
    return replace(said, glass=frozenset(glass), fills=(fills[0], fills[1] if said.kind != "loop" else ""))


def _fill(words: Words, bundle: Bundle | None) -> str:
    """Colour of a lone fibre, or of the tube several lie in."""
    if bundle is None or bundle.kind != "cable":
        return ""
    if len(bundle.numbers) == 1:
        return words.fibre(bundle.owner, bundle.numbers[0]).fill
    return words.tube(bundle.owner, bundle.tube).fill


def _said(words: Words, row: Row) -> JointRow:
    bundle = row.bundle
    left = _end(words, row.left) if row.left else ""
    right = _end(words, row.right) if row.right else ""
    if row.state == "express":
        cells = ("UNCUT", left, right, "", f"UNCUT {row.count}", "")
        return JointRow("uncut", cells, tube_ref(bundle.owner, bundle.tube), row.count, f"{left} uncut, runs through")
    if row.state == "loop":
        where = words.stored(row)
        cells = ("UNCUT", left, where or right, "", f"UNCUT {row.count}", "")
        return JointRow("loop", cells, _glass_ref(bundle), row.count, f"{left} uncut in an opened tube, {where}")
    if row.state == "stub" and bundle.kind == "splitter":
        names = words.parked(row)
        sort: Kind = "parked" if bundle.side == "out" else "stub"
        return JointRow(sort, ("", left, names[0], "", names[2], ""), "", row.count, f"{left}, {names[0]}")
    if row.state == "stub":
        left, right = (left, words.stub(row)) if row.left else (words.stub(row), right)
        cells = ("stub", left, right, "", f"STUB {row.count}", "")
        return JointRow("stub", cells, _glass_ref(bundle), row.count, f"stub {left or right}, {words.stub(row)}")
    served = [words.plant.services[key].name for key in row.services]
    service = ", ".join(served) if len(served) <= SHOWN_SERVICES else f"{len(served)} services"
    state, (kind, loss) = words.state(row), words.loss(row)
    if row.state == "plugged":
        port = next((b for b in (row.left, row.right) if b is not None and b.kind == "port"), None)
        ref = port_ref(port.nodes[0].rpartition("/")[0]) if port else _glass_ref(bundle)
        return JointRow("plug", ("port", left, right, service, state, loss), ref, 1, f"{left} plugged to {right}")
    tray = words.plant.trays[row.tray].name if row.tray in words.plant.trays else ""
    slot = f"{tray} / {row.slots[0]}" if row.slots else tray or "no tray"
    made = row.status in ("done", "existing")
    cells = (slot, left, right, service, f"{DONE if made else PLANNED} {state}", " ".join(filter(None, (kind, loss))))
    spoken = f"slot {slot}, {left} to {right}, {service}, {state}" + (", joint not made" if not made else "")
    return JointRow("joint", cells, splice_ref(row.splices[0]), 1, spoken)


def _end(words: Words, bundle: Bundle) -> str:
    """``TM-B1:13 BL A``: the end as the schematic names it, with the letters of a lone fibre's colour."""
    text = words.end(bundle)
    if bundle.kind != "cable":
        return text
    if len(bundle.numbers) == 1:
        return f"{text}  {words.fibre(bundle.owner, bundle.numbers[0]).label}"
    return f"{text}  {words.tube(bundle.owner, bundle.tube).label}"


def _glass_ref(bundle: Bundle) -> str:
    if bundle.kind != "cable":
        return ""
    if len(bundle.numbers) == 1:
        return fibre_ref(bundle.owner, bundle.numbers[0])
    return bundle_ref(bundle.owner, to_text(bundle.numbers), bundle.side)
