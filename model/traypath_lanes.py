"""Exact courses of fibres on one tray: onto the storage track, round it, across it and into a holder, in tray mm.

Every course is made of straights and true arcs no tighter than the track's corner radius and has no kink. A fibre that
comes on from the upper left runs clockwise, one from the upper right counter-clockwise; both then meet a holder from
opposite ends. Nothing here knows a plant: a tray type and a corner are all there is.
"""

from __future__ import annotations

from math import acos, atan2, cos, hypot, pi, radians, sin, sqrt, tau

from model.errors import PlantError
from model.geometry.course import Course, chain
from model.geometry.loops import racetrack_mm
from model.geometry.segments import Arc, Box, Segment, Straight
from model.parts import TrayCorner, TrayType
from model.prep import slot_y_mm

QUARTER = pi / 2
SHORT_MM = 1e-7
"""A straight shorter than this is none: its heading would be noise, and the pieces touch without it."""
ROOM_MM = 1e-6
"""How far rounding may carry a fibre beyond the room it has."""


def lane_radius_mm(kind: TrayType, lane: int) -> float:
    """Corner radius of a lane; lane 0 is the innermost, at the track radius. Raises PlantError for a missing lane."""
    if not 0 <= lane < max(kind.lanes, 1):
        raise PlantError(f"there is no lane {lane} on {kind.title}", hint=f"It has lanes 0 to {kind.lanes - 1}")
    return kind.track_radius_mm + lane * kind.lane_mm


def lane_turn_mm(kind: TrayType, lane: int) -> float:
    """One turn on a lane, P = 2a + 2b + 2*pi*R with the lane's own R."""
    return racetrack_mm(lane_radius_mm(kind, lane), kind.straight_x_mm, kind.straight_y_mm)


def slot_box(kind: TrayType, slot: int) -> Box:
    """Room of a holder on the tray: left, top, right, bottom; one sleeve long and one pitch high.

    Raises PlantError for a slot the tray has not.
    """
    if not 1 <= slot <= kind.slots:
        raise PlantError(f"there is no slot {slot} on {kind.title}", hint=f"It has slots 1-{kind.slots}")
    y = slot_y_mm(kind, slot)
    half, left = kind.pitch_mm / 2, kind.holder_x_mm - kind.sleeve_mm / 2
    return (left, y - half, left + kind.sleeve_mm, y + half)


def runs_clockwise(kind: TrayType, corner: TrayCorner) -> bool:
    """Whether a fibre from this corner goes round the track clockwise."""
    return (cos(radians(corner.heading_deg)) > 0) == (corner.y_mm <= kind.track_y_mm)


