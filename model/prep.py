"""How much jacket to strip: the sheath opening and the drop preparation that the drawn routes ask for.

A mid-span opening must leave both tube courses and, between the tube ends, enough bare fibre for a joint to be lifted
to the splicer and made again; the bare fibre then fills whole turns of the tray's track. Reach, re-splice allowance and
number of re-splices are profile values (common practice, no source: 650 mm, 40 mm, 3). Millimetres throughout.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from model.layout import DropRun, TubeRun, track_mm
from model.parts import TrayType


@dataclass(frozen=True, slots=True)
class Allowance:
    """What a tail must allow for: reach from tray to splicer, and each joint made again."""

    reach_mm: float = 650.0
    resplice_mm: float = 40.0
    resplices: int = 3

    @property
    def bare_mm(self) -> float:
        """Bare fibre a tail needs beyond the tube's end."""
        return self.reach_mm + self.resplice_mm * self.resplices


def whole_turns(kind: TrayType, least_mm: float) -> int:
    """Fewest whole turns of the track, at least one, that store ``least_mm``."""
    return max(1, ceil(least_mm / track_mm(kind) - 1e-9))


def opening_needed_mm(run: TubeRun, kind: TrayType, allowance: Allowance | None = None) -> float | None:
    """Sheath opening an opened tube asks for: both tube courses plus whole turns of bare fibre; None if undrawn."""
    if run.a_mm is None or run.b_mm is None:
        return None
    bare = (allowance or Allowance()).bare_mm
    return run.a_mm + run.b_mm + whole_turns(kind, bare) * track_mm(kind)


def peel_mm(kind: TrayType, slot: int) -> float:
    """Course from the side of the track into the holder of ``slot``: down the side lane, then a quarter arc."""
    row = slot_y_mm(kind, slot)
    radius = kind.track_radius_mm
    side_x = kind.track_x_mm + kind.straight_x_mm / 2 + radius
    down = max(row - radius - kind.track_y_mm, 0.0)
    along = max(side_x - radius - (kind.holder_x_mm + kind.sleeve_mm / 2), 0.0)
    return down + radius * 1.5707963267948966 + along


def slot_y_mm(kind: TrayType, slot: int) -> float:
    """Height of a slot's row on the tray; rows stand in blocks of ``rows`` with a gap between blocks."""
    return kind.holder_y_mm + (slot - 1) * kind.pitch_mm + ((slot - 1) // kind.rows) * kind.row_gap_mm


def strip_needed_mm(run: DropRun, kind: TrayType, slot: int, allowance: Allowance | None = None) -> float | None:
    """Jacket to strip from a drop: its course, the way into its slot, whole turns, and the joints made again."""
    if run.route is None or run.route.course is None:
        return None
    allowance = allowance or Allowance()
    course = run.route.course.length_mm
    fixed = peel_mm(kind, slot) + allowance.resplice_mm * allowance.resplices
    return course + fixed + whole_turns(kind, allowance.reach_mm - fixed) * track_mm(kind)
