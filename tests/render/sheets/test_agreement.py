"""All sheets of one plant say the same: states, counts, lengths and losses, and chips that stay legible in grey."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from io import BytesIO
from itertools import pairwise
from pathlib import Path

import pytest
import resvg_py
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

import render.fonts
from model.entities import FibreEnd, Side
from model.graph import Continuity
from model.ids import SiteId
from model.layout import drawn_routes, tube_runs
from model.lookup import enclosure_at, tray_type
from model.optics.budget import budgets
from model.prep import opening_needed_mm
from model.rules.accounting import account
from model.rules.context import Context, Facts
from model.templates import LARKMOOR, TEMPLATES, THISTLEMERE, Drop, MidSpan, mid_span, slug
from render.check import check
from render.drawing import Drawing, Group, Part, Pen, Rect, Text, walk
from render.looks import fibre_look, tube_look
from render.sheets.layout import layout_sheets
from render.sheets.options import Options
from render.sheets.path import path_sheets
from render.sheets.splices import splice_sheets
from render.sheets.tray import tray_map
from render.svg import to_svg

DATED = Options(printed_on="2026-03-15", file="x.svg")
FACES = [str(path) for path in Path(render.fonts.__file__).parent.glob("*.ttf")]
STATES = {"UNCUT": "uncut", "OPENED": "opened", "CUT": "cut"}
TERMS = {"loop-through": "loop", "stubs": "stub"}
SAMPLES = pytest.mark.parametrize("spec", [THISTLEMERE, LARKMOOR], ids=["thistlemere", "larkmoor"])


@st.composite
def jobs(draw: st.DrawFn) -> MidSpan:
    """A mid-span job past a large box: any tube, opened or cut whole, some of its fibres joined to single drops."""
    cable = draw(st.sampled_from(["lt-24", "lt-48", "lt-72", "lt-96"]))
    tube = draw(st.integers(1, {"lt-24": 2, "lt-48": 4, "lt-72": 6, "lt-96": 8}[cable]))
    fibres = range(12 * tube - 11, 12 * tube + 1)
    joined = tuple(sorted(draw(st.sets(st.sampled_from(fibres), min_size=1, max_size=12))))
    drops = tuple(
        Drop(f"D-{n:02d}", "rd-1", str(4 + (n - 1) % 4), 20.0 + n, f"{n} Fern Close", f"S-{n}")
        for n in range(1, len(joined) + 1 + draw(st.integers(0, 2)))
    )
    mark = draw(st.sampled_from([1865.9, 1866.2, 1866.43, 1866.7]))
    return replace(
        LARKMOOR,
        cable_type=cable,
        tube=tube,
        joined=joined,
        drops=drops,
        whole_tube=draw(st.booleans()),
        mark_out_m=mark,
        live=(),
    )


def texts(*sheets: Drawing) -> list[str]:
    return [shape.content for sheet in sheets for shape, _ in walk(sheet.parts) if isinstance(shape, Text)]


def groups(parts: tuple[Part, ...]) -> Iterator[Group]:
    for part in parts:
        if isinstance(part, Group):
            yield part
            yield from groups(part.parts)


def number(value: float, places: int = 1) -> str:
    """As a drafter writes it: no zeros behind the point."""
    text = f"{value:.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


class Set:
    """The sheets of one job, and what the plant itself says."""

    def __init__(self, spec: MidSpan) -> None:
        self.spec, self.plant = spec, mid_span(spec)
        self.site = SiteId(slug(spec.node))
        self.box = enclosure_at(self.plant, self.site)
        self.cable = self.plant.cables[slug(spec.cable)]
        self.kind = self.plant.cable_types[self.cable.type]
        self.stop = next(stop for stop in self.cable.stops if stop.site == self.site)
        self.tray = f"{self.site}-tray-{spec.work_tray}"
        self.layout = layout_sheets(self.plant, self.site, DATED)
        self.splices = splice_sheets(self.plant, self.site, DATED, unfold=True)
        self.map = tray_map(self.plant, self.tray, DATED)

    def states(self) -> dict[int, str]:
        """State of every tube, from the plant alone."""
        worked = {work.tube: work.state for work in self.stop.tubes}
        return {tube: worked.get(tube, "uncut") for tube in range(1, len(self.kind.tubes) + 1)}

    def label(self, tube: int) -> str:
        return tube_look(self.plant, self.cable, tube).label

    def accounts(self) -> dict[str, dict[str, int]]:
        """What the rules count on each side, zeros left out."""
        context = Context(Facts(self.plant), self.site)
        here = context.stops[self.stop.id]
        found = {}
        sides: tuple[tuple[Side, str], ...] = (("<", "A"), (">", "B"))
        for side, name in sides:
            sums = account(context, here, side)
            parts = (
                ("joined", sums.spliced),
                ("stub", (*sums.stubs, *sums.missing)),
                ("loop", sums.loops),
                ("express", sums.express),
            )
            assert sums.total == sums.count
            found[name] = {word: len(group) for word, group in parts if group}
        return found


def counts_on(said: str) -> dict[str, dict[str, int]]:
    """The sums written after "Side A:" and "Side B:"."""
    found = {}
    for side, terms, total in re.findall(r"Side ([AB]): (.+?) = (\d+)", said):
        parts = {TERMS.get(word, word): int(count) for count, word in re.findall(r"(\d+) ([a-z-]+)", terms)}
        assert sum(parts.values()) == int(total)
        found[side] = {word: count for word, count in parts.items() if count}
    return found


def states_in_table(drawn: Set) -> dict[int, str]:
    """State of every tube as the layout's table has it: the word that follows its label and its fibres."""
    said = texts(*drawn.layout)
    start = said.index("Where it lies") + 1
    labels = {drawn.label(tube): tube for tube in drawn.states()}
    found: dict[int, str] = {}
    for at in range(start, len(said) - 2):
        if said[at] in labels and labels[said[at]] not in found and said[at + 2] in STATES:
            found[labels[said[at]]] = STATES[said[at + 2]]
    return found


