"""Draws one block of a splice schematic: the tube on the left, its fan and rows, and the tube on the other side.

An opened tube shows what loops through uncut, with a true circle and a loud tag, and its stubs on the side that holds
them. Everything is placed already; only the lane right of the slots is routed here.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from render import style
from render.bands import ribbon
from render.blocks import loud_tag, tag, tag_width
from render.drawing import Circle, Group, LineTo, MoveTo, Part, Path, PathStep, Pen, Rect, Text
from render.looks import ranges
from render.marks import trace_head
from render.refs import range_ref, tube_ref
from render.sheets.splice_grid import BAR
from render.sheets.splice_pack import Placed
from render.sheets.splice_paint import Painter, order_right, right_end
from render.sheets.splice_rows import Block, Row
from render.sheets.splice_strokes import RIBBON, bow, counted, level
from render.text import fits, shorten, text_width

Traced = Collection[str | tuple[str, int]]
LOOP_RADIUS = 5.5
BACK_TUBE = 38.0  # length of the tube shown on the other side


def paint_block(painter: Painter, placed: Placed, traced: Traced, title: str) -> None:
    """Draw a block that is not express. ``traced`` are nodes of a traced path and ``title`` its tag."""
    start = _left_tube(painter, placed)
    order = order_right(placed)
    if painter.handles:
        _brackets(painter, placed)
    back_y = _back_tube(painter, placed)
    for index, (row, y) in enumerate(placed.rows):
        target = placed.rows[order[index]][1] if index in order else y
        if title and _on(row, traced):
            _trace(painter, placed, row, y, target, title, back_y)
        if row.left is not None:
            _fan(painter, start, placed.middle, row, y)
        if row.state in ("joined", "plugged"):
            _joint(painter, row, y, target)
        elif row.state == "stub":
            _stub(painter, row, y)
        else:
            _loop(painter, row, y, back_y)


def _brackets(painter: Painter, placed: Placed) -> None:
    """A bracket with the count along every range that was opened: the place to fold it again."""
    x = painter.at.tray - 4.0
    for index, (row, y) in enumerate(placed.rows):
        if row.part_of is None or row.part_of[2] != 0:
            continue
        key, count, _ = row.part_of
        low = placed.rows[min(index + count, len(placed.rows)) - 1][1]
        steps = (MoveTo(x + 1.5, y - 2.6), LineTo(x, y - 2.6), LineTo(x, low + 2.6), LineTo(x + 1.5, low + 2.6))
        plate = tag(x - tag_width(f"fold {count}", square=False) / 2, (y + low) / 2 - 2.2, f"fold {count}").group
        bracket = (Path(steps, style.SLASH), plate)
        painter.tops.append(Group(bracket, role="slash", ref=range_ref(key), title="fold these again"))


def _on(row: Row, traced: Traced) -> bool:
    if row.state == "loop":
        return any((row.bundle.owner, n) in traced for n in row.bundle.numbers)
    return any(node in traced for side in (row.left, row.right) if side for node in side.nodes)


def _left_tube(painter: Painter, placed: Placed) -> float:
    """The tube, splitter or panel where the fan begins; returns its right end, mm."""
    at, block, y = painter.at, placed.block, placed.middle
    if block.kind == "":
        return at.tube_end
    if block.kind == "cable":
        glass = painter.words.tube(block.owner, block.tube)
        ref = tube_ref(block.owner, block.tube)
        whole = ranges(tuple(painter.words.whole(block.owner, block.tube)))
        text = f"{glass.label} {whole}"
        painter.glass.append(painter.band(level(at.bar_left + BAR, at.tube_end, y), glass, style.BAND_EXPRESS, ref))
        painter.glass.append(painter.tube_end(at.tube_end, y))
        painter.tops.append(tag(at.tag, y - 2.2, text, painter.square(glass), ref=ref).group)
        head = _state_words(block, placed)
        room = at.tube_end - at.tag
        if head:
            names = (head, head.replace(" (continued)", ", cont."), head.partition(" (")[0])
            head = next((n for n in names if fits(n, room, weight="bold")), shorten(names[-1], room, weight="bold"))
            painter.tops.append(Text(at.tag, y - 3.9, head, weight="bold"))
        return at.tube_end
    name = placed.rows[0][0].bundle.name
    several = block.kind == "port"
    room = at.tube_end - at.bar_left - 2.6
    text = shorten(name, room, weight="bold")
    painter.tops.append(tag(at.bar_left, y - 2.2, text).group)
    painter.tops.append(Text(at.bar_left, y - 3.9, "panel" if several else "splitter"))
    trunk = level(at.bar_left + tag_width(text, square=False), at.tube_end, y)
    grey = style.HARDWARE if several else style.PAPER
    painter.glass.append(ribbon(trunk, grey, RIBBON if several else style.BAND_OLD[0]))
    if not several:
        _ratio(painter, block.owner, y)
    return at.tube_end


def _ratio(painter: Painter, splitter: str, y: float) -> None:
    """The box where one fibre becomes many, with its ratio, and what feeds it below the name."""
    at, plant = painter.at, painter.words.plant
    kind = plant.splitter_types[plant.splitters[splitter].type]
    ratio = f"{kind.inputs}x{len(kind.legs_db)}"
    wide = text_width(ratio, weight="bold") + 2.4
    box = Rect(at.tube_end - wide, y - 3.2, wide, 6.4, style.TAG, 0.6)
    name = Text(at.tube_end - wide / 2, y + style.H_LABEL / 2, ratio, weight="bold", anchor="middle")
    painter.tops.append(Group((box, name), role="splitter", title=f"splitter {ratio}"))
    feed = painter.words.feed(splitter)
    if feed:
        painter.tops.append(Text(at.bar_left, y + 5.8, shorten(f"from {feed}", at.tube_end - wide - at.bar_left - 1.0)))


def _state_words(block: Block, placed: Placed) -> str:
    word = {"opened": "OPENED side A", "cut": "CUT side A"}.get(block.state, "")
    return f"{word} (continued)".strip() if placed.begun else word


def _fan(painter: Painter, x: float, middle: float, row: Row, y: float) -> None:
    at = painter.at
    end = at.tray_middle if row.state != "loop" else at.chip
    steps = (*bow(x, middle, at.chip - 1.0, y), LineTo(end, y))
    if row.state == "stub":
        steps = (*bow(x, middle, at.chip - 1.0, y), LineTo(at.tray_end + 5.0, y))
    if row.left is not None:
        painter.strand(row.left, steps, row.status == "planned")
        painter.left_chips(row.left, y)
        if len(row.left.numbers) > 2:
            name = painter.words.numbers(row.left, at.tray - at.chip - 3.0)
            at_x = max(at.chip_end, at.chip + tag_width(name, square=False)) + 1.5
            if at.tray - at_x > 8.0:
                mark = counted(at_x + 1.5, y, row.count)
                if painter.handles and row.part_of is not None:
                    mark = replace(mark, ref=range_ref(row.part_of[0]), title=f"open these {row.count}")
                painter.tops.append(mark)


def _joint(painter: Painter, row: Row, y: float, target: float) -> None:
    at = painter.at
    bundle = row.bundle_right()
    lane = (at.tray_end + 1.0, at.right_chip - 2.0)
    head = level(at.tray_middle, lane[0], y)
    steps = (*head, *bow(lane[0], y, lane[1], target)[1:], LineTo(right_end(painter, bundle), target))
    painter.strand(bundle, steps, row.status == "planned", upper=abs(target - y) > 0.1)
    painter.slot(row, y)
    painter.texts(row, bundle, target)


def _stub(painter: Painter, row: Row, y: float) -> None:
    at = painter.at
    if row.left is None and row.right is not None:
        start = at.tray_end + 8.0 if at.right_chip - at.tray_end > 12.0 else at.tray_end + 2.0
        painter.strand(row.right, level(start, right_end(painter, row.right), y), False)
        painter.cap(start, y, "right")
        painter.texts(row, row.right, y)
        return
    start = at.tray_end + 5.0
    painter.cap(start, y, "left")
    text = longest(painter.words.stub_names(row), at.bar_right - start - 6.0)
    painter.tops.append(Text(start + 3.0, y + 1.25, text))


def longest(names: Sequence[str], room: float) -> str:
    """The first of the names, longest first, that fits; the last one shortened when none does."""
    return next((name for name in names if fits(name, room)), shorten(names[-1], room))


def _turn(painter: Painter) -> tuple[float, float]:
    """Where a loop's ribbon turns towards the tube of the other side, and where that tube ends, mm."""
    end = painter.at.bar_right - BACK_TUBE
    return end - min(12.0, (end - painter.at.tray_end) / 4), end


