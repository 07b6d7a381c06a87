# mypy: disable-error-code="arg-type"
"""Tables as files, read back by somebody else's reader: texts and numbers are what they were, nothing is a formula."""

from __future__ import annotations

import csv
import io
import re
import zipfile
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from python_calamine import CalamineWorkbook

from model.entities import Attempt, Evidence, Reading
from model.graph import Continuity
from model.lists.source import Source
from model.plant import Plant
from model.storage.files import load
from model.templates import LARKMOOR, mid_span, slug
from render.columns import numbers
from render.path_rows import path_rows
from render.table_lists import all_tables, title_of
from render.tables import BOM, LONGEST, Table, inert, plain, to_csv, to_xlsx

HOUSE = Path(__file__).parents[2]
PLANT = load(HOUSE / "samples" / "thistlemere.gwp")
LARGE = load(HOUSE / "samples" / "larkmoor.gwp")
HOSTILE = [
    "=1+1",
    "+1",
    "-1",
    "@SUM(A1)",
    "\t=1+1",
    "\r=1+1",
    "'=1+1",
    "''",
    "'quoted'",
    '=HYPERLINK("http://x.invalid","y")',
    "http://x.invalid/a",
    "mailto:a@x.invalid",
    "internal:Sheet1!A1",
    "{=A1}",
    '"; DROP',
    "a,b;c\td",
    "two\nlines",
    "<b>&amp;</b>",
    "_x0041_",
    "0012",
    "1E5",
    "Żółć Ω 光纤 \U0001f50c",
    " blank at both ends ",
]
text = st.text(st.characters(exclude_categories=("Cs",), exclude_characters="\ufffe\uffff\x00"), max_size=30)


def table(*rows: tuple[Any, ...], digits: tuple[int, ...] = (0, 3)) -> Table:
    return Table("t", "T", ("name", "value, dB"), digits, rows)


def read_csv(written: str) -> list[list[str]]:
    assert written.startswith(BOM)
    return list(csv.reader(io.StringIO(written[1:], newline="")))


def read_xlsx(written: bytes) -> dict[str, list[list[Any]]]:
    book = CalamineWorkbook.from_filelike(io.BytesIO(written))
    return {name: book.get_sheet_by_name(name).to_python() for name in book.sheet_names}


def parts(written: bytes) -> dict[str, str]:
    with zipfile.ZipFile(io.BytesIO(written)) as held:
        return {name: held.read(name).decode("utf-8") for name in held.namelist()}


# CSV


@pytest.mark.parametrize("name", HOSTILE)
def test_a_csv_gives_every_text_back_and_none_begins_like_a_formula(name: str) -> None:
    rows = read_csv(to_csv(table((name, 1.0))))
    assert plain(rows[1][0]) == name
    assert rows[1][0][:1] not in ("=", "+", "-", "@", "\t", "\r")


@given(text)
@example("'''=")
def test_making_a_text_inert_loses_nothing(name: str) -> None:
    assert plain(inert(name)) == name
    assert not inert(name).startswith(("=", "+", "-", "@", "\t", "\r"))


@given(st.lists(text.filter(lambda t: "\x00" not in t), max_size=6))
def test_any_text_survives_a_csv(names: list[str]) -> None:
    rows = read_csv(to_csv(table(*((name, None) for name in names))))
    assert [plain(row[0]) for row in rows[1:]] == names


def test_numbers_stay_numbers_also_below_zero() -> None:
    rows = read_csv(to_csv(table(("gain", -0.0612), ("none", None), ("count", 12), ("zero", -0.00001))))
    assert [row[1] for row in rows[1:]] == ["-0.061", "", "12", "0.0"]


def test_a_csv_begins_with_the_mark_that_tells_spreadsheets_it_is_utf_8() -> None:
    assert to_csv(table()).encode("utf-8").startswith(b"\xef\xbb\xbfname,")
    assert to_csv(table(("a", 1))).endswith("a,1\r\n")


def test_no_range_looks_like_a_date() -> None:
    # Spreadsheets take 1-4 for the first of April.
    assert numbers((1, 2, 3, 4)) == "1–4"
    for made in all_tables(Continuity(PLANT)):
        cells = [cell for row in made.rows for cell in row if isinstance(cell, str)]
        assert [cell for cell in cells if re.fullmatch(r"\d{1,2}-\d{1,2}", cell)] == []


