"""The tray map: one tray to scale with every fibre, its slots, what is uncut on it, and a table to tick.

A4 upright at 1:1 where the tray fits, else A3; on a page that is asked for, the largest scale of ISO 5455 that fits.
Everything comes from the plant and the options; millimetres on paper.
"""

from __future__ import annotations

from model.errors import PlantError
from model.layout import track_mm
from model.plant import Plant
from render import style
from render.blocks import loud_tag
from render.blocks import tag as tag_block
from render.box import Box
from render.dims import scale_bar
from render.drawing import Drawing, Group, Part, Rect, Text, walk
from render.labels import Field, Target, place_labels
from render.leaders import draw_labels
from render.legend import level
from render.page import finish
from render.planar import bounds, text_box
from render.sheets.options import Options
from render.sheets.tray_callouts import Ground, Wish, place_all
from render.sheets.tray_facts import Facts, tray_facts
from render.sheets.tray_plan import Plan, Stage, plan_for
from render.sheets.tray_rows import FAN_GAP, FAN_WIDTH, fan, rows
from render.sheets.tray_scene import Drawn, crossing_point, glass, hardware, one_turn
from render.sheets.tray_words import Callout, corner_tags, lane_callouts, loud_words
from render.targets import TAG_HEIGHT, limit_text
from render.text import shorten, text_width, wrap

LOUD_PITCH = 4.8
FIGURES_PITCH = 4.0


def tray_map(plant: Plant, tray_id: str, options: Options) -> Drawing:
    """One sheet with one tray.

    Raises PlantError for a tray the plant has not, or a page on which no standard scale fits.
    """
    tray = plant.trays.get(tray_id)
    if tray is None:
        raise PlantError(f"there is no tray {tray_id!r}", hint="Name one of " + ", ".join(sorted(plant.trays)[:6]))
    facts = tray_facts(plant, tray, options.trace)
    plan = plan_for(facts, options)
    parts, left = tray_parts(plan.stage, facts, options.mono)
    if plan.caution is not None:
        parts.append(plan.caution.group)
    bar = scale_bar(*plan.bar, plan.scale, 100.0)
    parts += [bar.group, *_figures(plan, facts, left, bar.box.right + 3.0)]
    parts += plan.table.draw(*plan.table_at)
    return finish(plan.page, tuple(parts), desc=_describe(facts))


def tray_parts(stage: Stage, facts: Facts, mono: bool) -> tuple[list[Part], list[Wish]]:
    """The tray with its glass, slots, tags and callouts, and the callouts that found no room."""
    drawn = [item for entry in facts.entries if (item := one_turn(facts.kind, entry)) is not None]
    parts: list[Part] = [
        hardware(stage.place, facts),
        *glass(stage.place, facts, drawn, mono, stage.letters != "none"),
    ]
    parts += rows(stage.place, facts, drawn)
    parts += _loud(stage, facts, drawn)
    parts += _fan(stage, facts, drawn)
    tags = _tags(stage, facts, parts)
    ground = Ground(stage.field, [*parts, *tags])
    callouts, left = place_all(ground, _wishes(stage, facts, drawn))
    return [*parts, *tags, *callouts], left


def _describe(facts: Facts) -> str:
    used = sum(1 for row in facts.rows if row.splices)
    loops = sum(len(entry.ends) for entry in facts.entries if entry.what == "loop")
    stubs = sum(len(entry.ends) for entry in facts.entries if entry.what == "stub")
    return (
        f"{facts.kind.title}, {used} of {facts.kind.slots} slots used, "
        f"{loops} fibres loop through uncut, {stubs} stubs."
    )


def _loud(stage: Stage, facts: Facts, drawn: list[Drawn]) -> list[Part]:
    """A loud tag on every uncut loop; many loops at one crossing share one."""
    found: dict[tuple[float, float], list[Drawn]] = {}
    for item in drawn:
        if item.entry.what == "loop":
            x, y = crossing_point(facts.kind, item.course)
            found.setdefault((round(x, 3), round(y, 3)), []).append(item)
    parts: list[Part] = []
    for (x, y), items in found.items():
        texts = [loud_words(facts, item.entry) for item in items]
        if len(texts) > (4 if facts.kind.straight_y_mm == 0 else 2):
            texts = [f"UNCUT {sum(len(item.entry.ends) for item in items)} fibres of {len(texts)} tubes"]
        px, py = stage.place.at(x, y)
        for i, text in enumerate(texts):
            shown = shorten(text, facts.kind.straight_x_mm * 1.2 * stage.place.scale + 20.0, style.H_LABEL, "bold")
            parts.append(loud_tag(px, py + (i - (len(texts) - 1) / 2) * LOUD_PITCH, shown).group)
    return parts


def _fan(stage: Stage, facts: Facts, drawn: list[Drawn]) -> list[Part]:
    """Labels beside the tray where its rows are too close for them."""
    if stage.letters != "fan":
        return []
    x, _ = stage.place.at(0.0, 0.0)
    wide, top = facts.kind.width_mm * stage.place.scale, stage.place.y
    left = Box(x - FAN_GAP - FAN_WIDTH, top, FAN_WIDTH, stage.field.bottom - top)
    right = Box(x + wide + FAN_GAP, top, FAN_WIDTH, stage.field.bottom - top)
    return fan(stage.place, facts, drawn, left, right) or []