def _loop(painter: Painter, row: Row, y: float, back_y: float) -> None:
    """Fibres of an opened tube that pass uncut: one ribbon, its circle where it is stored, and a loud tag."""
    at, bundle = painter.at, row.bundle
    turn, end = _turn(painter)
    steps: tuple[PathStep, ...] = (*level(at.chip, turn, y), *bow(turn, y, end, back_y)[1:])
    painter.strand(bundle, steps, False)
    if row.stored:
        ring = y + LOOP_RADIUS
        circles: list[Part] = [
            Circle(at.tray_middle, ring, LOOP_RADIUS, Pen(style.INK, RIBBON)),
            Circle(at.tray_middle, ring, LOOP_RADIUS, Pen(style.HARDWARE, RIBBON - 2 * style.W_THIN)),
        ]
        if row.count <= 2:
            looks = [painter.words.fibre(bundle.owner, n) for n in bundle.numbers]
            fills = [style.PAPER if painter.mono else glass.fill for glass in looks]
            places = (LOOP_RADIUS - 0.45, LOOP_RADIUS + 0.45)[: row.count]
            circles[1:] = [
                Circle(at.tray_middle, ring, r, Pen(fill, 0.6)) for r, fill in zip(places, fills, strict=True)
            ]
        painter.glass.append(Group(tuple(circles), role="loop", title="uncut, stored in a loop"))
        short = f"loop {ranges(bundle.numbers)}"
        short = short if fits(short, at.tray_width - 2.0, weight="bold") else f"loop of {row.count}"
        painter.tops.append(Text(at.tray_middle, ring + 11.0, short, weight="bold", anchor="middle"))
    text = f"UNCUT IN OPENED TUBE {ranges(bundle.numbers)}"
    room = turn - at.tray_end - 4.0
    for choice in (text, f"UNCUT {ranges(bundle.numbers)}", f"UNCUT {row.count} fibres", "UNCUT"):
        if fits(choice, room - 3.2, weight="bold"):
            text = choice
            break
    else:
        text = "UNCUT"
    half = (text_width(text, weight="bold") + 3.2) / 2
    head = loud_tag(at.tray_end + 3.0 + half, y, text, ref=tube_ref(bundle.owner, bundle.tube))
    painter.tops.append(head.group)
    where = painter.words.stored(row) or "storage not recorded"
    turns = f", {row.turns:g} turns" if row.turns else ""
    note = f"loop-through{turns}{' ' if where.startswith(('on', 'in')) else ', '}{where}"
    room = turn - head.box.right - 4.0
    if fits(note, room):
        painter.tops.append(Text(head.box.right + 2.0, y + 5.8, note))