class _Fibre:
    """A fibre being laid, as if it had come on from the upper left.

    u and v are taken from the track's middle, turned over left-right (``sx``) or top-bottom (``sy``) so that every
    fibre runs clockwise here; pieces are turned back as they are laid. ``theta`` is the heading, 0 along u.
    """

    def __init__(self, kind: TrayType, corner: TrayCorner, lane: int) -> None:
        self.kind = kind
        self.radius = kind.track_radius_mm
        self.lane_mm = lane_radius_mm(kind, lane)
        self.half_x, self.half_y = kind.straight_x_mm / 2, kind.straight_y_mm / 2
        self.top = -(self.half_y + self.lane_mm)
        self.side = self.half_x + self.lane_mm
        self.sx = _across(corner)
        self.sy = 1.0 if corner.y_mm <= kind.track_y_mm else -1.0
        self.u, self.v = self._here(corner.x_mm, corner.y_mm)
        self.theta = 0.0
        self.pieces: list[Segment] = []

    def _here(self, x: float, y: float) -> tuple[float, float]:
        return self.sx * (x - self.kind.track_x_mm), self.sy * (y - self.kind.track_y_mm)

    def _there(self, u: float, v: float) -> tuple[float, float]:
        return self.kind.track_x_mm + self.sx * u, self.kind.track_y_mm + self.sy * v

    def straight(self, length: float) -> None:
        """Straight on; raises PlantError for less than nothing, because then there is no room."""
        if length < -ROOM_MM:
            raise PlantError(
                f"a fibre needs {-length:.1f} mm more room on {self.kind.title}", hint="Choose another lane or corner"
            )
        if length < SHORT_MM:
            return
        start = self._there(self.u, self.v)
        self.u += length * cos(self.theta)
        self.v += length * sin(self.theta)
        self.pieces.append(Straight(*start, *self._there(self.u, self.v)))

    def arc(self, radius: float, sweep: float) -> None:
        """An arc, clockwise here when the sweep is positive."""
        if abs(sweep) < 1e-12:
            return
        spin = QUARTER if sweep > 0 else -QUARTER
        cu = self.u + radius * cos(self.theta + spin)
        cv = self.v + radius * sin(self.theta + spin)
        start = self.theta - spin
        cx, cy = self._there(cu, cv)
        # Turning a picture over turns its angles and its sense of rotation over with it.
        turned = start if self.sx > 0 else pi - start
        turned = turned if self.sy > 0 else -turned
        self.pieces.append(Arc(cx, cy, radius, turned, sweep * self.sx * self.sy))
        self.theta += sweep
        end = self.theta - spin
        self.u, self.v = cu + radius * cos(end), cv + radius * sin(end)

    def shift(self, target_v: float) -> None:
        """Two equal arcs to a parallel line, heading along u."""
        offset = target_v - self.v
        sweep = acos(max(-1.0, 1 - abs(offset) / (2 * self.radius))) * (1 if offset > 0 else -1)
        if abs(offset) > ROOM_MM:
            self.arc(self.radius, sweep)
            self.arc(self.radius, -sweep)
        self.v, self.theta = target_v, 0.0

    def shift_mm(self, target_v: float) -> float:
        """How far along u ``shift`` takes the fibre: sqrt(4 R d - d^2)."""
        offset = abs(target_v - self.v)
        return sqrt(max(4 * self.radius * offset - offset * offset, 0.0)) if offset > ROOM_MM else 0.0

    def enter(self) -> None:
        """From the corner to the right end of the lane's upper straight, where turns are counted."""
        self.shift(self.top)
        self.straight(self.half_x - self.u)

    def turn(self) -> None:
        """One whole turn."""
        self.to_side()
        self.to_far_side()
        self.straight(2 * self.half_y)
        self.arc(self.lane_mm, QUARTER)
        self.straight(2 * self.half_x)

    def to_side(self) -> None:
        """Into the right side, heading down, at the upper end of its straight."""
        self.arc(self.lane_mm, QUARTER)

    def to_far_side(self) -> None:
        """On round the bottom into the left side, heading up, at the lower end of its straight."""
        self.to_bottom()
        self.straight(2 * self.half_x)
        self.arc(self.lane_mm, QUARTER)

    def to_bottom(self) -> None:
        """From the right side to the right end of the lower straight, heading left."""
        self.straight(2 * self.half_y)
        self.arc(self.lane_mm, QUARTER)

    def flip(self) -> None:
        """Look at the fibre in a mirror: what ran counter-clockwise runs clockwise."""
        self.sx, self.u, self.theta = -self.sx, -self.u, (pi - self.theta) % tau

    def cross(self) -> None:
        """Reverse: leave the lane across the track by two arcs and come back to its upper straight the other way."""
        self.to_side()
        gap = _gap_v(self.kind, self.sy)
        if gap is not None:
            # Holders inside the track: up one side, across between two blocks of holders, up the other side.
            self.to_far_side()
            self.straight(self.half_y - gap - self.radius)
            self.arc(self.radius, QUARTER)
            self.straight(2 * (self.side - self.radius))
            self.arc(self.radius, -QUARTER)
            self.flip()
            self.straight(gap - self.radius + self.half_y)
            self.arc(self.lane_mm, QUARTER)
            self.straight(2 * self.half_x)
            return
        self.to_bottom()
        rise = -self.top - self.radius
        apart = hypot(2 * self.half_x, 2 * rise)
        if apart < 2 * self.radius - ROOM_MM:
            raise PlantError(
                f"the track of {self.kind.title} has no room to reverse a fibre at R {self.radius:g}",
                hint="Bring the fibre on at the other side",
            )
        # Cross tangent of the circle that leaves the lower straight and the one that joins the upper straight.
        tangent = sqrt(max(apart * apart - 4 * self.radius * self.radius, 0.0))
        sweep = (atan2(-rise, -self.half_x) + atan2(2 * self.radius, tangent) - pi) % tau
        self.arc(self.radius, sweep)
        self.straight(tangent)
        self.arc(self.radius, -sweep)
        self.flip()

    def peel(self, slot: int) -> None:
        """From the lane into the holder's nearer end: along a side lane, one quarter arc, straight in.

        The way down the side is taken where the quarter arc begins on or below the side's straight, else the way up
        the other side. Both directions of turning choose alike, so that they meet a sleeve from opposite ends.
        """
        box = slot_box(self.kind, slot)
        _, row = self._here(0.0, (box[1] + box[3]) / 2)
        ends = sorted(self._here(x, 0.0)[0] for x in (box[0], box[2]))
        self.to_side()
        if row - self.radius >= -self.half_y - ROOM_MM:
            self.straight(row - self.radius + self.half_y)
            self.arc(self.radius, QUARTER)
            self.straight(self.u - ends[1])
        elif row + self.radius <= self.half_y + ROOM_MM:
            self.to_far_side()
            self.straight(self.half_y - row - self.radius)
            self.arc(self.radius, QUARTER)
            self.straight(ends[0] - self.u)
        else:
            raise PlantError(
                f"no arc of R {self.radius:g} leads from the track into slot {slot} of {self.kind.title}",
                hint="Use another slot, or mend the tray type",
            )

    def leave(self, corner: TrayCorner) -> None:
        """From the upper straight out at a corner on the right."""
        u, v = self._here(corner.x_mm, corner.y_mm)
        self.straight(u - self.shift_mm(v) - self.u)
        self.shift(v)

    def course(self) -> Course:
        """What has been laid."""
        return chain(self.pieces)


