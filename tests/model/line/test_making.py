"""Making a plant by lines: each verb against what the plant must hold then, and faults by their columns."""

from __future__ import annotations

import pytest

from model.entities import MarkJump
from model.graph import Continuity
from model.ids import SiteId
from model.line.context import Context
from model.line.readback import all_completions, read_line
from model.lookup import cut_fibres
from model.plant import Plant
from model.rules.run import check
from model.templates import TEMPLATES
from tests.model.line.lines import chips, done, read

SITES = ("add site Exch exchange", "add site N-1", "add site Far cabinet", "add box wall-box-small at N-1")
CABLE = "add cable F-1 lt-48 from Exch at 0 through N-1 at 100/101.6 coil 12 to Far at 250"


def empty() -> Context:
    plant = Plant()
    return Context(plant, Continuity(plant))


def mid_span() -> Context:
    plant = TEMPLATES["mid-span"]()
    return Context(plant, Continuity(plant), SiteId("wb-01"))


def made(*lines: str) -> Plant:
    history, _ = done(empty(), *lines)
    return history.plant


def fault(context: Context, text: str) -> tuple[int, str]:
    reading = read_line(context, text, complete=False)
    assert reading.error is not None
    return reading.error.column, f"{reading.error.message}. {reading.error.hint}"


def test_a_site_is_an_enclosure_unless_its_kind_is_said() -> None:
    plant = made("add site N-1", 'add site "Marl Street" exchange')
    assert {s.name: s.kind for s in plant.sites.values()} == {"N-1": "enclosure", "Marl Street": "exchange"}


def test_each_line_is_one_undo_step() -> None:
    history, _ = done(empty(), *SITES, CABLE)
    assert len(history.steps) == len(SITES) + 1
    while history.steps:
        history.undo()
    assert not history.plant.sites
    assert not history.plant.cable_types


def test_a_box_brings_its_type_and_closes_every_entry() -> None:
    plant = made(*SITES)
    (box,) = plant.enclosures.values()
    names = {entry.name for entry in plant.enclosure_types["wall-box-small"].entries}
    assert set(box.plugged) == names == {"1A", "1B", "2", "3", "4", "5", "6", "7"}


def test_a_passing_cable_takes_the_oval_pair_and_its_plugs_come_out() -> None:
    plant = made(*SITES, CABLE)
    stop = plant.cables["f-1"].stops[1]
    assert (stop.entry_in, stop.entry_out) == ("1A", "1B")
    assert (stop.mark_in_m, stop.mark_out_m, stop.coil_in_m) == (100.0, 101.6, 12.0)
    assert set(next(iter(plant.enclosures.values())).plugged) == {"2", "3", "4", "5", "6", "7"}


def test_a_box_added_last_takes_the_cables_in() -> None:
    plant = made(*SITES[:3], CABLE, SITES[3])
    stop = plant.cables["f-1"].stops[1]
    assert (stop.entry_in, stop.entry_out, stop.anchored_in, stop.anchored_out) == ("1A", "1B", True, True)


def test_a_drop_makes_its_premises_and_is_plugged_there() -> None:
    plant = made(*SITES, "add drop D-1 rd-4 from N-1 to House 65 m at 4")
    assert plant.sites["house"].kind == "premises"
    assert plant.cables["d-1"].stops[0].entry_out == "4"
    assert plant.cables["d-1"].stops[1].mark_in_m == 65.0
    assert len(plant.matings) == len(plant.ports) == 4


def test_drops_share_an_entry_until_it_is_full() -> None:
    # Entry 4 of the small wall box takes three drops of 3 to 7 mm.
    lines = [f"add drop D-{n} rd-1 from N-1 to House-{n} 20 m" for n in range(1, 5)]
    plant = made(*SITES, *lines)
    assert [plant.cables[f"d-{n}"].stops[0].entry_out for n in range(1, 5)] == ["4", "4", "4", "5"]


def test_trays_take_the_next_free_positions() -> None:
    plant = made(*SITES, "add tray tray-24 to N-1", "add tray tray-24 to N-1")
    assert sorted((t.position, t.name) for t in plant.trays.values()) == [(1, "1"), (2, "2")]
    assert made(*SITES, "add tray tray-24 to N-1 times 2").trays.keys() == plant.trays.keys()


def test_a_panel_plugs_every_fibre_of_a_cables_end() -> None:
    plant = made(*SITES, CABLE, "add panel F-1 at Exch")
    assert {m.end.fibre for m in plant.matings.values()} == set(range(1, 49))  # type: ignore[union-attr]


def test_a_whole_job_by_lines_has_no_error_and_no_warning_but_the_strip_length() -> None:
    _, now = done(
        empty(),
        *SITES,
        "add tray tray-24 to N-1",
        CABLE,
        "add drop D-1 rd-4 from N-1 to House 65 m at 4",
        "add panel F-1 at Exch",
        "add panel F-1 at Far",
        "serve House port 1 as H-1 for Hay",
        "cut F-1:13-16 at N-1",
        "join F-1:13-16 to D-1:1-4 on tray 1 at N-1",
        "put F-1:17-24 on tray 1 at N-1",
        "draft all",
    )
    findings = check(now.plant)
    assert [f for f in findings if f.severity == "error"] == []
    assert {f.rule for f in findings if f.severity == "warning"} == {"drop.strip"}
    assert now.plant.services["h-1"].customer == "Hay"