def _back_tube(painter: Painter, placed: Placed) -> float:
    """The tube on the other side with its stubs; returns the height it stands at, mm."""
    at, block = painter.at, placed.block
    loops = [y for row, y in placed.rows if row.state == "loop"]
    if placed.goes_on or not (loops or placed.back):
        return loops[0] if loops else placed.middle
    heights = [*loops, *(y for _, y in placed.back)]
    y = (heights[0] + heights[-1]) / 2
    glass = painter.words.tube(block.owner, block.tube)
    ref = tube_ref(block.owner, block.tube)
    start = at.bar_right - BACK_TUBE
    text = f"{glass.label} {ranges(tuple(painter.words.whole(block.owner, block.tube)))}"
    painter.glass.append(painter.band(level(start, at.bar_right, y), glass, style.BAND_EXPRESS, ref))
    painter.glass.append(painter.tube_end(start, y))
    wide = tag_width(text)
    painter.tops.append(tag(at.bar_right - 3.0 - wide, y - 2.2, text, painter.square(glass), ref=ref).group)
    head = "CUT side B" if block.state == "cut" else "OPENED side B"
    painter.tops.append(Text(at.bar_right - 3.0, y - 3.9, head, weight="bold", anchor="end"))
    turn = start - 10.0
    chips = max((painter.words.left_chips(row) for row, _ in placed.back if row.count <= 2), default=8.0)
    cap = max(at.tray_end + 1.0, min(turn - 4.0 - chips, max(at.tray_end + 80.0, turn - 66.0)))
    for row, row_y in placed.back:
        steps = (*level(cap, turn, row_y), *bow(turn, row_y, start, y)[1:])
        painter.strand(row.bundle, steps, False)
        if row.state == "stub":
            painter.cap(cap, row_y, "right")
        names = painter.words.stub_names(row)
        if row.state != "stub":
            each = "each in its own row" if row.count > 1 else "see its row"
            names = (f"{ranges(row.bundle.numbers)} joined, {each}", f"{row.count} joined", "joined")
        # A loop's circle stands left of its stubs; without one the words may reach back to the chips.
        room = cap - (at.tray_end if loops else at.chip) - 5.0
        if row.count <= 2:
            if row.count == 1 or cap + 3.0 + chips <= turn:
                painter.fibre_chips(row.bundle, cap + (3.0 if room > 20.0 else 1.5), row_y)
        elif room > 20.0:
            painter.tops.append(counted(cap + 7.0, row_y, row.count))
        if room > 20.0:
            painter.tops.append(Text(cap - 3.0, row_y + 1.25, longest(names, room), anchor="end"))
        else:
            painter.tops.append(Text(cap, row_y + 4.9, longest(names, at.bar_right - cap - 2.0)))
    return y


