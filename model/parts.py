"""Part types: what a cable, an enclosure, a tray or a splitter of a kind is like, whoever made it.

A plant carries the types it uses, so that a file is complete in itself. Lengths inside parts are millimetres, with the
origin at the top left of the outline, x to the right and y down, seen as the technician sees the open part.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from model.ids import (
    CableTypeId,
    EnclosureTypeId,
    FibreClassId,
    SchemeId,
    SleeveTypeId,
    SplitterTypeId,
    TrayTypeId,
)

Construction = Literal["loose tube", "central tube", "ribbon", "flat drop", "round drop", "pigtail"]


@dataclass(frozen=True, slots=True)
class ColourScheme:
    """An order of colours for tubes or fibres.

    Position n beyond ``order`` repeats it with one more mark (stripe or ring) per round, unless ``rest`` names the one
    colour of all further positions. ``swaps`` are positions that break the rule: (position, base, mark colour).
    ``by_position``: colours repeat within one cable, so the number and not the colour identifies.
    """

    id: SchemeId
    title: str
    order: tuple[str, ...]
    rest: str = ""
    mark: Literal["stripe", "ring"] = "stripe"
    mark_colour: str = "black"
    mark_on_black: str = "yellow"
    swaps: tuple[tuple[int, str, str], ...] = ()
    by_position: bool = False
    source: str = ""


@dataclass(frozen=True, slots=True)
class BendPoint:
    """One published macrobend limit: loss of the whole winding."""

    radius_mm: float
    turns: float
    wavelength_nm: int
    loss_db: float


@dataclass(frozen=True, slots=True)
class FibreClass:
    """A class of single-mode fibre: its least radius, storage radius and published bend limits."""

    id: FibreClassId
    title: str
    least_radius_mm: float
    storage_radius_mm: float
    bends: tuple[BendPoint, ...]
    mode_field_um: tuple[tuple[int, float], ...] = ()
    source: str = ""


@dataclass(frozen=True, slots=True)
class CableType:
    """A cable construction. ``tubes`` is the fibre count of each tube in order (their sum is the fibre count).

    ``ribbon`` is the fibres per ribbon, 0 for loose fibres. ``od_mm`` is the larger outside diameter; a flat cable has
    also ``od_minor_mm``. Least bends are radii: ``bend_mm`` installed, ``bend_load_mm`` under load, ``tube_bend_mm``.
    ``excess`` is fibre length over sheath length minus one, with its tolerance; with ``excess_of`` "fibre" it is the
    other convention in use, what the sheath is shorter by: sheath = fibre x (1 - excess). ``fibre_per_sheath`` of
    ``model.glass`` knows both. Attenuation in dB/km by wavelength.
    """

    id: CableTypeId
    title: str
    construction: Construction
    tubes: tuple[int, ...]
    tube_scheme: SchemeId
    fibre_scheme: SchemeId
    fibre_class: FibreClassId
    od_mm: float
    od_minor_mm: float | None = None
    tube_od_mm: float = 0.0
    tube_id_mm: float = 0.0
    bend_mm: float = 0.0
    bend_load_mm: float = 0.0
    tube_bend_mm: float = 0.0
    ribbon: int = 0
    metal: bool = False
    strength_members: int = 1
    excess: float = 0.0
    excess_tol: float = 0.005
    excess_of: Literal["sheath", "fibre"] = "sheath"
    group_index: tuple[tuple[int, float], ...] = ()
    attenuation: tuple[tuple[int, float], ...] = ()
    source: str = ""

    @property
    def fibre_count(self) -> int:
        """Number of fibres in the whole cable."""
        return sum(self.tubes)


@dataclass(frozen=True, slots=True)
class Entry:
    """An opening of an enclosure for a sheath.

    (x, y) is where the sheath's axis crosses the outline, ``heading_deg`` its direction inward (0 right, 90 down).
    ``clamp_mm`` and ``end_mm`` are the distances inward to the clamp's middle and to the end of the sheath.
    Two entries of one oval opening share a ``group``. ``cables`` may share the entry, each within the seal range.
    ``rod_x_mm``, ``rod_y_mm`` is the strength member's anchor, ``None`` where the entry has none.
    """

    name: str
    x_mm: float
    y_mm: float
    heading_deg: float
    seal_min_mm: float
    seal_max_mm: float
    cables: int = 1
    group: str = ""
    clamp_mm: float = 25.0
    end_mm: float = 48.0
    rod_x_mm: float | None = None
    rod_y_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Guide:
    """Something a route may wrap: a post, a ring or a fixed corner, at a level above the floor."""

    name: str
    kind: Literal["post", "ring", "corner", "tie"]
    x_mm: float
    y_mm: float
    radius_mm: float
    level_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Bay:
    """The slack bay or basket: a ring about (x, y), or a racetrack when ``straight_mm`` is above zero.

    ``hub_mm`` is the least radius tubes can take there, ``ring_mm`` the largest. The straight runs along y.
    ``section_width_mm`` x ``section_height_mm`` is the room for tubes seen across them.
    """

    name: str
    x_mm: float
    y_mm: float
    hub_mm: float
    ring_mm: float
    straight_mm: float = 0.0
    section_width_mm: float = 20.0
    section_height_mm: float = 18.0
    level_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class TrayPosition:
    """Where a tray lies: its top left corner, its height above the floor, and how far it is fanned when drawn."""

    number: int
    x_mm: float
    y_mm: float
    level_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class EnclosureType:
    """A kind of enclosure, to scale."""

    id: EnclosureTypeId
    title: str
    kind: Literal["wall box", "dome", "in-line", "pedestal", "cabinet"]
    width_mm: float
    height_mm: float
    depth_mm: float
    corner_mm: float
    entries: tuple[Entry, ...]
    bays: tuple[Bay, ...]
    tray_positions: tuple[TrayPosition, ...]
    trays: tuple[TrayTypeId, ...]
    guides: tuple[Guide, ...] = ()
    splices: int = 0
    """Rated number of splices."""
    bond_x_mm: float | None = None
    bond_y_mm: float | None = None
    panel_ports: int = 0


@dataclass(frozen=True, slots=True)
class TrayCorner:
    """Where tubes or bundles come onto a tray: position and travel direction inward."""

    name: str
    x_mm: float
    y_mm: float
    heading_deg: float
    side: Literal["tube", "drop"]


@dataclass(frozen=True, slots=True)
class TrayType:
    """A kind of tray.

    The storage track is a racetrack about (track_x, track_y) with corner radius ``track_radius_mm`` and straights
    ``straight_x_mm`` (each of the two along x) and ``straight_y_mm`` (each along y); further lanes lie outside it at
    ``lane_mm``. Holders stand in rows about ``holder_x_mm`` from ``holder_y_mm`` downward at ``pitch_mm``, with a
    gap of ``row_gap_mm`` after every ``rows`` of them. ``stored_max`` limits the fibres stored (all kinds).
    """

    id: TrayTypeId
    title: str
    kind: Literal["single", "ribbon"]
    width_mm: float
    height_mm: float
    slots: int
    sleeve_mm: float
    track_x_mm: float
    track_y_mm: float
    track_radius_mm: float
    straight_x_mm: float
    straight_y_mm: float
    holder_x_mm: float
    holder_y_mm: float
    pitch_mm: float
    rows: int = 12
    row_gap_mm: float = 0.0
    lane_mm: float = 3.0
    lanes: int = 3
    per_slot: int = 1
    stored_max: int = 24
    corners: tuple[TrayCorner, ...] = ()
    depth_mm: float = 8.0


@dataclass(frozen=True, slots=True)
class SplitterType:
    """A splitter: planned loss per output leg in dB (any wavelength); unequal taps list their legs in order."""

    id: SplitterTypeId
    title: str
    inputs: int
    legs_db: tuple[float, ...]
    connectors_included: bool = False
    source: str = ""


@dataclass(frozen=True, slots=True)
class SleeveType:
    """A splice protection sleeve."""

    id: SleeveTypeId
    title: str
    length_mm: float
    diameter_mm: float
    kind: Literal["single", "ribbon"] = "single"


@dataclass(frozen=True, slots=True)
class Profile:
    """An owner's limits: overrides by rule name. ``off`` lists rules that this owner does not use."""

    id: str
    title: str
    limits: tuple[tuple[str, float], ...] = ()
    severities: tuple[tuple[str, Literal["error", "warning", "note"]], ...] = ()
    off: tuple[str, ...] = ()