def test_a_site_and_its_box_are_renamed_together() -> None:
    history, _ = done(mid_span(), 'name WB-01 as "WB 44"')
    assert history.plant.sites["wb-01"].name == "WB 44"
    assert history.plant.enclosures["wb-01-box"].name == "WB 44"


def test_the_title_block_is_filled_in() -> None:
    assert made('name project as "Hay Farm"').job.project == "Hay Farm"


def test_marks_are_set_at_the_place() -> None:
    reading = read(mid_span(), "mark MS-48 2200/2201.8")
    assert chips(reading)["opening"] == "1800 mm"
    history, _ = done(mid_span(), "mark MS-48 2200/2201.8")
    stop = history.plant.cables["ms-48"].stops[1]
    assert (stop.mark_in_m, stop.mark_out_m) == (2200.0, 2201.8)


def test_jumps_of_the_print_are_set_and_taken_out() -> None:
    history, _ = done(mid_span(), "mark MS-48 jump 3000/0, 200/4711 beyond WB-01")
    assert history.plant.cables["ms-48"].stops[1].jumps == (MarkJump(3000.0, 0.0), MarkJump(200.0, 4711.0))
    history, _ = done(mid_span(), "mark MS-48 jump 3000/0", "mark MS-48 jump none")
    assert history.plant.cables["ms-48"].stops[1].jumps == ()


def test_the_sheath_with_a_jump_is_read_back() -> None:
    plant = mid_span().plant
    out, far = plant.cables["ms-48"].stops[1].mark_out_m, plant.cables["ms-48"].stops[2].mark_in_m
    assert out is not None
    assert far is not None
    said = chips(read(mid_span(), f"mark MS-48 jump {out + 100:g}/{far - 50:g} beyond WB-01"))
    assert said["sheath"] == "150.0 m"


def test_plugs_come_out_and_go_in_again() -> None:
    history, _ = done(mid_span(), "unplug 5,6", "plug 6")
    assert set(history.plant.enclosures["wb-01-box"].plugged) == {"2", "3", "6", "7"}


def test_a_cable_is_put_into_another_entry_and_the_old_one_is_plugged() -> None:
    history, _ = done(mid_span(), "enter D-1 in 6", "enter MS-48 in 2/3")
    assert history.plant.cables["d-1"].stops[0].entry_out == "6"
    stop = history.plant.cables["ms-48"].stops[1]
    assert (stop.entry_in, stop.entry_out) == ("2", "3")
    assert set(history.plant.enclosures["wb-01-box"].plugged) == {"1A", "1B", "4", "5", "7"}


def test_what_was_drawn_from_the_old_entry_goes_and_is_drafted_from_the_new_one() -> None:
    history, now = done(mid_span(), "enter D-1 in 6")
    assert not [r for r in history.plant.routes.values() if "d-1.wb-01" in r.stops]
    history, _ = done(now, "draft all")
    leg = next(r for r in history.plant.routes.values() if r.kind == "sheath" and "d-1.wb-01" in r.stops)
    # Entry 6 of the small wall box is 280 mm from its left edge.
    assert leg.supports[-1].x_mm == 280.0


def test_draft_draws_an_opened_tube_to_its_tray_and_takes_its_course_through_away() -> None:
    history, _ = done(mid_span(), "cut MS-48:13-16", "draft MS-48:T2 on tray 1")
    routes = history.plant.routes.values()
    of_t2 = {(r.side, r.tray) for r in routes if r.kind == "tube" and 2 in r.tubes}
    assert of_t2 == {("<", "wb-01-tray-1"), (">", "wb-01-tray-1")}
    assert cut_fibres(history.plant.cable_types["lt-48"], history.plant.cables["ms-48"].stops[1]) == {13, 14, 15, 16}


def test_draft_all_says_when_everything_is_drawn() -> None:
    reading = read(mid_span(), "draft all")
    assert reading.changes is None
    assert chips(reading)["note"] == "everything is drawn, nothing to change"


def test_draft_all_where_there_is_no_box_asks_for_one() -> None:
    column, words = fault(mid_span(), 'draft all at "Marl Street"')
    assert column == 14
    assert words == "Marl Street has no box to draft in. Add one first: add box TYPE"