# XLSX


def test_a_workbook_gives_every_text_back_and_holds_no_formula_and_no_link() -> None:
    written = to_xlsx([table(*((name, 1.5) for name in HOSTILE))], "T", "2026-03-15")
    rows = read_xlsx(written)["t"]
    assert [row[0] for row in rows[1:]] == HOSTILE
    held = parts(written)
    assert not any("<f>" in part or "<hyperlink" in part for part in held.values())
    assert not any("hyperlink" in part for name, part in held.items() if name.endswith(".rels"))


@settings(max_examples=50)
@given(st.lists(text.filter(bool), min_size=1, max_size=8))
def test_any_text_survives_a_workbook(names: list[str]) -> None:
    rows = read_xlsx(to_xlsx([table(*((name, None) for name in names))], "T", "2026-03-15"))["t"]
    assert [row[0] for row in rows[1:]] == names


def test_numbers_are_cells_of_numbers_rounded_as_their_column_says() -> None:
    rows = read_xlsx(to_xlsx([table(("a", -0.06149), ("b", 3), ("c", None))], "T", "2026-03-15"))["t"]
    assert [row[1] for row in rows[1:]] == [-0.061, 3.0, ""]


def test_a_text_longer_than_a_cell_is_cut_and_says_so() -> None:
    long = "n" * (LONGEST + 1)
    rows = read_xlsx(to_xlsx([table((long, None))], "T", "2026-03-15"))["t"]
    assert rows[1][0] == "n" * (LONGEST - 3) + "..."


def test_characters_that_no_file_can_hold_are_replaced() -> None:
    bad = table(("a\ud800b\uffff", None))
    assert read_xlsx(to_xlsx([bad], "T", "2026-03-15"))["t"][1][0] == "a\ufffdb\ufffd"
    assert read_csv(to_csv(bad))[1][0] == "a\ufffdb\ufffd"


def test_the_header_row_is_frozen_and_columns_are_as_wide_as_their_words() -> None:
    sheet = parts(to_xlsx([table(("a" * 30, 1.0))], "T", "2026-03-15"))["xl/worksheets/sheet1.xml"]
    assert 'ySplit="1"' in sheet
    assert 'state="frozen"' in sheet
    widths = [float(width) for width in re.findall(r'<col [^>]*width="([\d.]+)"', sheet)]
    assert len(widths) == 2
    assert widths[0] > 30 > widths[1]


def test_the_same_tables_title_and_date_give_the_same_bytes() -> None:
    made = all_tables(Continuity(PLANT), "wb-07")
    again = all_tables(Continuity(load(HOUSE / "samples" / "thistlemere.gwp")), "wb-07")
    assert to_xlsx(made, "T", "2026-03-15") == to_xlsx(again, "T", "2026-03-15")
    assert to_xlsx(made, "T", "2026-03-15") != to_xlsx(made, "T", "2026-03-16")
    assert [to_csv(one) for one in made] == [to_csv(one) for one in again]


def test_title_and_date_are_printed_on_every_page_and_stand_in_the_properties() -> None:
    held = parts(to_xlsx([table()], "Moor & Fen <1>", "2026-03-15"))
    assert "&amp;LMoor &amp;&amp; Fen &lt;1&gt;" in held["xl/worksheets/sheet1.xml"]
    assert "2026-03-15" in held["xl/worksheets/sheet1.xml"]
    assert "Moor &amp; Fen &lt;1&gt;" in held["docProps/core.xml"]
    assert "2026-03-15T" in held["docProps/core.xml"]


# The lists of the samples


def cells(plant: Plant, name: str, site: str | None = None) -> list[dict[str, Any]]:
    made = next(one for one in all_tables(Continuity(plant), site) if one.name == name)
    return [dict(zip(made.columns, row, strict=True)) for row in made.rows]


def test_a_workbook_has_one_sheet_a_list_with_every_row() -> None:
    made = all_tables(Continuity(LARGE), "wb-12")
    sheets = read_xlsx(to_xlsx(made, "T", "2026-03-15"))
    assert list(sheets) == [one.name for one in made]
    assert all(len(name) <= 31 for name in sheets)
    for one in made:
        assert len(sheets[one.name]) == len(one.rows) + 1, one.name
        assert sheets[one.name][0] == list(one.columns)


