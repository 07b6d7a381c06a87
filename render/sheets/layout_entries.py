"""Entries to scale: sheaths with their collars, clamps and rods, plugs, the rail, the bond stud and the ties.

Places come from the enclosure's type in real mm through the sheet's view, for entries on any side of the box. It must
not know what happens beyond the end of a sheath.
"""

from __future__ import annotations

from math import cos, pi, sin

from model.parts import Entry
from render import style
from render.box import Box
from render.drawing import Circle, Group, Line, Part, Path, Pen, Rect
from render.marks import earth, plug, polygon, polyline
from render.refs import cable_ref, entry_ref
from render.sheets.layout_scene import Member, Scene, View, inward, side_of, unit

COLLAR_MM = 8.0  # a collar is wider than the largest sheath it seals by this
STUB = 11.0  # how far an untagged sheath shows outside, mm on paper
METAL = Pen(style.INK, style.W_OUTLINE, style.RULE)
COLLAR = Pen(style.INK, style.W_OUTLINE, style.HARDWARE)
THIN_METAL = Pen(style.EDGE, style.W_THIN, style.HARDWARE)


def centred(x: float, y: float, across: float, along: float, entry: Entry) -> Box:
    """A box about (x, y), ``along`` the entry's heading and ``across`` it."""
    upright = side_of(entry) in ("bottom", "top")
    wide, high = (across, along) if upright else (along, across)
    return Box(x - wide / 2, y - high / 2, wide, high)


def collar_width(entry: Entry, view: View) -> float:
    """Width of an entry's collar on paper, mm."""
    return max((entry.seal_max_mm + COLLAR_MM) * view.k, 3.2)


def sheath_offsets(members: tuple[Member, ...], entry: Entry) -> list[float]:
    """Where the sheaths of one entry lie across its axis, real mm, side by side."""
    pitch = max((member.kind.od_mm for member in members), default=0.0) + 1.0
    room = max(entry.seal_max_mm + COLLAR_MM, pitch * len(members)) if members else 0.0
    pitch = min(pitch, room / max(len(members), 1))
    return [(i - (len(members) - 1) / 2) * pitch for i in range(len(members))]


def sheaths(scene: Scene, view: View, outside: dict[str, float]) -> list[Part]:
    """The cables of every entry from outside to the end of their jacket. ``outside`` is mm on paper by entry."""
    parts: list[Part] = []
    for entry in scene.kind.entries:
        members = scene.members.get(entry.name, ())
        for member, across in zip(members, sheath_offsets(members, entry), strict=True):
            out_mm = outside.get(entry.name, STUB) / view.k
            a = view.at(*inward(entry, -out_mm, across))
            b = view.at(*inward(entry, entry.end_mm, across))
            width = max(member.kind.od_mm * view.k, 0.9)
            shapes = (Line(*a, *b, Pen(style.INK, width)), Line(*a, *b, Pen(style.SHEATH, max(width - 0.5, 0.3))))
            parts.append(
                Group(shapes, role="sheath", ref=cable_ref(member.cable.id), title=f"{member.cable.name} {member.side}")
            )
    return parts


def rails(scene: Scene, view: View) -> list[Part]:
    """A rail behind the clamps of every side that has two entries or more in line."""
    parts: list[Part] = []
    lines: dict[tuple[str, float], list[Entry]] = {}
    for entry in scene.kind.entries:
        lines.setdefault((side_of(entry), entry.clamp_mm), []).append(entry)
    for (side, clamp_mm), entries in sorted(lines.items()):
        if len(entries) < 2:
            continue
        places = [inward(entry, clamp_mm) for entry in entries]
        kind, half = scene.kind, 3.0
        if side in ("bottom", "top"):
            y = places[0][1]
            box = view.box(8.0, y - half, kind.width_mm - 16.0, 2 * half)
        else:
            x = places[0][0]
            low, high = min(y for _, y in places) - 18.0, max(y for _, y in places) + 18.0
            box = view.box(x - half, low, 2 * half, high - low)
        parts.append(Rect(*box, THIN_METAL))
    return [Group(tuple(parts), role="hardware", title="rail")] if parts else []


def fittings(scene: Scene, view: View) -> list[Part]:
    """Collars, clamps, plugs and open entries."""
    parts: list[Part] = []
    for entry in scene.kind.entries:
        x, y = view.at(entry.x_mm, entry.y_mm)
        wide = collar_width(entry, view)
        ref = entry_ref(scene.enclosure.id, entry.name)
        shapes: list[Part] = []
        if scene.members.get(entry.name):
            shapes.append(Rect(*centred(x, y, 0.8 * wide, 5.6, entry), COLLAR, 0.8))
            shapes.append(Rect(*centred(x, y, wide, 2.2, entry), METAL, 0.6))
            cx, cy = view.at(*inward(entry, entry.clamp_mm))
            along = min(5.0, max(9 * view.k, 2.6))
            shapes.append(Rect(*centred(cx, cy, 0.95 * wide, along, entry), METAL, 0.5))
            upright = side_of(entry) in ("bottom", "top")
            for way in (-0.36, 0.36):
                dx, dy = (way * wide, 0.0) if upright else (0.0, way * wide)
                if wide > 5.0:
                    shapes.append(Circle(cx + dx, cy + dy, 0.6, Pen(style.INK, style.W_THIN, style.PAPER)))
        elif entry.name in scene.enclosure.plugged:
            if side_of(entry) in ("bottom", "top"):
                shapes.append(plug(x, y, 0.85 * wide, min(5.6, wide)))
            else:
                shapes.append(plug(x, y, min(5.6, wide), 0.85 * wide))
        else:
            shapes.append(Rect(*centred(x, y, 0.8 * wide, 4.4, entry), Pen(style.EDGE, style.W_OUTLINE, style.PAPER)))
        parts.append(Group(tuple(shapes), role="hardware", ref=ref, title=f"entry {entry.name}"))
    return parts


