"""Draws the placed blocks of a splice schematic: fans, bands, slots, chips, words and the underlay of a traced path.

Painting goes in four layers, so that nothing drawn later hides lettering: tray fields, underlay, glass, and what
names it. Fans are cubics with level ends; after its chip every line is level but for the one lane right of the slots.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from model.numbers import to_text
from render import style
from render.bands import band, halo, ribbon
from render.blocks import chip, loud_tag, loud_width, tag, tag_width, word
from render.drawing import Group, Line, Part, Path, PathStep, Pen, Rect, Text
from render.looks import GlassLook, ranges
from render.marks import bracket_cap, double_chevron, splice_dot
from render.refs import bundle_ref, fibre_ref, port_ref, splice_ref, tray_ref, tube_ref
from render.sheets.splice_grid import BAR, Columns
from render.sheets.splice_order import right_order
from render.sheets.splice_pack import ALL_TRAYS, Field, Placed
from render.sheets.splice_rows import Bundle, Row
from render.sheets.splice_strokes import RIBBON, counted, level, pair
from render.sheets.splice_words import Words
from render.style import Look
from render.text import fits, shorten, text_width

PLATE_HIGH = 6.0
WHITE = Look("white", style.PAPER, style.INK, None)


class Painter:
    """Collects the shapes of one page in four layers."""

    def __init__(
        self, words: Words, columns: Columns, mono: bool, plain: bool, ended: bool, handles: bool = False
    ) -> None:
        """``plain``: slot plates say their tray. ``ended``: field cables end in bars of their own at the right.

        ``handles``: what stands for a range carries its ref, so that it can be opened there.
        """
        self.words, self.at, self.mono, self.plain, self.ended = words, columns, mono, plain, ended
        self.handles = handles
        self.ends: list[tuple[str, float]] = []
        self.under: list[Part] = []
        self.fields: list[Part] = []
        self.glass: list[Part] = []
        self.tops: list[Part] = []

    def parts(self) -> tuple[Part, ...]:
        """All layers in painting order."""
        return (*self.fields, *self.under, *self.glass, *self.tops)

    def look(self, glass: GlassLook) -> Look:
        """The look of a chip: white in the pattern version, for a grey copy of a pattern carries no letters."""
        return WHITE if self.mono else glass.look

    def square(self, glass: GlassLook) -> str:
        """Colour of the square in a tag."""
        return style.PAPER if self.mono else glass.fill

    def band(
        self, steps: tuple[PathStep, ...], glass: GlassLook, pen: tuple[float, float], ref: str, title: str = ""
    ) -> Group:
        """A band of glass in its own look."""
        width, casing = pen
        return band(
            steps,
            glass.colour,
            width,
            casing,
            marks=glass.marks,
            mark_colour=glass.mark_colour,
            mono=self.mono,
            ref=ref,
            title=title,
        )

    def sheath(self, x: float, top: float, bottom: float, names: Sequence[str], ref: str) -> None:
        """A bar of sheath with the longest name that fits."""
        room = bottom - top - 8.0
        name = next((n for n in names if fits(n, room, style.H_HEAD, "bold")), None)
        parts: list[Part] = [Rect(x, top, BAR, bottom - top, style.SHEATH_OUTLINE, 1.0)]
        middle, height = (top + bottom) / 2, style.H_HEAD
        if name is None:
            height = style.H_LABEL
            name = next((n for n in names if fits(n, room + 6.0, height, "bold")), shorten(names[-1], room, height))
        base = x + BAR / 2 + height / 2
        if name:
            parts.append(Text(base, middle, name, height, "bold", "middle", style.PAPER, -90.0))
        self.glass.append(Group(tuple(parts), role="sheath", ref=ref, title=names[0]))

    def express(self, row: Row, y: float, title: str) -> None:
        """A tube that passes uncut, from bar to bar; ``title`` is the tag of a traced path in it, or empty."""
        at, bundle = self.at, row.bundle
        glass = self.words.tube(bundle.owner, bundle.tube)
        text = self.words.tube_tag(bundle)
        ref = tube_ref(bundle.owner, bundle.tube)
        start, end = at.bar_left + 8.0, at.bar_right
        wide, high = tag_width(text), 4.4
        left_tag = tag(at.tag, y - high / 2, text, self.square(glass), ref=ref)
        right_tag = tag(end - 6.0 - wide, y - high / 2, text, self.square(glass), ref=ref)
        loud = "UNCUT - EXPRESS"
        height = style.H_HEAD if loud_width(loud, style.H_HEAD) < end - start - 2 * wide - 52.0 else style.H_LABEL
        head = loud_tag(at.tray_middle, y, loud, height=height, ref=ref)
        slash = left_tag.box.right + 6.0
        count = slash + 2.0 + text_width(str(row.count), weight="bold")
        parts: list[Part] = [
            self.band(level(start, end, y), glass, style.BAND_EXPRESS, ref, f"tube {glass.label}, uncut"),
            counted(slash, y, row.count, 3.7 if title else 1.9),
            left_tag.group,
            right_tag.group,
            head.group,
        ]
        for low, high_x in ((count, head.box.x), (head.box.right, right_tag.box.x)):
            if title and low > slash + 20.0 and high_x - low > tag_width(title, square=False) + 4.0:
                wide = tag_width(title, square=False)
                parts.append(tag((low + high_x - wide) / 2, y - 2.2, title).group)
            elif high_x - low > 9.0:
                parts.append(double_chevron((low + high_x) / 2, y))
        if title:
            self.trace(level(start, end, y))
        self.glass.append(Group(tuple(parts), role="express", ref=f"{ref}", title=f"tube {glass.label}, uncut"))

    def fibre_chips(self, bundle: Bundle, x: float, y: float, with_tube: bool = False) -> None:
        """A chip for each fibre side by side, after that of their tube if asked for."""
        looks = [self.words.fibre(bundle.owner, n) for n in bundle.numbers]
        if with_tube:
            looks.insert(0, self.words.tube(bundle.owner, bundle.tube))
        for glass in looks:
            block = chip(x, y - 1.9, glass.label, self.look(glass), stripes=glass.marks, ref=glass.ref)
            self.tops.append(block.group)
            x = block.box.right + 1.0

    def left_chips(self, bundle: Bundle, y: float) -> None:
        """What names the glass of a row on the left."""
        x = self.at.chip
        if bundle.kind == "cable" and len(bundle.numbers) <= 2:
            self.fibre_chips(bundle, x, y)
            return
        room = max(self.at.tray - x - 3.0, self.at.chip_end - x - 1.8)
        self.tops.append(tag(x, y - 2.2, self.words.numbers(bundle, room), ref=several_ref(bundle)).group)

    def right_chips(self, bundle: Bundle, x: float, y: float) -> None:
        """What names the glass of a row on the right."""
        if bundle.kind != "cable":
            self.tops.append(tag(x, y - 2.2, ranges(bundle.numbers)).group)
        elif len(bundle.numbers) > 2:
            glass = self.words.tube(bundle.owner, bundle.tube)
            text = self.words.tube_tag(bundle)
            self.tops.append(tag(x, y - 2.2, text, self.square(glass), ref=several_ref(bundle)).group)
        else:
            self.fibre_chips(bundle, x, y, with_tube=self.words.tubes(bundle.owner) > 1)

    def strand(self, bundle: Bundle, steps: tuple[PathStep, ...], new: bool, upper: bool = False) -> None:
        """Glass of one row along some steps: a band for one fibre, a ribbon for more; legs and ports are grey."""
        if bundle.kind == "cable" and len(bundle.numbers) == 1:
            glass = self.words.fibre(bundle.owner, bundle.numbers[0])
            pen = style.BAND_NEW if new else style.BAND_OLD
            if upper:
                self.glass.append(halo(steps, pen[0]))
            self.glass.append(self.band(steps, glass, pen, fibre_ref(bundle.owner, bundle.numbers[0])))
            return
        several = len(bundle.numbers) > 1
        width = RIBBON if several else style.BAND_OLD[0]
        if upper:
            self.glass.append(halo(steps, width))
        if bundle.kind == "cable" and len(bundle.numbers) == 2:
            looks = [self.words.fibre(bundle.owner, n) for n in bundle.numbers]
            self.glass.append(replace(pair(steps, looks, self.mono), ref=several_ref(bundle)))
            return
        drawn = ribbon(steps, style.HARDWARE if several else style.PAPER, width)
        self.glass.append(replace(drawn, ref=several_ref(bundle)) if several else drawn)

    def slot(self, row: Row, y: float) -> None:
        """The plate of a splice: slot and dot; a plug is a square with a ring."""
        x = self.at.tray_middle
        if row.state == "plugged":
            node = row.right if row.right and row.right.kind == "port" else row.left
            ref = port_ref(node.nodes[0].rpartition("/")[0]) if node and len(node.nodes) == 1 else ""
            square = Rect(x - 2.6, y - 2.6, 5.2, 5.2, style.TAG)
            self.tops.append(Group((square, splice_dot(x, y, False).parts[0]), role="port", ref=ref))
            return
        text = ranges(row.slots)
        if self.plain and row.tray:
            text = f"{shorten(self.words.plant.trays[row.tray].name, 10.0, weight='bold')}: {text}"
        done = row.status in ("done", "existing")
        ref = splice_ref(row.splices[0]) if len(row.splices) == 1 else ""
        wide = max(16.0, text_width(text, weight="bold") + 8.5) if text else 7.0
        left = x - wide / 2
        parts: list[Part] = [Rect(left, y - PLATE_HIGH / 2, wide, PLATE_HIGH, style.TAG, 0.6)]
        if text:
            parts.append(Text(left + wide - 7.2, y + 1.25, text, weight="bold", anchor="end"))
            parts.append(splice_dot(left + wide - 4.2, y, done))
        else:
            parts.append(splice_dot(x, y, done))
        self.tops.append(Group(tuple(parts), role="slot", ref=ref, title="done" if done else "planned"))

    def field(self, field: Field, titles: bool) -> None:
        """The ground of a tray with its head, and the heads of the columns beside it."""
        at, tray, top, bottom = self.at, field.tray, field.top, field.bottom
        name, slots = ("TRAYS", "tray: slots") if tray == ALL_TRAYS else self.words.tray(tray)
        name = shorten(name, at.tray_width - 2.0, style.H_HEAD, "bold")
        pen = Pen(style.EDGE, style.W_OUTLINE, style.FIELD)
        parts: list[Part] = [
            Rect(at.tray, top + 0.8, at.tray_width, bottom - top - 0.8, pen, 1.5),
            Text(at.tray_middle, top + 5.4, name, style.H_HEAD, "bold", "middle"),
            Text(at.tray_middle, top + 9.8, slots, anchor="middle"),
        ]
        self.fields.append(
            Group(tuple(parts), role="tray", ref="" if tray == ALL_TRAYS else tray_ref(tray), title=name)
        )
        if titles:
            heads = [(at.chip, "Fibre"), (at.right_chip, "To")] + [(at.status, "Status")] * bool(at.status_width)
            heads += [(at.service, "Service")] * bool(at.service_width) + [(at.place, "Place")] * bool(at.place_width)
            self.fields += [Text(x, top + 9.8, text, weight="bold") for x, text in heads]
            if at.loss_width:
                self.fields.append(Text(at.loss_right, top + 9.8, "Loss dB", weight="bold", anchor="end"))

    def has_bar(self, bundle: Bundle) -> bool:
        """Whether the right end of a row runs on into a bar of sheath."""
        return self.ended and bundle.kind == "cable" and bundle.side == ">" and self.words.count(bundle.owner) >= 12

    def texts(self, row: Row, bundle: Bundle, y: float) -> None:
        """Name, service, place, state and loss of a row, at its right-hand end; over the glass that runs on."""
        at, bar = self.at, self.has_bar(bundle)
        base = y - 1.9 if bar else y + style.H_LABEL / 2
        self.right_chips(bundle, at.right_chip, y)
        if bar:
            self.ends.append((bundle.owner, y))
        name = shorten(self.words.end(bundle), at.name_width, style.H_LABEL, "bold")
        if name:
            self.tops.append(Text(at.name, base, name, weight="bold"))
        if row.state == "stub":
            room = at.status - at.service - 2.0
            names = (f"no joint; {self.words.stub(row)}", self.words.stub(row), f"dark to {row.far}", f"to {row.far}")
            if room > 10.0:
                text = next((name for name in names if fits(name, room)), shorten(names[-1], room))
                self.tops.append(Text(at.service, base, text))
        else:
            for x, width, text in (
                (at.service, at.service_width, self.words.service(row)),
                (at.place, at.place_width, self.words.place(row)),
            ):
                if width and text:
                    self.tops.append(Text(x, base, shorten(text, width)))
        if at.status_width:
            self.tops.append(word(at.status, y - 2.2, self.words.state(row), width=at.status_width).group)
        kind, loss = self.words.loss(row)
        if at.loss_width and loss:
            self.tops.append(Text(at.loss_right, base, loss, anchor="end"))
            self.tops.append(Text(at.loss_right - text_width(loss) - 1.6, base, kind, anchor="end"))

    def cap(self, x: float, y: float, facing: str) -> None:
        """The capped end of a stub."""
        self.tops.append(bracket_cap(x, y, facing))

    def tube_end(self, x: float, y: float) -> Line:
        """The short bar across the end of an opened tube."""
        return Line(x, y - 2.6, x, y + 2.6, Pen(style.INK, style.W_HEAVY))

    def trace(self, steps: tuple[PathStep, ...]) -> None:
        """The light band under a traced path."""
        width, edge = style.BAND_TRACE
        fill = style.HARDWARE if self.mono else style.TRACE
        paths = (Path(steps, Pen(style.INK, width)), Path(steps, Pen(fill, width - 2 * edge)))
        self.under.append(Group(paths, role="trace"))


def several_ref(bundle: Bundle) -> str:
    """The ref of fibres that run as one; empty for anything else."""
    if bundle.kind != "cable" or len(bundle.numbers) < 2:
        return ""
    return bundle_ref(bundle.owner, to_text(bundle.numbers), bundle.side)


def right_end(painter: Painter, bundle: Bundle) -> float:
    """Where the glass of a row ends at the right: in a bar, or just before its name."""
    return painter.at.bar_right if painter.has_bar(bundle) else painter.at.name - 2.0


def order_right(placed: Placed) -> dict[int, int]:
    """For every joint of a block, by its index, the index of the row where its right end stands.

    Cables stand in the order that crosses least, the glass within each in its own, so that every crossing drawn is a
    crossing of glass.
    """
    joints = [i for i, (row, _) in enumerate(placed.rows) if row.state in ("joined", "plugged") and row.right]
    ends = [placed.rows[index][0].bundle_right() for index in joints]
    order = right_order([(b.kind, b.owner, b.side) for b in ends], [(b.tube, b.numbers[0]) for b in ends])
    return {joints[index]: joints[place] for place, index in enumerate(order)}