def test_the_schedule_of_the_small_job_is_that_of_the_hand() -> None:
    rows = cells(PLANT, "splice-schedule", "wb-07")
    keys = ("row", "A cable", "A side", "A tube", "A tube colour", "A fibre in tube", "A fibre colour", "A number")
    # TIA-598 order, from memory: tube 2 orange; blue, orange, green, brown
    assert [tuple(row[key] for key in keys) for row in rows] == [
        (1, "TM-B1", "exchange", 2, "orange", 1, "blue", 13),
        (2, "TM-B1", "exchange", 2, "orange", 2, "orange", 14),
        (3, "TM-B1", "exchange", 2, "orange", 3, "green", 15),
        (4, "TM-B1", "exchange", 2, "orange", 4, "brown", 16),
    ]
    (folded,) = cells(PLANT, "splice-ranges", "wb-07")
    assert (folded["rows"], folded["A numbers"], folded["B numbers"], folded["slots"]) == ("1–4", "13–16", "1–4", "1–4")


def test_readings_have_columns_of_their_wavelength_and_a_gain_stays_one() -> None:
    key, splice = min(PLANT.splices.items())
    read = (Reading(1625, "A-B", -0.05), Reading(1625, "B-A", 0.11))
    plant = Plant([*(e for e in PLANT.entities() if e.id != key), replace(splice, measured=read)])
    row = next(row for row in cells(plant, "splice-schedule") if row["A number"] == 13)
    assert (row["A-B 1625 nm, dB"], row["B-A 1625 nm, dB"]) == (-0.05, 0.11)
    assert row["mean 1625 nm, dB"] == pytest.approx(0.03)
    assert (row["A-B 1550 nm, dB"], row["mean 1310 nm, dB"]) == (None, None)


def test_the_schedule_carries_the_record_of_each_joint() -> None:
    key, splice = min(PLANT.splices.items())
    read = (Reading(1550, "A-B", 0.04), Reading(1550, "B-A", 0.06), Reading(0, "estimate", 0.02))
    done = replace(
        splice,
        status="done",
        measured=read,
        attempts=(Attempt((Reading(0, "estimate", 0.09),), "AB", "2026-02-28"),),
        done_by="AB",
        done_on="2026-03-01",
        evidence=Evidence("verified", "2026-03-02", "CD"),
    )
    plant = Plant([*(e for e in PLANT.entities() if e.id != key), done])
    row = next(row for row in cells(plant, "splice-schedule") if row["A number"] == 13)
    wanted = ("status", "splicer's estimate, dB", "times made", "initials", "date", "evidence")
    assert [row[name] for name in wanted] == ["done", 0.02, 2, "AB", "2026-03-01", "verified 2026-03-02 CD"]
    assert row["mean 1550 nm, dB"] == pytest.approx(0.05)
    log = cells(plant, "splice-log", "wb-07")
    assert [(r["row"], r["try"], r["kept"], r["splicer's estimate, dB"], r["initials"]) for r in log] == [
        (1, 1, "broken open", 0.09, "AB"),
        (1, 2, "kept", 0.02, "AB"),
    ]
    # (0.04 + 0.06) / 2 and (0.04 - 0.06) / 2
    assert log[1]["mean, dB"] == pytest.approx(0.05)
    assert log[1]["half difference, dB"] == pytest.approx(-0.01)


def test_the_log_tells_what_is_one_way_and_what_was_read_sealed() -> None:
    key, splice = min(PLANT.splices.items())
    read = (Reading(1550, "A-B", -0.04), Reading(1550, "A-B", 0.02, True), Reading(1550, "B-A", 0.02, True))
    plant = Plant([*(e for e in PLANT.entities() if e.id != key), replace(splice, status="done", measured=read)])
    log = cells(plant, "splice-log")
    assert [(r["enclosure"], r["A-B, dB"], r["mean, dB"]) for r in log] == [
        ("open", -0.04, None),
        ("sealed", 0.02, 0.02),
    ]
    assert "one way only" in str(log[0]["remark"])
    assert "difference of the fibres" in str(log[0]["remark"])
    assert log[1]["remark"] == ""


def test_a_planned_joint_is_not_in_the_log() -> None:
    assert cells(PLANT, "splice-log") == []