@pytest.mark.parametrize(
    ("text", "column", "part"),
    [
        ("add cabel X lt-48 from A to B", 5, "cannot be added"),
        ("add site WB-01", 10, "called WB-01 already"),
        ("add site N-2 hut", 14, "no kind of site"),
        ("add cable X lt-49 from WB-01 to Nowhere", 13, "no cable type"),
        ('add cable X lt-48 from "Marl Street" to Nowhere', 41, "no site is called"),
        ('add cable X lt-48 from "Marl Street" to "Marl Street"', 41, "said twice"),
        ('add cable X lt-48 from "Marl Street" at 1/2 to WB-01', 43, "one mark"),
        ('add cable X lt-48 from WB-01 in 9 to "Teal Reach"', 33, "no entry 9"),
        ("add drop D-2 rd-4 to X 0 m at 4", 24, "has a length"),
        ("add box dome-4 at WB-01", 19, "has a box already"),
        ("add tray tray-60 to WB-01", 10, "no tray type"),
        ("add tray tray-24 to WB-01 times 9", 33, "room for 1 tray"),
        ("name MS-48 as D-1", 15, "called D-1 already"),
        ("name MS-48 to X", 12, "as must stand here"),
        ("mark MS-48 2148", 12, "two marks"),
        ("mark MS-48 x", 12, "no number"),
        ("mark MS-48 jump 9999", 21, "behind the jump is missing"),
        ("mark MS-48 jump 9999/x", 22, "no number"),
        ('mark MS-48 jump 9999/0 beyond "Teal Reach"', 31, "beyond which stop of MS-48?"),
        ("enter D-1 in 2", 14, "seals 8 to 14 mm"),
        ("enter MS-48 in 2", 16, "in two entries"),
        ("plug 4", 6, "a cable is in entry 4"),
        ("unplug 44", 8, "no entry 44"),
        ('serve "Alder Cottage" port 9 as Q', 28, "no port 9"),
        ('serve "Alder Cottage" port 1 as Q', 28, "serves AC-1 already"),
        ("draft MS-48:T2 on tray 1", 13, "passes there uncut"),
        ("add site X premises now", 21, "not understood"),
    ],
)
def test_a_fault_names_its_column(text: str, column: int, part: str) -> None:
    at, words = fault(mid_span(), text)
    assert part in words
    assert at == column


def test_a_box_names_the_cables_that_none_of_its_entries_seals() -> None:
    # Eight entries of the small wall box take four passing cables at most; the smallest seal only drops.
    names = [f"F-{n}" for n in range(1, 6)]
    lines = [text for text in SITES if not text.startswith("add box")]
    lines += [f"add cable {name} lt-48 from Exch through N-1 at 400/401.6 to Far" for name in names]
    _, before = done(empty(), *lines)
    said = chips(read(before, SITES[-1]))
    _, after = done(before, SITES[-1])
    outside = [c.name for c in after.plant.cables.values() if not c.stops[1].entry_in]
    assert outside
    assert said["not entered"] == f"{', '.join(outside)}: no free entry seals {'it' if len(outside) == 1 else 'them'}"


def test_sites_without_a_box_are_asked_for_and_not_denied() -> None:
    _, sites = done(empty(), "add site N-1", "add site N-2")
    for text in ("add tray tray-24", "unplug 4"):
        assert fault(sites, text)[1].startswith("at which site?")
        assert fault(empty(), text)[1].startswith("there is no site yet")


HALF = (
    "ad",
    "add ",
    "add site X ",
    "add cable X ",
    "add cable X lt-4",
    "add cable X lt-48 ",
    "add cable X lt-48 from ",
    'add cable X lt-48 from "Marl Street" ',
    "add drop D-2 ",
    "add drop D-2 rd-1 to House 5 m at ",
    "add box dome-4 at ",
    "add tray ",
    "add panel ",
    "name ",
    "name WB-01 ",
    "mark ",
    "mark MS-48 ",
    "mark MS-48 jump ",
    "mark MS-48 jump 1/2 ",
    "mark MS-48 jump 1/2 beyond ",
    "enter ",
    "enter D-1 in ",
    "unplug ",
    'serve "Alder Cottage" ',
    "draft ",
    "draft MS-48:",
)


@pytest.mark.parametrize("text", HALF)
def test_endings_of_steps_that_make_things_read_or_only_lack_what_follows(text: str) -> None:
    context = mid_span()
    offered = all_completions(context, text)
    assert offered
    for item in offered:
        again = read_line(context, item.text, complete=False)
        assert again.ok or (again.error is not None and again.error.incomplete), item


def test_types_of_the_catalogue_are_offered_feeders_for_cables_and_drops_for_drops() -> None:
    cables = [c.ending for c in all_completions(empty(), "add cable X ")]
    drops = [c.ending for c in all_completions(empty(), "add drop D-1 ")]
    assert cables[0].startswith("lt-")
    assert {"rd-4", "fd-1"} <= set(drops[:10])


def test_with_no_cable_yet_adding_is_offered_first() -> None:
    assert all_completions(empty(), "")[0].ending == "add"


def test_a_line_may_use_what_its_earlier_step_made() -> None:
    plant = made("add site A exchange; add site B; add cable C lt-12 from A to B")
    assert [plant.sites[s.site].name for s in plant.cables["c"].stops] == ["A", "B"]