def _trace(painter: Painter, placed: Placed, row: Row, y: float, target: float, title: str, back_y: float) -> None:
    at = painter.at
    if row.state == "loop":
        fan = bow(at.tube_end, placed.middle, at.chip - 1.0, y)
        turn, end = _turn(painter)
        back = bow(turn, y, end, back_y)
        first = level(at.bar_left + BAR, at.tube_end, placed.middle)
        painter.trace((*first, *fan[1:], LineTo(turn, y), *back[1:], LineTo(at.bar_right, back_y)))
        return
    steps: tuple[PathStep, ...] = level(at.tray_middle, at.tray_end + 1.0, y)
    if row.left is not None:
        start = at.bar_left + (BAR if placed.block.kind == "cable" else 0.0)
        fan = bow(at.tube_end, placed.middle, at.chip - 1.0, y)
        steps = (*level(start, at.tube_end, placed.middle), *fan[1:], LineTo(at.tray_end + 1.0, y))
    end = at.loss_right + 1.0
    if row.state == "stub" and row.left is not None:
        end = at.tray_end + 7.0
        painter.trace((*steps[:-1], LineTo(end, y)))
        return
    if row.right and painter.has_bar(row.right):
        end = at.bar_right - 4.0
    steps = (*steps, *bow(at.tray_end + 1.0, y, at.right_chip - 2.0, target)[1:], LineTo(end, target))
    painter.trace(steps)
    painter.under.append(trace_head(end, target))
    wide = tag_width(title, square=False)
    for low, high, height in ((at.tray_end, at.right_chip, y), (at.chip_end, at.tray, y)):
        if high - low > wide + 4.0 and abs(height - target) < 0.1:
            painter.tops.append(tag((low + high - wide) / 2, height - 2.2, title).group)
            break
