"""The empty box to scale: outline, slack bay, and trays fanned back to front with their titles.

Everything is grey or white hardware with thin outlines; nothing coloured. Places come from the enclosure's type in
real mm through the sheet's view. It must not know what the glass does.
"""

from __future__ import annotations

from model.entities import Tray
from model.lookup import tray_type
from model.parts import Bay, TrayType
from model.prep import slot_y_mm
from render import style
from render.box import Box
from render.drawing import Circle, Group, Part, Pen, Rect, Text, Weight
from render.refs import tray_ref
from render.sheets.layout_scene import Scene, Taken, View
from render.text import fits, shorten, text_width

THIN_METAL = Pen(style.EDGE, style.W_THIN, style.HARDWARE)


def housing(scene: Scene, view: View) -> list[Part]:
    """The outline, and the lugs of a wall box behind it."""
    kind = scene.kind
    box = view.box(0, 0, kind.width_mm, kind.height_mm)
    parts: list[Part] = []
    if kind.kind == "wall box":
        for y_mm in (0.12 * kind.height_mm, 0.88 * kind.height_mm):
            y = view.at(0, y_mm)[1]
            for x in (box.x, box.right):
                parts.append(Rect(x - 4.0, y - 4.5, 8.0, 9.0, Pen(style.EDGE, style.W_OUTLINE, style.PAPER), 2.0))
                parts.append(Circle(x + (-2.2 if x == box.x else 2.2), y, 0.9, Pen(style.EDGE, style.W_THIN)))
    parts.append(Rect(*box, style.ENCLOSURE, max(2.0, min(kind.corner_mm * view.k, box.width / 2))))
    return [Group(tuple(parts), role="hardware", ref=f"site:{scene.site}", title=kind.title)]


def _track(view: View, bay: Bay, radius_mm: float, pen: Pen) -> Rect:
    x, y = view.at(bay.x_mm - radius_mm, bay.y_mm - bay.straight_mm / 2 - radius_mm)
    r = radius_mm * view.k
    return Rect(x, y, 2 * r, 2 * r + bay.straight_mm * view.k, pen, r)


def bays(scene: Scene, view: View) -> list[Part]:
    """Every slack bay: the ring as a shallow dish and the hub as an island."""
    parts: list[Part] = []
    for bay in scene.kind.bays:
        dish = Pen(style.EDGE, style.W_THIN, style.FIELD)
        hub = Pen(style.EDGE, style.W_OUTLINE, style.PAPER)
        parts.append(
            Group((_track(view, bay, bay.ring_mm, dish), _track(view, bay, bay.hub_mm, hub)), "hardware", "", bay.name)
        )
    return parts


def in_work(scene: Scene, tray: Tray) -> bool:
    """Whether anything lies on a tray or leads to it."""
    load = scene.loads[tray.id]
    return load.stored > 0 or any(item.route.tray == tray.id for item in scene.drawn)


def tray_box(scene: Scene, view: View, tray: Tray) -> Box | None:
    """Where a tray lies on paper; None when the enclosure has no such position."""
    place = next((p for p in scene.kind.tray_positions if p.number == tray.position), None)
    kind = tray_type(scene.plant, tray)
    return view.box(place.x_mm, place.y_mm, kind.width_mm, kind.height_mm) if place else None


def trays_by_depth(scene: Scene) -> list[Tray]:
    """Trays from the back to the front."""
    level = {place.number: place.level_mm for place in scene.kind.tray_positions}
    return sorted((t for t in scene.trays if t.position in level), key=lambda t: (level[t.position], t.position))


