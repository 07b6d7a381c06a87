"""Two ready shapes: the S-bend between parallel headings, and turns around posts or a tray track.

An S-bend moves an item sideways by two equal arcs. A winding is a list of wraps to put between the
anchors of a belt: n turns, also half ones, around posts standing in a ring. Millimetres, y down,
radians growing clockwise on the page.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from model.geometry.belt import Wrap
from model.geometry.errors import GeometryError, require_finite, require_positive
from model.geometry.segments import Arc, Segment, Straight


def s_bend_radius_mm(length_mm: float, offset_mm: float) -> float:
    """Radius of the two arcs, R = (L^2 + d^2) / (4 d); infinite without an offset.

    ``length_mm`` is measured along the heading, ``offset_mm`` across it; its sign does not matter.
    """
    require_positive("S-bend length in mm", length_mm)
    require_finite("S-bend offset in mm", offset_mm)
    offset = abs(offset_mm)
    return math.inf if offset == 0 else (length_mm**2 + offset**2) / (4 * offset)


def s_bend_length_mm(offset_mm: float, radius_mm: float) -> float:
    """Shortest run along the heading that keeps ``radius_mm``: L = sqrt(4 d R - d^2), d up to 2R.

    Beyond d = 2R two quarter turns and a straight across need 2R.
    """
    require_positive("S-bend radius in mm", radius_mm)
    require_finite("S-bend offset in mm", offset_mm)
    offset = min(abs(offset_mm), 2 * radius_mm)
    return math.sqrt(offset * (4 * radius_mm - offset))


def s_bend(x: float, y: float, heading: float, length_mm: float, offset_mm: float) -> tuple[Segment, ...]:
    """Two equal arcs from (x, y) to a parallel line; a plain straight when there is no offset.

    A positive offset is to the right of travel on the page (clockwise first). An offset beyond the
    length turns each arc by more than a quarter.
    """
    require_finite("S-bend start", x, y, heading)
    radius = s_bend_radius_mm(length_mm, offset_mm)
    ux, uy = math.cos(heading), math.sin(heading)
    if math.isinf(radius):
        return (Straight(x, y, x + length_mm * ux, y + length_mm * uy),)
    side = 1 if offset_mm > 0 else -1
    # The chord of an arc lies at half its sweep, and half the S runs along that chord.
    sweep = 2 * math.atan2(abs(offset_mm), length_mm)
    reach = side * radius
    end_x = x + length_mm * ux - offset_mm * uy
    end_y = y + length_mm * uy + offset_mm * ux
    first = Arc(x - reach * uy, y + reach * ux, radius, heading - side * math.pi / 2, side * sweep)
    second = Arc(
        end_x + reach * uy,
        end_y - reach * ux,
        radius,
        heading + side * (sweep + math.pi / 2),
        -side * sweep,
    )
    return (first, second)


@dataclass(frozen=True, slots=True)
class Post:
    """A round post or the end of a track: centre and radius in mm, and its name on the drawing."""

    cx: float
    cy: float
    radius_mm: float
    name: str = ""


def racetrack_posts(
    cx: float,
    cy: float,
    radius_mm: float,
    straight_mm: float,
    second_straight_mm: float = 0.0,
    turned_rad: float = 0.0,
) -> list[Post]:
    """Two posts ``straight_mm`` apart, or four in a rectangle, clockwise on the page around (cx, cy)."""
    require_positive("track radius in mm", radius_mm)
    require_positive("track straight in mm", straight_mm)
    a, b = straight_mm / 2, second_straight_mm / 2
    ring = [(a, 0.0), (-a, 0.0)] if b == 0 else [(a, -b), (a, b), (-a, b), (-a, -b)]
    cos, sin = math.cos(turned_rad), math.sin(turned_rad)
    return [Post(cx + u * cos - v * sin, cy + u * sin + v * cos, radius_mm) for u, v in ring]


def winding(
    posts: Sequence[Post],
    turns: float,
    side: int,
    *,
    first: int = 0,
    lane_mm: float = 0.0,
    pitch_mm: float = 0.0,
    level_mm: float = 0.0,
) -> list[Wrap]:
    """Wraps for ``turns`` (a multiple of a half) around an even ring of posts given clockwise.

    ``side`` is +1 to go round clockwise on the page, -1 the other way. ``first`` is the post met
    first. Every pass lies ``lane_mm`` off the posts, and each full turn ``pitch_mm`` further out.
    """
    count = len(posts)
    if count < 2 or count % 2:
        raise GeometryError(f"{count} posts to wind around; give two or four")
    if side not in (1, -1):
        raise GeometryError(f"winding side is {side}; give +1 (clockwise) or -1")
    require_positive("turns around the posts", turns)
    if abs(2 * turns - round(2 * turns)) > 1e-9:
        raise GeometryError(f"{turns:g} turns do not end at a post; give a multiple of 0.5")
    wraps: list[Wrap] = []
    for step in range(round(2 * turns) * count // 2):
        post = posts[(first + side * step) % count]
        radius = post.radius_mm + lane_mm + pitch_mm * (step // count)
        wraps.append(Wrap(post.cx, post.cy, radius, side, 0, level_mm, post.name))
    return wraps