def states_on_schematic(drawn: Set) -> dict[int, str]:
    """State of every tube by how it is drawn: unbroken from bar to bar, or ended under the word OPENED or CUT."""
    found: dict[int, str] = {}
    for sheet in drawn.splices:
        for group in groups(sheet.parts):
            if group.role == "express":
                found[int(group.ref.rpartition(":")[2])] = "uncut"
        words = {said.partition(" side")[0] for said in texts(sheet) if re.match(r"(OPENED|CUT) side", said)}
        ended = {
            int(group.ref.rpartition(":")[2])
            for group in groups(sheet.parts)
            if group.role == "tag" and group.ref.startswith(f"tube:{drawn.cable.id}:")
        }
        for tube in ended - {n for n, state in found.items() if state == "uncut"}:
            (word,) = words
            found[tube] = STATES[word]
    return found


def states_agree(drawn: Set) -> None:
    assert states_in_table(drawn) == drawn.states()
    assert states_on_schematic(drawn) == drawn.states()


def counts_agree(drawn: Set) -> None:
    truth = drawn.accounts()
    assert counts_on(" ".join(texts(*drawn.layout))) == truth
    assert counts_on(" ".join(texts(drawn.splices[0]))) == truth
    found = re.search(r"(\d+) of (\d+) slots used, (\d+) fibres loop through uncut, (\d+) stubs", drawn.map.desc)
    assert found
    used, _, loops, stubs = map(int, found.groups())
    spare_drops = max(len(drawn.spec.drops) - len(drawn.spec.joined), 0)
    if drawn.spec.drops[0].type == "rd-4":
        spare_drops = 0
    assert used == truth["A"].get("joined", 0)
    assert loops == truth["A"].get("loop", 0)
    assert stubs == truth["A"].get("stub", 0) + truth["B"].get("stub", 0) + spare_drops


