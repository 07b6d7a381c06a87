"""The Trays view: one tray in its own millimetres, so that rulers are true, with its slot table at the right.

Pure functions of the plant; also which slot lies under a point, which one is free near it, and the edits that move
joints there. The tray's top left corner is the origin.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from gui.views.enclosure import as_groups
from model.edits.joining import MoveSplices
from model.edits.swapping import SwapSlots
from model.entities import Splice, Tray
from model.graph import Continuity
from model.ids import SpliceId, TrayId
from model.line.ribbons import MoveSleeves
from model.lookup import tray_type
from model.parts import TrayType
from model.plant import Plant
from model.traypath import StoredCourse, slot_box
from render.blocks import caution_strip
from render.box import Box
from render.drawing import Group, Part
from render.sheets.tray import tray_parts
from render.sheets.tray_facts import Facts, tray_facts
from render.sheets.tray_plan import TAG_DROP, Stage
from render.sheets.tray_rows import FAN_GAP, FAN_PITCH, FAN_WIDTH, in_rows
from render.sheets.tray_scene import Place
from render.sheets.tray_table import halves
from render.sheets.tray_words import cautions
from render.targets import TAG_HEIGHT

MARGIN_MM = 16.0
"""Ground for tags and callouts left and right of a tray whose labels stand in its rows."""
BELOW_MM = 14.0
TABLE_MM = (80.0, 96.0, 130.0)
"""Widths of the slot table, the first that its words fit."""


def tray_groups(continuity: Continuity, tray_id: str, node: str, side: str = "both") -> list[Group]:
    """The tray, its tags and its slot table; ``node`` is a node whose path is underlaid.

    ``side`` is "tube", "drop" or "both": whose fibres are drawn. What loops through uncut is drawn always.
    """
    plant = continuity.plant
    facts = tray_facts(plant, plant.trays[TrayId(tray_id)], node, continuity)
    stage = _stage(facts)
    parts, _ = tray_parts(stage, replace(facts, entries=on_side(facts.entries, side)), False)
    warned = cautions(facts)
    if warned:
        strip = caution_strip(stage.field.x, 0.0, stage.field.width, warned)
        strip = caution_strip(stage.field.x, stage.tags.y - strip.height - 3.0, stage.field.width, warned)
        parts.append(strip.group)
    return [*as_groups(parts, "tray", f"tray:{tray_id}"), *as_groups(_table(facts, stage.field.right), "slots", "")]


def on_side(entries: Iterable[StoredCourse], side: str) -> tuple[StoredCourse, ...]:
    """The courses that come on at one side of a tray, and every uncut loop; all of them for "both"."""
    return tuple(
        entry
        for entry in entries
        if side == "both" or entry.what == "loop" or entry.corner is None or entry.corner.side == side
    )


def _stage(facts: Facts) -> Stage:
    wide, high = facts.kind.width_mm, facts.kind.height_mm
    used = sum(1 for row in facts.rows if row.splices)
    room = high + BELOW_MM
    fan = not in_rows(facts, 1.0) and used * FAN_PITCH + 4.0 <= room
    side = FAN_WIDTH + FAN_GAP if fan else MARGIN_MM
    tags = Box(-side, -TAG_DROP - TAG_HEIGHT, wide + 2 * side, TAG_HEIGHT)
    letters = "rows" if in_rows(facts, 1.0) else "fan" if fan else "none"
    return Stage(Place(0.0, 0.0, 1.0), Box(-side, 0.0, wide + 2 * side, room), tags, letters)  # type: ignore[arg-type]


def _table(facts: Facts, right: float) -> list[Part]:
    """Every used slot in a row; runs of spare slots are one row."""
    for wide in TABLE_MM:
        table = halves(facts, Box(right + 6.0, 0.0, wide, 1e6), True)
        if table is not None:
            return table.draw(right + 6.0, 0.0)
    return []


def kind_on(plant: Plant, tray: Tray) -> TrayType:
    """The type of a tray with the sleeves it really holds."""
    kind = tray_type(plant, tray)
    return kind if tray.sleeve_mm is None else replace(kind, sleeve_mm=tray.sleeve_mm)


def slot_at(kind: TrayType, x_mm: float, y_mm: float) -> int | None:
    """The slot whose row is nearest to a point between the ends of the sleeves, give or take one pitch; else None."""
    best: tuple[float, int] | None = None
    for slot in range(1, kind.slots + 1):
        left, top, right, low = slot_box(kind, slot)
        away = abs(y_mm - (top + low) / 2)
        if left - kind.sleeve_mm / 2 <= x_mm <= right + kind.sleeve_mm / 2 and away <= kind.pitch_mm:
            best = min(best or (away, slot), (away, slot))
    return best[1] if best else None


def held_by(plant: Plant, tray: str, slot: int) -> list[Splice]:
    """The joints in a slot, by id."""
    return sorted((s for s in plant.splices.values() if s.tray == tray and s.slot == slot), key=lambda s: s.id)


@dataclass(frozen=True, slots=True)
class Drop:
    """What letting go over a slot would do: ``slot`` takes the joints if ``free``; else ``nearest`` would."""

    slot: int
    free: bool
    nearest: int | None
    own: bool = False


def drop_on(plant: Plant, tray: Tray, slot: int, moving: list[Splice]) -> Drop:
    """Whether the joints in hand fit a slot, and the nearest one that takes them; ties go to the lower number."""
    kind = tray_type(plant, tray)
    hand = {splice.id for splice in moving}
    held: dict[int, int] = {}
    for splice in plant.splices.values():
        if splice.tray == tray.id and splice.slot is not None and splice.id not in hand:
            held[splice.slot] = held.get(splice.slot, 0) + 1
    # A ribbon sleeve holds all its joints in one slot, and wants it for itself.
    whole = any(splice.method == "ribbon" for splice in moving)
    takes = [
        n
        for n in range(1, kind.slots + 1)
        if (n not in held if whole else held.get(n, 0) + len(moving) <= kind.per_slot)
    ]
    own = all(s.tray == tray.id and s.slot == slot for s in moving)
    others = [n for n in takes if not all(s.tray == tray.id and s.slot == n for s in moving)]
    nearest = min(others, key=lambda n: (abs(n - slot), n), default=None)
    return Drop(slot, slot in takes, nearest, own)


def move_edits(plant: Plant, tray: Tray, slot: int, moving: list[Splice]) -> tuple[MoveSplices | MoveSleeves, ...]:
    """The edits that put joints into one slot; done together they are one step."""
    name = move_name(plant, tray, slot, moving)
    if any(splice.method == "ribbon" for splice in moving):
        return (MoveSleeves((_ids(moving),), tray.id, slot, name),)
    return tuple(MoveSplices((splice.id,), tray.id, slot, name) for splice in moving)


def move_name(plant: Plant, tray: Tray, slot: int, moving: list[Splice]) -> str:
    """What the step is called: ``move slot 3 to tray 1 slot 7``."""
    first = moving[0]
    there = f"tray {tray.name} " if first.tray != tray.id else ""
    return f"move slot {first.slot} to {there}slot {slot}" if first.slot else f"put a joint in {there}slot {slot}"


def swap_edit(plant: Plant, moving: list[Splice], held: list[Splice]) -> SwapSlots | None:
    """The edit that lets the joints of two slots change places; None where one has no slot, or both are the same."""
    if not moving or not held or moving[0].slot is None or moving[0].tray is None or moving[0].id == held[0].id:
        return None
    here, there = (f"tray {plant.trays[s.tray].name} {s.slot}" for s in (moving[0], held[0]) if s.tray)
    return SwapSlots(((_ids(moving), _ids(held)),), name=f"swap {here} and {there}")


def _ids(joints: list[Splice]) -> tuple[SpliceId, ...]:
    return tuple(joint.id for joint in joints)