def _across(corner: TrayCorner) -> float:
    """1 for a corner that leads to the right, -1 to the left; raises PlantError for any other heading."""
    across = cos(radians(corner.heading_deg))
    if abs(abs(across) - 1) > 1e-9:
        raise PlantError(
            f"corner {corner.name} of a tray heads {corner.heading_deg:g} degrees", hint="Give it 0 or 180 degrees"
        )
    return 1.0 if across > 0 else -1.0


def _gap_v(kind: TrayType, sy: float) -> float | None:
    """Height, from the track's middle, at which a reversal passes between blocks of holders; None if it cannot."""
    most = kind.straight_y_mm / 2 - kind.track_radius_mm
    if most < -ROOM_MM:
        return None
    gaps = [
        sy * ((slot_y_mm(kind, last) + slot_y_mm(kind, last + 1)) / 2 - kind.track_y_mm)
        for last in range(kind.rows, kind.slots, kind.rows)
    ]
    near = [gap for gap in gaps if abs(gap) <= most + ROOM_MM]
    return min(near, key=abs) if near else None


def _onto(kind: TrayType, corner: TrayCorner, lane: int, turns: int) -> _Fibre:
    fibre = _Fibre(kind, corner, lane)
    fibre.enter()
    for _ in range(turns):
        fibre.turn()
    return fibre


def tail(kind: TrayType, corner: TrayCorner, lane: int, turns: int, slot: int, *, reverse: bool = False) -> Course:
    """A fibre from a corner onto its lane, ``turns`` whole turns, then into the end of its holder.

    ``reverse`` lets it change direction before it peels off, so that it meets the holder's other end.
    Raises PlantError where the tray type leaves no room for such a course.
    """
    fibre = _onto(kind, corner, lane, turns)
    if reverse:
        fibre.cross()
    fibre.peel(slot)
    return fibre.course()


def loop_through(kind: TrayType, corner_in: TrayCorner, corner_out: TrayCorner, lane: int, turns: int) -> Course:
    """An uncut fibre on at one corner, ``turns`` whole turns, and off at another.

    Where both corners are on one side it reverses across the track. Raises PlantError where there is no room, or
    where one corner is at the top and the other at the bottom.
    """
    if (corner_in.y_mm <= kind.track_y_mm) != (corner_out.y_mm <= kind.track_y_mm):
        raise PlantError(
            f"corners {corner_in.name} and {corner_out.name} are not at one edge of the tray",
            hint="Bring both ends of the tube to the same edge",
        )
    fibre = _onto(kind, corner_in, lane, turns)
    if _across(corner_in) == _across(corner_out):
        fibre.cross()
    fibre.leave(corner_out)
    return fibre.course()


def stub(kind: TrayType, corner: TrayCorner, lane: int, turns: int) -> Course:
    """A dead end from a corner onto its lane, ``turns`` whole turns, parked on the far straight.

    It ends a quarter of that straight in, so that stubs from the two sides do not lie end over end.
    """
    fibre = _onto(kind, corner, lane, turns)
    fibre.to_side()
    fibre.to_bottom()
    fibre.straight(kind.straight_x_mm / 4)
    return fibre.course()