def lengths_agree(drawn: Set) -> None:
    assert drawn.box is not None
    (run,) = tube_runs(drawn.plant, drawn.box, drawn_routes(drawn.plant, drawn.box.id))
    kind = tray_type(drawn.plant, drawn.plant.trays[drawn.tray])
    assert run.opening_mm is not None
    assert run.bare_mm is not None
    assert run.a_mm is not None
    assert run.b_mm is not None
    # Marks are metres; a straight of two lanes and a circle of the middle lane is one turn.
    assert run.opening_mm == pytest.approx((drawn.spec.mark_out_m - drawn.spec.mark_in_m) * 1000.0)
    assert run.bare_mm == pytest.approx(run.opening_mm - run.a_mm - run.b_mm)
    said, on_map = texts(*drawn.layout), texts(drawn.map)
    turn = 2 * (kind.straight_x_mm + kind.straight_y_mm) + 2 * 3.14159265 * kind.track_radius_mm
    label = drawn.label(drawn.spec.tube)
    assert number(run.bare_mm, 0) in said
    assert f"{number(run.a_mm, 0)}, {number(run.b_mm, 0)}" in said
    need = opening_needed_mm(run, kind)
    assert need is not None
    assert f"Sheath opening 1A-1B by marks; routes need {number(need, 0)}" in said
    assert number(run.opening_mm, 0) in said
    line = next(text for text in said if text.startswith(f"{label} bare fibre"))
    turns = number(run.bare_mm / turn, 2)
    assert line.startswith(f"{label} bare fibre: {turns} turns of {number(turn)}")
    assert any(f"One turn {number(turn)}." in text for text in on_map)
    loops = drawn.accounts()["A"].get("loop", 0)
    if loops and "turns are not known" not in on_map:
        assert any(text.startswith((f"{run.bare_mm / turn:.2f} turns", f"{turns} turns")) for text in on_map)
    for head, rest in pairwise(on_map):
        if re.match(r"Inner lane: stubs? .*, side [AB]$", head) and rest.endswith(" bare"):
            assert rest.endswith(f", {number(run.bare_mm, 0)} bare")
    tube_limit = drawn.kind.tube_bend_mm
    for item in (run.a, run.b):
        assert item is not None
        assert item.course is not None
        bend = item.course.tightest()
        assert bend is not None
        radius = bend[0]
        assert f"R {number(radius)} {'≥' if radius >= tube_limit - 1e-6 else '<'} {number(tube_limit)}" in " ".join(
            said
        )


def slots_agree(drawn: Set) -> None:
    """Each used slot holds the same feeder fibre in the plant, on the schematic and in the table of the tray map."""
    truth = {
        splice.slot: fibre_look(drawn.plant, drawn.cable, splice.a.fibre).label
        for splice in drawn.plant.splices.values()
        if splice.tray == drawn.tray and isinstance(splice.a, FibreEnd)
    }
    shown: dict[int, str] = {}
    for sheet in drawn.splices:
        flat = list(groups(sheet.parts))
        chips = [
            (g.title, g.parts[0]) for g in flat if g.role == "chip" and g.ref.startswith(f"fibre:{drawn.cable.id}:")
        ]
        for slot in (g for g in flat if g.role == "slot"):
            plate = slot.parts[0]
            assert isinstance(plate, Rect)
            (text,) = (part.content for part in slot.parts if isinstance(part, Text))
            level = plate.y + plate.height / 2
            beside = [
                title
                for title, box in chips
                if isinstance(box, Rect) and abs(box.y + box.height / 2 - level) < 0.5 and box.x < plate.x
            ]
            (shown[int(text)],) = beside
    assert shown == truth
    table = [g for g in groups(drawn.map.parts) if g.role == "table"]
    words = [(shape.content, shape.x, shape.y) for g in table for shape, _ in walk((g,)) if isinstance(shape, Text)]
    for place, label in truth.items():
        own_chips = [(x, y) for word, x, y in words if word == label]
        assert any(
            word == str(place) and abs(y - cy) < 1.5 and 0 < cx - x < 40.0
            for word, x, y in words
            for cx, cy in own_chips
        )


def losses_agree(drawn: Set) -> None:
    continuity = Continuity(drawn.plant)
    for found in list(budgets(continuity))[:3]:
        said = texts(*path_sheets(drawn.plant, found.service, DATED, continuity))
        at = next(i for i, text in enumerate(said) if text in ("Total", "Total of what is known"))
        losses = [f"{found.loss_db[nm]:.2f}" for nm in (1310, 1550)]
        assert said[at + 2 : at + 4] == losses
        assert {f"1310 nm {losses[0]} dB", f"1550 nm {losses[1]} dB"} <= set(said)


def luminance(grey: float) -> float:
    """Relative luminance of a grey of 0 to 255 (WCAG 2.1, relative luminance)."""
    share = grey / 255.0
    return share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4


