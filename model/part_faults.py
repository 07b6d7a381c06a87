"""What is wrong with a part type that its field types alone cannot say: sizes, counts and names that cannot be.

Answers (key, fault, remedy) in plain words; it knows neither files nor the catalogue. Whether an enclosure is a good
one is no fault: a user may draw a box that is too small for its trays, and the rules will say so.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from typing import Final

from model.colours import check_scheme
from model.parts import (
    CableType,
    ColourScheme,
    EnclosureType,
    FibreClass,
    Profile,
    SleeveType,
    SplitterType,
    TrayType,
)

LARGEST: Final = 1_000_000.0
"""No number in a part is larger; a millimetre count beyond a kilometre is a slip of the unit."""
MOST: Final = 20_000
"""No part has more fibres, slots or ports; a larger count would only stop the drawing of it."""
MAY_BE_NEGATIVE: Final = frozenset({"heading_deg"})

Fault = tuple[str, str, str]
Part = Profile | ColourScheme | FibreClass | CableType | TrayType | EnclosureType | SplitterType | SleeveType
"""What a plant can carry of its types."""

ABOVE_ZERO: Final = {
    CableType: ("od_mm",),
    FibreClass: ("least_radius_mm", "storage_radius_mm"),
    TrayType: ("width_mm", "height_mm", "slots", "track_radius_mm", "pitch_mm", "rows", "lanes", "per_slot"),
    EnclosureType: ("width_mm", "height_mm", "depth_mm"),
    SplitterType: ("inputs",),
    SleeveType: ("length_mm", "diameter_mm"),
}


def part_faults(part: Part) -> Iterator[Fault]:
    """Every fault of one part: its key, what is wrong, what to do."""
    yield from _number_faults(part, "")
    for key in ABOVE_ZERO.get(type(part), ()):
        if not getattr(part, key) > 0:
            yield key, "must be above zero", "Give its true size or count"
    for key in ("slots", "lanes", "inputs", "panel_ports", "splices", "strength_members"):
        if getattr(part, key, 0) > MOST:
            yield key, f"{getattr(part, key)} are too many", f"{MOST} is the most"
    match part:
        case ColourScheme():
            for fault in check_scheme(part):
                yield "order", fault, "Use the colour names of the packaged schemes"
        case CableType():
            yield from _cable_faults(part)
        case TrayType():
            for corner in part.corners:
                if corner.x_mm > part.width_mm or corner.y_mm > part.height_mm:
                    yield "corners", f"corner {corner.name} lies off the tray", "Mend its place or the tray's size"
        case SplitterType() if not 1 <= len(part.legs_db) <= MOST:
            yield "legs_db", f"a splitter with {len(part.legs_db)} legs", "List the loss of each output leg"
        case EnclosureType():
            yield from _enclosure_faults(part)


def _number_faults(value: object, path: str) -> Iterator[Fault]:
    """Every number finite, none absurd, none below zero but a heading."""
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        # Compared, not converted: a whole number may be too long to become a float.
        if not -LARGEST <= value <= LARGEST:
            yield path, "the number is out of range", "Give a size in the unit the key names"
        elif value < 0 and path.rpartition(".")[2] not in MAY_BE_NEGATIVE:
            yield path, f"{value:g} is below zero", "Give zero or more"
    elif isinstance(value, tuple):
        for index, item in enumerate(value):
            yield from _number_faults(item, f"{path}[{index}]")
    elif is_dataclass(value):
        for field in fields(value):
            yield from _number_faults(getattr(value, field.name), f"{path}.{field.name}".strip("."))


def _enclosure_faults(part: EnclosureType) -> Iterator[Fault]:
    listed: dict[str, list[object]] = {
        "entries": [entry.name for entry in part.entries],
        "bays": [bay.name for bay in part.bays],
        "tray_positions": [position.number for position in part.tray_positions],
    }
    for key, names in listed.items():
        if len(set(names)) < len(names):
            yield key, "two have the same name or number", "Name each once"
    for entry in part.entries:
        if entry.seal_min_mm > entry.seal_max_mm:
            yield "entries", f"entry {entry.name} seals from more than it seals to", "Swap the two sizes"
        if entry.x_mm > part.width_mm or entry.y_mm > part.height_mm:
            yield "entries", f"entry {entry.name} lies off the outline", "Mend its place or the outline"
    for bay in part.bays:
        if bay.hub_mm > bay.ring_mm:
            yield "bays", f"bay {bay.name} has a hub wider than its ring", "Swap the two radii"


def _cable_faults(part: CableType) -> Iterator[Fault]:
    if not part.tubes or min(part.tubes) < 1:
        yield "tubes", "a tube without fibres, or no tube at all", "List the fibre count of each tube"
    if part.fibre_count > MOST:
        yield "tubes", f"{part.fibre_count} fibres in {len(part.tubes)} tubes", "Check the counts"
    if part.excess + part.excess_tol >= 1:
        yield "excess", f"fibre {part.excess + 1:g} times as long as its sheath", "Write 2 % as 0.02"
    if part.tube_id_mm > part.tube_od_mm:
        yield "tube_id_mm", "a tube wider inside than outside", "Swap the two sizes"
    if part.ribbon and any(tube % part.ribbon for tube in part.tubes):
        yield "ribbon", f"{part.ribbon} fibres per ribbon do not fill the tubes", "Mend ribbon or tubes"
    if part.od_minor_mm is not None and part.od_minor_mm > part.od_mm:
        yield "od_minor_mm", "the smaller diameter is the larger one", "Swap the two sizes"