def _tags(stage: Stage, facts: Facts, drawn: list[Part]) -> list[Part]:
    """What comes on at each corner, in the band above the tray, with a leader down to the corner."""
    tags = corner_tags(facts)
    wants = [text_width(tag.text, weight="bold") for tag in tags]
    room = level(wants, stage.tags.width - 10.0 * len(tags))
    targets = []
    for tag in tags:
        way = 1 if tag.corner.heading_deg == 0 else -1
        points = [stage.place.at(tag.corner.x_mm + way * away, tag.corner.y_mm) for away in (3.5, 7.0, 1.5, 10.5, 5.0)]
        text = shorten(tag.text, room, style.H_LABEL, "bold")
        targets.append(
            Target(
                tag.corner.name,
                *points[0],
                (text,),
                end="arrow",
                side="top",
                colour=tag.fill,
                alternatives=tuple(points[1:]),
            )
        )
    walls = [bounds(text_box(shape), 0.4) for shape, _ in walk(tuple(drawn)) if isinstance(shape, Text)]
    boxes = tuple(Box(left, top, right - left, low - top) for left, top, right, low in walls)
    found = place_labels(targets, Field(None, None, stage.tags, boxes))
    parts: list[Part] = [draw_labels(found.placed)] if found.placed else []
    # A tag whose leader finds no way says in words which corner it means, in the widest gap of the band.
    for target in (item.target for item in found.unplaced):
        taken = _boxed(parts)
        lefts = sorted([stage.tags.x - 4.0, *(box.right for box in taken)])
        gaps = [(min([stage.tags.right, *(b.x for b in taken if b.x >= x)]) - x - 8.0, x + 4.0) for x in lefts]
        gap, x = max(gaps)
        text = shorten(f"{target.key}: {target.lines[0]}", gap - 6.0, style.H_LABEL, "bold")
        if text:
            parts.append(tag_block(x, stage.tags.y, text, target.colour).group)
    return parts


def _boxed(parts: list[Part]) -> list[Box]:
    """Boxes of the tags drawn so far."""
    high = TAG_HEIGHT - 0.1
    shapes = [shape for shape, _ in walk(tuple(parts)) if isinstance(shape, Rect) and shape.height >= high]
    return [Box(shape.x, shape.y, shape.width, shape.height) for shape in shapes]


def _wishes(stage: Stage, facts: Facts, drawn: list[Drawn]) -> list[Wish]:
    """The callouts of the lanes and the tightest bend, with the points they may aim at."""
    if not facts.entries:
        return [Wish(("Nothing lies on this tray.",), ())]
    wishes = []
    for callout in lane_callouts(facts):
        points = _points(stage, callout, drawn)
        if points:
            wishes.append(Wish(callout.lines, points))
    arcs = [item for item in drawn if item.peel] or drawn
    points = tuple(
        stage.place.at(*item.course.point_at((bend.start_mm + bend.end_mm) / 2))
        for item in arcs
        for bend in item.course.bends()[-1:]
    )
    if facts.least_mm is not None and points:
        holds = facts.least_mm >= facts.limit_mm - 1e-9
        text = limit_text("R", facts.least_mm, facts.limit_mm, holds)
        wishes.append(Wish((text, "tightest arc"), points, "arrow", led=True))
    return wishes


def _points(stage: Stage, callout: Callout, drawn: list[Drawn]) -> tuple[tuple[float, float], ...]:
    """Places along the fibres a callout speaks of, every 6 mm; for tails their common line only."""
    item = next((item for item in drawn if item.entry == callout.entry), None)
    if item is None:
        return ()
    end = item.course.length_mm - sum(piece.length_mm for piece in item.peel)
    start = min(24.0, end / 2)
    count = max(int((end - start) / 6.0), 1)
    return tuple(stage.place.at(*item.course.point_at(start + (end - start) * i / count)) for i in range(count))


def _figures(plan: Plan, facts: Facts, left: list[Wish], after: float) -> list[Part]:
    """Sizes in numbers at the right of the scale bar; callouts without room follow in the same line of text."""
    kind = facts.kind
    turn = f"{track_mm(kind):.1f}".removesuffix(".0")
    words = (
        f"Tray {kind.width_mm:g} x {kind.height_mm:g}. "
        f"Sleeves {kind.sleeve_mm:g} x {facts.sleeve_diameter_mm:g}. One turn {turn}."
    )
    missing = sum(1 for entry in facts.entries if entry.course is None)
    if missing:
        words = f"{missing} courses cannot be laid. {words}"
    said = " ".join([words, *(f"{' '.join(wish.lines)}." for wish in left)])
    room = plan.right - 1.0 - after
    if text_width(words) > room:
        text = Text(plan.bar[0], plan.bar[1] + 10.0, shorten(said, plan.right - plan.bar[0]))
        return [Group((text,), role="note")]
    first, *rest = wrap(said, room)
    lines = [first, shorten(" ".join(rest), room)] if rest else [first]
    base = plan.bar[1] + 5.2 - FIGURES_PITCH * (len(lines) - 1)
    texts = (Text(plan.right - 1.0, base + FIGURES_PITCH * i, line, anchor="end") for i, line in enumerate(lines))
    return [Group(tuple(texts), role="note")]