def trays(scene: Scene, view: View) -> list[Part]:
    """Trays back to front, those in work with a heavy outline, the front ones with track and holders."""
    parts: list[Part] = []
    order = trays_by_depth(scene)
    boxes = {tray.id: box for tray in order if (box := tray_box(scene, view, tray))}
    for index, tray in enumerate(order):
        box, kind = boxes[tray.id], tray_type(scene.plant, tray)
        covered = any(boxes[other.id].overlaps(box.grown(-1.0)) for other in order[index + 1 :])
        pen = style.ACTIVE_TRAY if in_work(scene, tray) else Pen(style.EDGE, style.W_OUTLINE, style.PAPER)
        shapes: list[Part] = [Rect(*box, pen, min(2.0, box.width / 8))]
        if not covered:
            shapes += _tray_face(scene, view, tray, kind, box)
        for corner in kind.corners:
            x, y = box.x + corner.x_mm * view.k, box.y + corner.y_mm * view.k
            wide, high = min(5.0, 9 * view.k), min(2.0, 2.6 * view.k)
            left = x if corner.side == "tube" else x - wide
            shapes.append(Rect(left, y - high / 2, wide, high, THIN_METAL))
        parts.append(Group(tuple(shapes), role="hardware", ref=tray_ref(tray.id), title=f"tray {tray.name}"))
    return parts


def _tray_face(scene: Scene, view: View, tray: Tray, kind: TrayType, box: Box) -> list[Part]:
    k = view.k
    shapes: list[Part] = []
    for lane in (0, kind.lanes - 1):
        r = kind.track_radius_mm + lane * kind.lane_mm
        wide, high = (kind.straight_x_mm + 2 * r) * k, (kind.straight_y_mm + 2 * r) * k
        x, y = box.x + kind.track_x_mm * k - wide / 2, box.y + kind.track_y_mm * k - high / 2
        track = Box(x, y, wide, high)
        if box.grown(-0.5).holds(track):
            shapes.append(Rect(*track, Pen(style.RULE, style.W_THIN), min(r * k, wide / 2, high / 2)))
    used = scene.loads[tray.id].slots
    wide = kind.sleeve_mm * k
    x = box.x + kind.holder_x_mm * k - wide / 2
    if kind.pitch_mm * k < 1.0:
        top, low = box.y + slot_y_mm(kind, 1) * k, box.y + slot_y_mm(kind, kind.slots) * k
        shapes.append(Rect(x, top, wide, max(low - top, 1.0), THIN_METAL))
        return shapes
    high = 0.55 * kind.pitch_mm * k
    for slot in range(1, kind.slots + 1):
        y = box.y + slot_y_mm(kind, slot) * k
        fill = style.RULE if slot in used else style.PAPER
        if y + high < box.bottom:
            shapes.append(Rect(x, y - high / 2, wide, high, Pen(style.EDGE, style.W_THIN, fill)))
    return shapes


def tray_titles(scene: Scene, view: View, taken: Taken) -> list[Part]:
    """Name and use of each tray on its strip, heavy for a tray in work."""
    parts: list[Part] = []
    order = trays_by_depth(scene)
    boxes = {tray.id: box for tray in order if (box := tray_box(scene, view, tray))}
    # Where strips are too narrow for all titles, trays in work keep theirs.
    for index, tray in sorted(enumerate(order), key=lambda pair: (not in_work(scene, pair[1]), -pair[0])):
        box, load = boxes[tray.id], scene.loads[tray.id]
        active = in_work(scene, tray)
        slots = load.kind.slots
        used = f"{len(load.slots)} of {slots} slots" if active else f"spare, {slots} slots"
        brief = f"{len(load.slots)}/{slots}" if active else "spare"
        texts = (f"TRAY {tray.name}: {used}", f"TRAY {tray.name}: {brief}", f"TRAY {tray.name}")
        weight: Weight = "bold" if active else "normal"
        front = [boxes[other.id].y for other in order[index + 1 :] if boxes[other.id].y > box.y]
        strip = min([16.0 * view.k, box.height, *(y - box.y for y in front)])
        room = box.width - 2 * min(7.0, 11 * view.k)
        text = next((t for t in texts if fits(t, room, weight=weight)), "") or shorten(texts[-1], room, weight=weight)
        middle = box.y + strip / 2
        wide = text_width(text, weight=weight)
        spot = Box(box.x + box.width / 2 - wide / 2, middle - style.H_LABEL / 2, wide, style.H_LABEL)
        if not text or not taken.free(spot, 0.9):
            continue
        taken.take(spot.grown(0.3))
        ground = Rect(*spot.grown(style.PAD_GROUND), style.GROUND)
        parts.append(
            Group((ground, Text(spot.x, spot.bottom, text, weight=weight)), role="tray-title", ref=tray_ref(tray.id))
        )
    return parts