def weak_chips(sheet: Drawing, dpi: int = 200) -> list[tuple[str, float]]:
    """Chips whose lettering has a contrast below 4.5 on their ground in a grey copy, with that contrast."""
    png = resvg_py.svg_to_bytes(svg_string=to_svg(sheet), font_files=FACES, skip_system_fonts=True, dpi=dpi)
    grey = Image.open(BytesIO(bytes(png))).convert("L")
    per_mm = dpi / 25.4
    weak = []
    seen = 0
    for group in groups(sheet.parts):
        if group.role != "chip":
            continue
        box = next(part for part in group.parts if isinstance(part, Rect))
        left, top = (box.x + 0.7) * per_mm, (box.y + 0.5) * per_mm
        right, low = (box.x + box.width - 0.7) * per_mm, (box.y + box.height - 0.5) * per_mm
        pixels = Counter(grey.crop((int(left), int(top), int(right), int(low))).tobytes())
        ground = pixels.most_common(1)[0][0]
        # The stems of letters are several pixels wide: the far end of the scale is their full ink.
        solid = [value for value, count in pixels.items() if count >= 3]
        ink = max(solid, key=lambda value: abs(value - ground))
        light, dark = sorted((luminance(ground), luminance(ink)), reverse=True)
        contrast = (light + 0.05) / (dark + 0.05)
        seen += 1
        if contrast < 4.5:
            weak.append((group.title, contrast))
    assert seen
    return weak


@SAMPLES
def test_the_sheets_of_a_sample_agree(spec: MidSpan) -> None:
    drawn = Set(spec)
    states_agree(drawn)
    counts_agree(drawn)
    lengths_agree(drawn)
    slots_agree(drawn)
    losses_agree(drawn)


def test_bare_fibre_is_one_number_on_layout_and_tray_map() -> None:
    # 2230 less tube ends of 489 and 368 as drawn is 1373; both ends of the opened tube are cut to those lengths.
    drawn = Set(LARKMOOR)
    assert "1373" in texts(*drawn.layout)
    assert "capped, 2 turns, 1373 bare" in texts(drawn.map)


@SAMPLES
def test_chips_of_a_sample_stay_legible_in_a_grey_copy(spec: MidSpan) -> None:
    drawn = Set(spec)
    for sheet in (*drawn.layout, *splice_sheets(drawn.plant, drawn.site, DATED)):
        assert weak_chips(sheet) == []


def test_a_chip_in_ink_near_its_ground_is_found_weak() -> None:
    # Yellow's grey is 0.299 * 255 + 0.587 * 210 + 0.114 * 26 = 202, luminance 0.594; white on it: 1.05 / 0.644 = 1.63.
    pen = Pen("#111111", 0.25, "#FFD21A")
    words = Text(9.0, 7.6, "9 YL", 2.5, "bold", "middle", "#FFFFFF")
    chip = Group((Rect(4.0, 4.4, 10.0, 3.8, pen, 0.5), words), role="chip", title="9 YL")
    ((title, contrast),) = weak_chips(Drawing(20.0, 12.0, "t", "d", (chip,)))
    assert title == "9 YL"
    assert contrast == pytest.approx(1.63, abs=0.02)


@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(spec=jobs())
def test_the_sheets_of_any_mid_span_agree(spec: MidSpan) -> None:
    drawn = Set(spec)
    states_agree(drawn)
    counts_agree(drawn)
    lengths_agree(drawn)
    slots_agree(drawn)
    losses_agree(drawn)
    for sheet in (*drawn.layout, *drawn.splices, drawn.map):
        assert check(sheet) == []
    for sheet in (drawn.layout[0], drawn.splices[0]):
        assert weak_chips(sheet, 150) == []


def test_a_legend_lists_only_signs_that_occur() -> None:
    # Larkmoor: nothing is joined yet, nothing is plugged here, no fibre loops through, no path is marked.
    said = set(texts(*splice_sheets(mid_span(LARKMOOR), SiteId("wb-12"), DATED)))
    assert {"tube, uncut", "fibre, new", "splice planned", "stub, capped", "equal range"} <= said
    assert said.isdisjoint(("splice done", "traced path", "plug in a port", "uncut fibre, loop"))
    # Thistlemere has one drop of four fibres in one tube, so no bundle of several.
    assert not any("bundle" in text for text in texts(*layout_sheets(mid_span(THISTLEMERE), "wb-07", DATED)))


def test_entries_of_two_sizes_have_a_label_each() -> None:
    # A cable of 8.6 in a seal for 8 to 16, drops of 3 in seals for 3 to 7: no range is mixed from both.
    said = texts(*layout_sheets(TEMPLATES["drop-terminal"](), "t-01", DATED))
    assert "seals OD 8-16 for 8.6" in said
    assert "seals OD 3-7 for 3" in said
    assert {"SR-12 12 F", "to Sorrel Road"} <= set(said)