def test_the_stubs_say_what_they_reach() -> None:
    rows = cells(PLANT, "stubs-and-spares", "wb-07")
    assert [(r["kind"], r["fibres"], r["reaches toward exchange"], r["reaches toward field"]) for r in rows] == [
        ("stub", "13–16", "", "Ferry Head, FE 13–16"),
        ("spare", "17–24", "Quill Lane, QU 17–24", "Ferry Head, FE 17–24"),
    ]


def test_a_path_is_listed_from_the_exchange_outward_and_its_sum_is_the_budget() -> None:
    rows = [row for row in path_rows(Source(Continuity(PLANT)), "wb-07") if row.service == "TH-3"]
    assert [(r.number, r.element, r.site, r.to) for r in rows] == [
        (1, "mated pair", "Quill Lane", ""),
        (2, "pigtail splice", "Quill Lane", ""),
        (3, "fibre", "Quill Lane", "WB-07"),
        (4, "splice", "WB-07", ""),
        (5, "fibre", "WB-07", "Thistlemere Hall"),
        (6, "pigtail splice", "Thistlemere Hall", ""),
        (7, "mated pair", "Thistlemere Hall", ""),
    ]
    assert (rows[2].cable, rows[2].fibre, rows[2].fibre_colour) == ("TM-B1", 15, "green")
    assert rows[3].place == "tray 1 slot 3"
    assert rows[0].at_db[1310] == pytest.approx(0.3)
    # 2.259 km, 3 splices, 2 pairs, by hand
    assert rows[-1].at_db[1310] == pytest.approx(1.691, abs=0.0005)
    assert rows[-1].at_m == pytest.approx(2259, abs=0.5)


def test_a_fibre_that_passes_uncut_names_the_place() -> None:
    rows = [row for row in path_rows(Source(Continuity(PLANT))) if row.service == "FERRY-HEAD-25"]
    assert [row.passed for row in rows if row.element == "fibre"] == [("WB-07",)]


def test_the_whole_plant_has_the_rows_of_all_its_sites() -> None:
    ports = cells(PLANT, "ports")
    # 48 at each end of the cable and 4 at the hall
    assert len(ports) == 100
    assert [row["port"] for row in ports if row["site"] == "Quill Lane"] == list(range(1, 49))


def test_names_from_a_hostile_plant_come_back_from_both_files() -> None:
    spec = replace(
        LARKMOOR,
        node="=1+1",
        exchange="@far\U0001f50c",
        far="-9",
        cable='+A,"1"',
        drops=tuple(
            replace(d, name=f"={n}+{d.name}", customer=f"'={d.customer}") for n, d in enumerate(LARKMOOR.drops)
        ),
    )
    plant = mid_span(spec)
    made = all_tables(Continuity(plant), slug(spec.node))
    sheets = read_xlsx(to_xlsx(made, title_of(plant, slug(spec.node), "x"), "2026-03-15"))
    assert {row[1] for row in sheets["splice-schedule"][1:]} == {"=1+1"}
    assert {row[2] for row in sheets["splice-schedule"][1:]} == {'+A,"1"'}
    for one in made:
        rows = read_csv(to_csv(one))
        assert not any(cell[:1] in "=+@\t\r" for row in rows for cell in row if cell)
        for got, row in zip(rows[1:], one.rows, strict=True):
            for cell, value in zip(got, row, strict=True):
                if isinstance(value, str):
                    assert plain(cell) == value


@pytest.mark.parametrize("path", sorted((HOUSE / "samples" / "broken").glob("*.gwp")), ids=lambda p: p.stem)
def test_every_broken_plant_has_tables(path: Path) -> None:
    made = all_tables(Continuity(load(path)))
    assert len(read_xlsx(to_xlsx(made, "T", "2026-03-15"))) == len(made)


def test_a_plant_with_nothing_has_tables_of_headings() -> None:
    made = all_tables(Continuity(Plant()))
    assert [one.rows for one in made] == [()] * 15
    assert all(len(rows) == 1 for rows in read_xlsx(to_xlsx(made, "", "2026-03-15")).values())


def test_the_title_names_project_site_and_order() -> None:
    assert title_of(PLANT, "wb-07", "x") == "Thistlemere Hall connection, WB-07, WO 2207"
    assert title_of(Plant(), None, "moor") == "moor, whole plant"