def rods(scene: Scene, view: View) -> list[Part]:
    """Anchors of strength members, with the rod from the sheath's end where a cable uses it."""
    parts: list[Part] = []
    for entry in scene.kind.entries:
        members = scene.members.get(entry.name, ())
        if entry.rod_x_mm is None or entry.rod_y_mm is None or not members:
            continue
        x, y = view.at(entry.rod_x_mm, entry.rod_y_mm)
        half = max(5.0 * view.k, 1.3)
        end = view.at(*inward(entry, entry.end_mm - 2.0))
        shapes: list[Part] = [Line(*end, x, y, Pen(style.EDGE, 0.7))]
        shapes.append(Rect(x - half, y - half, 2 * half, 2 * half, COLLAR, 0.4))
        shapes.append(Circle(x, y, half * 0.5, Pen(style.INK, style.W_THIN, style.PAPER)))
        parts.append(Group(tuple(shapes), role="hardware", title=f"rod anchor {entry.name}"))
    return parts


def bonded(scene: Scene) -> list[tuple[Entry, Member]]:
    """Entries whose cable is metal or recorded as bonded here."""
    return [
        (entry, member)
        for entry in scene.kind.entries
        for member in scene.members.get(entry.name, ())
        if member.stop.bonded or member.kind.metal
    ]


def bond(scene: Scene, view: View) -> list[Part]:
    """The bond stud with its sign for earth, and the conductor from every sheath with metal."""
    kind = scene.kind
    if kind.bond_x_mm is None or kind.bond_y_mm is None:
        return []
    x, y = view.at(kind.bond_x_mm, kind.bond_y_mm)
    parts: list[Part] = []
    for entry, _ in bonded(scene):
        start = view.at(*inward(entry, entry.clamp_mm / 2))
        corner = (x, start[1]) if side_of(entry) in ("bottom", "top") else (start[0], y)
        parts.append(polyline((start, corner, (x, y)), style.BOND))
        parts.append(Circle(*start, 0.8, style.ARROW))
    r = max(1.5, 5.0 * view.k)
    six = tuple((x + r * cos(pi * i / 3), y + r * sin(pi * i / 3)) for i in range(6))
    parts.append(polygon(six, COLLAR))
    parts.append(Circle(x, y, 0.55 * r, Pen(style.INK, style.W_THIN, style.PAPER)))
    right = view.at(kind.width_mm, 0)[0]
    ex = x + r + 2.6 if x + r + 5.2 < right else x - r - 2.6
    parts += [Line(x, y, ex, y, Pen(style.INK, style.W_THIN)), earth(ex, y)]
    return [Group(tuple(parts), role="hardware", title="bond stud")]


def ties(scene: Scene, view: View) -> list[Part]:
    """Guides: a tie is a black strap across the tubes that pass it, a post or ring its circle."""
    parts: list[Part] = []
    for guide in scene.kind.guides:
        x, y = view.at(guide.x_mm, guide.y_mm)
        if guide.kind != "tie":
            pen = COLLAR if guide.kind == "post" else Pen(style.EDGE, style.W_OUTLINE)
            parts.append(Circle(x, y, max(guide.radius_mm * view.k, 0.8), pen))
            continue
        span = tie_span(scene, guide.x_mm, guide.y_mm)
        if span:
            (ax, ay), (bx, by) = view.at(*span[0]), view.at(*span[1])
            parts.append(Path(polyline(((ax, ay), (bx, by)), style.STUB_CAP).steps, Pen(style.INK, 1.0, cap="round")))
    return [Group(tuple(parts), role="hardware", title="guides")] if parts else []


def tie_span(scene: Scene, x_mm: float, y_mm: float) -> tuple[tuple[float, float], tuple[float, float]] | None:
    """The two ends of a strap across all tubes passing within 25 mm of a place; None when none does."""
    found: list[tuple[float, float]] = []
    across = (1.0, 0.0)
    for item in scene.drawn:
        if item.route.kind != "tube" or item.course is None:
            continue
        gap, s = item.course.distance_to(x_mm, y_mm)
        if gap < 25.0 and 0 < s < item.course.length_mm:
            heading = item.course.heading_at(s)
            across = unit(abs(sin(heading)), abs(cos(heading)))
            found.append(item.course.point_at(s))
    if not found:
        return None
    along = [x * across[0] + y * across[1] for x, y in found]
    middle = x_mm * across[0] + y_mm * across[1]
    low, high = min(along) - middle - 3.0, max(along) - middle + 3.0
    return (
        (x_mm + low * across[0], y_mm + low * across[1]),
        (x_mm + high * across[0], y_mm + high * across[1]),
    )
