"""The trace sheet on good, odd and hostile traces: nothing overlaps, nothing is lost, the curve is that of the file."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from model.graph import Continuity
from model.nodes import node_of
from model.otdr.sor import read_sor
from model.otdr.trace_file import TraceFile
from model.storage.files import load
from render.check import check
from render.drawing import Drawing, LineTo, MoveTo, Path, Text, walk
from render.sheets.options import Options
from render.sheets.otdr import otdr_sheets
from render.shot import Shot as Held
from render.shot import held_shot, plain_shot
from render.svg import to_svg
from tests.model.otdr.sor_writer import Mark, Shot, staircase, written
from tests.render.program import HOUSE

PAGES = [(name, way) for name in ("A4", "A3", "Letter", "Tabloid") for way in ("landscape", "portrait")]
MARKS = (
    Mark(0.0, 0.2, -31.0, code="1F"),
    Mark(2000.0, 0.42),
    Mark(2600.0, -0.05),
    Mark(3208.0, 6.0, code="0E"),
)


def traced(marks: tuple[Mark, ...] = MARKS, end_m: float = 3300.0, **changes: object) -> TraceFile:
    levels = staircase(marks, end_m, 0.22, 2.0)
    return read_sor(written(Shot(**{"events": marks, "levels_db": levels, "spacing_m": 2.0, **changes})))  # type: ignore[arg-type]


def on_plant(trace: TraceFile, back: TraceFile | None = None) -> tuple[Held, Continuity]:
    continuity = Continuity(load(HOUSE / "samples" / "marrowfield.gwp"))
    return held_shot(continuity, node_of(continuity, "service:C9"), trace, back=back), continuity


def texts(drawings: list[Drawing]) -> str:
    return "\n".join(s.content for d in drawings for s, _ in walk(d.parts) if isinstance(s, Text))


@pytest.mark.parametrize(("page", "way"), PAGES)
def test_every_page_size_passes_the_checks(page: str, way: str) -> None:
    shot, continuity = on_plant(traced(launch_m=150.0, first_m=0.0), traced())
    options = Options(page=page, orientation=way, printed_on="2026-01-02")  # type: ignore[arg-type]
    drawings = otdr_sheets(shot, options, continuity.plant, "C9")
    assert [check(drawing) for drawing in drawings] == [[]] * len(drawings)


def test_the_sheet_says_what_is_wrong_and_where() -> None:
    shot, continuity = on_plant(traced())
    words = texts(otdr_sheets(shot, Options(), continuity.plant, "C9"))
    # 3208 m at n 1.468: x 1.468 / 1.467 = 3210.2, - 6 m of tail, / 1.018 = 3147.5, + 4: mark 3151.5.
    for said in ("early end", "extra", "reflective", "MF-48 3152 m", "Marrowfield Hub", "0.42", "-31.0"):
        assert said in words


def test_without_a_plant_the_file_speaks_for_itself() -> None:
    drawings = otdr_sheets(plain_shot(traced()), Options(printed_on="2026-01-02"), None, "shot 7")
    words = texts(drawings)
    assert [check(drawing) for drawing in drawings] == [[]]
    for said in (
        "Trace of shot 7",
        "1550 nm, pulse 100 ns",
        "cable MF-48, fibre 17, Hub to K4",
        "Apparent gain",
        "2000.0",
    ):
        assert said in words


def curve_points(drawing: Drawing) -> list[tuple[float, float]]:
    return [
        (step.x, step.y)
        for shape, roles in walk(drawing.parts)
        if isinstance(shape, Path) and "curve" in roles
        for step in shape.steps
        if isinstance(step, LineTo | MoveTo)
    ]


def test_the_curve_on_paper_has_the_slope_of_the_file() -> None:
    # A straight line of 0.22 dB/km: every point drawn lies on one straight line, and runs from left to right. A step of
    # the file, 0.001 dB, is 0.09 mm on this paper.
    (drawing,) = otdr_sheets(plain_shot(traced(marks=())), Options(), None, "x")
    points = curve_points(drawing)
    assert len(points) > 500
    (x0, y0), (x1, y1) = points[0], points[-1]
    assert all(y == pytest.approx(y0 + (x - x0) * (y1 - y0) / (x1 - x0), abs=0.1) for x, y in points)
    assert [x for x, _ in points] == sorted(x for x, _ in points)


def test_no_peak_is_lost_between_the_columns() -> None:
    # One sample of twenty thousand stands 3 dB above the rest.
    levels = [-i / 20_000 for i in range(20_000)]
    levels[12_345] += 3.0
    trace = read_sor(written(Shot(levels_db=levels, spacing_m=0.5)))
    (drawing,) = otdr_sheets(plain_shot(trace), Options(), None, "x")
    points = curve_points(drawing)
    top = min(y for _, y in points)
    others = sorted(y for _, y in points)[1]
    assert others - top > 5.0


def test_the_same_trace_gives_the_same_bytes() -> None:
    def svg() -> list[str]:
        shot, continuity = on_plant(traced())
        return [to_svg(d) for d in otdr_sheets(shot, Options(printed_on="2026-01-02"), continuity.plant, "C9")]

    assert svg() == svg()


HOSTILE = {
    "no curve": replace(traced(), curve=replace(traced().curve, raw=traced().curve.raw[:0])),
    "no events": traced(marks=()),
    "one sample": traced(end_m=2.0),
    "flat": read_sor(written(Shot(levels_db=[0.0] * 500, events=MARKS))),
    "two hundred events": traced(tuple(Mark(15.0 * i, 0.01) for i in range(200))),
    "crowded events": traced(tuple(Mark(1000.0 + i, 0.01) for i in range(30))),
    "long names": traced(cable="W" * 300, fibre="<&>" * 60, comment="x" * 2000),
    "kilometres": traced((Mark(0.0, code="1F"), Mark(100_000.0, code="1E")), 100_000.0),
    "events before the curve": traced((Mark(-400.0, code="1F"), *MARKS)),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_traces_pass_the_checks(name: str) -> None:
    drawings = otdr_sheets(plain_shot(HOSTILE[name]), Options(printed_on="2026-01-02"), None, "hostile " * 12)
    assert [check(drawing) for drawing in drawings] == [[]] * len(drawings)
    if name == "two hundred events":
        assert len(drawings) > 3
        assert "1 of" in texts(drawings)


@settings(max_examples=15, suppress_health_check=[HealthCheck.too_slow])
@given(
    st.lists(
        st.builds(
            Mark,
            at_m=st.floats(-50.0, 4000.0),
            loss_db=st.floats(-1.0, 5.0),
            reflectance_db=st.floats(-60.0, 5.0),
            code=st.sampled_from(["0F", "1F", "2F", "1E", "0E", "1A"]),
            comment=st.text(max_size=30),
        ),
        max_size=12,
    )
)
def test_any_table_of_events_passes_the_checks(marks: list[Mark]) -> None:
    clean = tuple(replace(mark, comment=mark.comment.replace("\0", "")) for mark in marks)
    shot, continuity = on_plant(traced(clean))
    drawings = otdr_sheets(shot, Options(), continuity.plant, "C9")
    assert [check(drawing) for drawing in drawings] == [[]] * len(drawings)
