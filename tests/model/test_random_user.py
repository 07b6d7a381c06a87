# mypy: disable-error-code="arg-type, misc"
"""Somebody who does anything in any order: the plant stays whole, the graph in step, and undo leads back to the start.

What is refused changes nothing. Every so often the plant is saved and read back, and goes on from its file.
"""

from __future__ import annotations

from collections import Counter
from typing import Any

import pytest
from hypothesis import Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from model.catalogue import parts_for
from model.changes import ChangeSet
from model.edits.cutting import CutFibres, CutTubes, KeepTubes, MakeWhole, OpenTubes
from model.edits.joining import Join, MoveSplices, Part, Plug, Store
from model.edits.parts import Add, Bring, Remove
from model.edits.patching import Park, Patch, Unplug
from model.edits.recording import Annotate, MarkDone, Measure, PlanLoss, SetStatus, SpliceAgain, TypeReading, Vouch
from model.edits.routing import DrawRoute, Hold, SetPlugs, SetSupport
from model.edits.swapping import SwapSlots, SwapTrays
from model.edits.ticketing import Hear, OpenTicket, TakeShot
from model.entities import (
    Cable,
    Evidence,
    FibreEnd,
    GlassEnd,
    LegEnd,
    Port,
    Reading,
    Route,
    Shot,
    Splitter,
    Stop,
    Support,
    Ticket,
)
from model.errors import EditError
from model.glass import fibre_m, pieces
from model.graph import Continuity, end_node
from model.history import Edit, History
from model.lists.cuts import cut_list
from model.lists.fibres import use_counts
from model.lists.legs import leg_table
from model.lists.ports import port_table
from model.lists.preps import prep
from model.lists.schedule import schedule
from model.lists.source import Source
from model.lists.stores import spares, storage
from model.lookup import cut_fibres, end_exists, ends_at, fibres_of, looped_fibres, passes
from model.rules.run import FAILED, check
from model.storage.document import decode, encode
from model.templates import TEMPLATES
from model.trace import path_nodes, trace

few = st.lists(st.integers(0, 75), min_size=1, max_size=5).map(tuple)
some = st.integers(0, 10_000)
DATES = ("", "2026-03-01", "2026-02-30")
near_mm = st.floats(-20.0, 500.0)


class AnyUser(RuleBasedStateMachine):
    """Edits drawn at random, right and wrong ones."""

    def __init__(self) -> None:
        super().__init__()
        self.history: History
        self.told = 0

    @initialize(name=st.sampled_from(sorted(name for name in TEMPLATES if name.startswith("mid-span"))))
    def open_a_plant(self, name: str) -> None:
        # Through its file once, so that later saving and reading rounds nothing away.
        plant = decode(encode(TEMPLATES[name]()))
        history = History(plant)
        node = next(iter(plant.enclosures.values())).site
        feeder = next(c for c in plant.cables.values() if len(c.stops) > 2)
        more = Cable(
            "more",
            "MORE",
            feeder.type,
            tuple(Stop(f"more.{n}", s.site, *marks) for n, s, marks in zip("abc", feeder.stops, MARKS, strict=True)),
        )
        devices = (
            Splitter("sp", node, "1x2", "SP", parked=(1, 2)),
            Splitter("tw", node, "2x4", "TW", parked=(1, 2, 3, 4), standby=(2,)),
            Splitter("tap", node, "tap-10-90", "TAP"),
        )
        ports = tuple(Port(f"{panel}{n}", node, panel, n) for panel in "PQ" for n in range(1, 5))
        parts = parts_for("1x2", "2x4", "tap-10-90", "pt-1")
        history.do(Bring(parts), Add((more, *devices, *ports), "second feeder"))
        self.begin(history)

    def begin(self, history: History) -> None:
        """Watch a history from here on."""
        self.history = history
        self.plant = history.plant
        self.start = history.plant.copy()
        self.lengths = self.glass()
        self.continuity = Continuity(history.plant)
        self.depth = len(history.steps)
        self.history.listen(self.hear)
        self.history.listen(self.continuity.update)

    def hear(self, changes: ChangeSet) -> None:
        self.told += 1
        assert changes

    def glass(self) -> dict[tuple[str, int], float]:
        """Metres of every fibre, over all its pieces."""
        found: dict[tuple[str, int], float] = {}
        for made in self.plant.cables.values():
            kind = self.plant.cable_types[made.type]
            for piece in pieces(made, kind):
                key = made.id, piece.fibre
                found[key] = found.get(key, 0.0) + (fibre_m(made, kind, piece) or 0.0)
        return found

    def attempt(self, *edits: Edit) -> None:
        """Do it; if it is refused, nothing at all is different and nobody was told."""
        before, revision = self.plant.copy(), self.plant.revision
        state = self.history.steps, self.history.undo_name, self.history.redo_name, self.history.clean, self.told
        try:
            changes = self.history.do(*edits)
        except EditError as fault:
            refused: EditError | None = fault
        else:
            refused = None
            assert self.told == state[-1] + bool(changes)
        if refused is not None:
            after = self.history.steps, self.history.undo_name, self.history.redo_name, self.history.clean, self.told
            assert self.plant == before
            assert self.plant.revision == revision
            assert after == state
            assert refused.message
            assert refused.hint

    def stop_at(self, number: int) -> tuple[Cable, Stop]:
        places = [(c, s) for c in self.plant.cables.values() for s in c.stops]
        # Half of the time where work is possible at all.
        if number % 2:
            places = [(c, s) for c, s in places if passes(c, c.stops.index(s))]
        return places[number // 2 % len(places)]

    def ends(self, site: str) -> list[Any]:
        fibres: list[GlassEnd] = [
            end
            for made in self.plant.cables.values()
            for index, stop in enumerate(made.stops)
            if stop.site == site
            for end in ends_at(self.plant, made, index)
        ]
        return fibres + [leg for leg in self.legs() if self.plant.splitters[leg.splitter].site == site]

    def legs(self) -> list[Any]:
        found = []
        for device in self.plant.splitters.values():
            kind = self.plant.splitter_types[device.type]
            found += [LegEnd(device.id, "in", n) for n in range(1, kind.inputs + 1)]
            found += [LegEnd(device.id, "out", n) for n in range(1, len(kind.legs_db) + 1)]
        return found

    def of(self, table: str, number: int) -> str:
        keys = sorted(self.plant.table(table))
        return keys[number % len(keys)] if keys and number % 11 else "nothing"

    @rule(where=some, tubes=few, kind=st.sampled_from([OpenTubes, CutTubes, KeepTubes]))
    def work_on_tubes(self, where: int, tubes: tuple[int, ...], kind: Any) -> None:
        made, stop = self.stop_at(where)
        count = len(self.plant.cable_types[made.type].tubes)
        self.attempt(kind(made.id, stop.id, tuple(t if t > 70 else t % (count + 1) for t in tubes)))

    @rule(where=some, fibres=few, kind=st.sampled_from([CutFibres, CutFibres, MakeWhole]))
    def work_on_fibres(self, where: int, fibres: tuple[int, ...], kind: Any) -> None:
        made, stop = self.stop_at(where)
        self.attempt(kind(made.id, stop.id, fibres))

    @rule(where=some)
    def make_all_whole(self, where: int) -> None:
        made, stop = self.stop_at(where)
        cut = cut_fibres(self.plant.cable_types[made.type], stop)
        self.attempt(MakeWhole(made.id, stop.id, tuple(sorted(cut))))

    @rule(where=some, picks=st.lists(some, min_size=2, max_size=8), tray=some, slot=st.integers(-1, 26))
    def join(self, where: int, picks: list[int], tray: int, slot: int) -> None:
        _, stop = self.stop_at(where)
        ends = self.ends(stop.site)
        used = {end_node(e) for s in self.plant.splices.values() for e in (s.a, s.b)}
        free = [e for e in ends if end_node(e) not in used] if where % 3 else ends
        if not free:
            return
        chosen = [free[n % len(free)] for n in picks]
        pairs = tuple(zip(chosen[::2], chosen[1::2], strict=False))
        self.attempt(Join(stop.site, pairs, self.of("trays", tray) if tray % 3 else None, slot))

    @rule(picks=st.lists(some, min_size=1, max_size=3))
    def part(self, picks: list[int]) -> None:
        self.attempt(Part(tuple(self.of("splices", n) for n in picks)))

    @rule(picks=st.lists(some, min_size=1, max_size=3), tray=some, slot=st.integers(0, 25))
    def move(self, picks: list[int], tray: int, slot: int) -> None:
        self.attempt(MoveSplices(tuple(self.of("splices", n) for n in picks), self.of("trays", tray), slot))

    @rule(one=some, other=some, trays=st.booleans())
    def swap(self, one: int, other: int, trays: bool) -> None:
        kind = "trays" if trays else "splices"
        a, b = self.of(kind, one), self.of(kind, other)
        self.attempt(SwapTrays(a, b) if trays else SwapSlots((((a,), (b,)),)))

    @rule(picks=st.lists(some, min_size=1, max_size=4), by=st.sampled_from(["", "AB"]), on=st.sampled_from(DATES))
    def record_joints(self, picks: list[int], by: str, on: str) -> None:
        keys = tuple(self.of("splices", n) for n in picks)
        kind = picks[0] % 4
        if kind < 2:
            self.attempt((MarkDone, SpliceAgain)[kind](keys, by, on))
        elif kind == 2:
            self.attempt(Vouch(keys, Evidence(("verified", "inherited", "assumed")[len(picks) % 3], on, by)))
        else:
            self.attempt(SetStatus(keys, ("planned", "done", "existing", "remove", "lost")[picks[0] % 5]))

    @rule(
        pick=some, way=st.sampled_from(["A-B", "B-A", "estimate"]), loss=st.integers(-600, 3200), sealed=st.booleans()
    )
    def measure_a_joint(self, pick: int, way: Any, loss: int, sealed: bool) -> None:
        key = self.of("splices", pick)
        nm = (1310, 1550, 1625, 15)[loss % 4]
        self.attempt(Measure(((key, (Reading(nm, way, loss / 100, sealed),)),), "AB"))
        self.attempt(Annotate((key,), note=("wet", "")[pick % 2], seen_on=DATES[pick % 3]))
        self.attempt(PlanLoss((key,), ("0.05", "-1", "")[pick % 3]))
        self.attempt(TypeReading(key, nm, way, ("", "0.05", "-0.1 dB", "x")[pick % 4]))

    @rule(where=some, fibres=few, side=st.sampled_from(["", "<", ">"]), tray=some, turns=st.integers(-1, 6))
    def store(self, where: int, fibres: tuple[int, ...], side: Any, tray: int, turns: int) -> None:
        made, stop = self.stop_at(where)
        place = self.of("trays", tray) if tray % 3 else None
        self.attempt(Store(made.id, stop.id, fibres, side, place, turns / 2))

    @rule(end=some, port=some, face=st.sampled_from(["rear", "front"]))
    def plug(self, end: int, port: int, face: Any) -> None:
        key = self.of("ports", port)
        if key == "nothing":
            return
        ends = self.ends(self.plant.ports[key].site) or [FibreEnd("more", 1, "more.a", ">")]
        self.attempt(Plug((ends[end % len(ends)],), (key,), face))

    @rule(pick=some)
    def unplug(self, pick: int) -> None:
        self.attempt(Remove("matings", self.of("matings", pick), "unplug"))

    @rule(picks=st.lists(some, min_size=1, max_size=3))
    def take_out(self, picks: list[int]) -> None:
        self.attempt(Unplug(tuple(self.of("matings", n) for n in picks)))

    @rule(picks=st.lists(some, min_size=2, max_size=4), length_m=st.sampled_from([0.5, 2.0, -1.0, 1000.0]))
    def patch(self, picks: list[int], length_m: float) -> None:
        here = [key for key in sorted(self.plant.ports) if key[0] in "PQ"] or ["nothing"]
        keys = [here[n % len(here)] if n % 5 else self.of("ports", n) for n in picks]
        self.attempt(Patch(tuple(zip(keys[::2], keys[1::2], strict=False)), "pt-1", length_m))

    @rule(picks=st.lists(some, min_size=1, max_size=3))
    def park(self, picks: list[int]) -> None:
        legs = self.legs()
        if legs:
            self.attempt(Park(tuple(legs[n % len(legs)] for n in picks)))

    @rule(pick=some, port=some)
    def plug_a_leg(self, pick: int, port: int) -> None:
        legs = self.legs()
        if legs:
            key = ("P", "Q")[port % 2] + str(port % 4 + 1)
            self.attempt(Plug((legs[pick % len(legs)],), (key,), "front", None))

    @rule(
        table=st.sampled_from(
            [
                "sites",
                "cables",
                "trays",
                "enclosures",
                "ports",
                "cable_types",
                "services",
                "splitters",
                "splitter_types",
            ]
        ),
        pick=some,
    )
    def remove(self, table: str, pick: int) -> None:
        if table == "cables" and self.of(table, pick) not in ("more", "nothing"):
            return  # a plant without its feeder has nothing left to do
        self.attempt(Remove(table, self.of(table, pick), "remove"))

    @rule(pick=some, x_mm=near_mm, y_mm=near_mm, radius_mm=st.floats(-5.0, 80.0))
    def draw_a_route(self, pick: int, x_mm: float, y_mm: float, radius_mm: float) -> None:
        made, stop = self.stop_at(pick)
        ends = Support("anchor", 40.0, 290.0), Support("anchor", round(x_mm, 3), round(y_mm, 3))
        middle = Support("corner", 40.0, 120.0, round(radius_mm, 3))
        key = f"drawn {pick % 3}"
        self.attempt(
            DrawRoute(Route(key, self.of("enclosures", pick), "tube", (stop.id,), (ends[0], middle, ends[1]), (1,)))
        )
        assert made

    @rule(pick=some, index=st.integers(-1, 8), turns=st.integers(-1, 60), radius_mm=st.integers(-1, 90))
    def move_a_support(self, pick: int, index: int, turns: int, radius_mm: int) -> None:
        kind: Any = ("corner", "wrap", "anchor")[pick % 3]
        support = Support(kind, 100.0, 100.0, float(radius_mm), turns=turns if kind == "wrap" else 0)
        self.attempt(SetSupport(self.of("routes", pick), index, support))

    @rule(pick=some, names=st.lists(st.sampled_from(["1A", "1B", "2", "3", "4", "Q"]), max_size=3).map(tuple))
    def plug_entries(self, pick: int, names: tuple[str, ...]) -> None:
        self.attempt(SetPlugs(self.of("enclosures", pick), names))

    @rule(where=some, held=st.none() | st.booleans())
    def hold(self, where: int, held: bool | None) -> None:
        made, stop = self.stop_at(where)
        self.attempt(Hold(made.id, stop.id, anchored_in=held, bonded=not held))

    @rule(where=some, fibres=few)
    def two_at_once(self, where: int, fibres: tuple[int, ...]) -> None:
        made, stop = self.stop_at(where)
        self.attempt(CutFibres(made.id, stop.id, fibres), Store(made.id, stop.id, fibres, ">"))

    @rule(pick=some, keys=st.lists(some, max_size=3), heard=st.sampled_from(["down", "up", "unknown"]))
    def hear_of_services(self, pick: int, keys: list[int], heard: Any) -> None:
        if pick % 4 == 0:
            self.attempt(OpenTicket(Ticket(f"ticket-{pick % 3}", str(pick % 5))))
        self.attempt(Hear(self.of("tickets", pick), tuple(self.of("services", n) for n in keys), heard))
        for ticket in self.plant.tickets.values():
            assert not set(ticket.down) & set(ticket.up)

    @rule(pick=some, where=some, shown=st.floats(-10.0, 9000.0), index=st.none() | st.floats(1.2, 1.8))
    def take_a_reading(self, pick: int, where: int, shown: float, index: float | None) -> None:
        _, stop = self.stop_at(where)
        ends = self.ends(stop.site) or [FibreEnd("more", 1, "more.b", "<")]
        shot = Shot(ends[pick % len(ends)], round(shown, 3), index=None if index is None else round(index, 4))
        self.attempt(TakeShot(self.of("tickets", pick), shot))

    @rule(times=st.integers(1, 4))
    def undo(self, times: int) -> None:
        for _ in range(times):
            if len(self.history.steps) > self.depth:
                self.history.undo()

    @rule(times=st.integers(1, 4))
    def redo(self, times: int) -> None:
        for _ in range(times):
            self.history.redo()

    @rule()
    def there_and_back(self) -> None:
        here = self.plant.copy()
        count = len(self.history.steps) - self.depth
        for _ in range(count):
            self.history.undo()
        assert self.plant == self.start
        for _ in range(count):
            self.history.redo()
        assert self.plant == here

    @rule()
    def save_and_read_back(self) -> None:
        text = encode(self.plant)
        again = decode(text)
        assert again == self.plant
        assert encode(again) == text
        self.history.mark_saved()
        assert self.history.clean
        self.begin(History(again))

    @rule()
    def no_rule_breaks_down_and_every_list_can_be_made(self) -> None:
        assert [f.message for f in check(self.plant, continuity=self.continuity) if f.rule == FAILED] == []
        source = Source(self.continuity)
        for site in self.plant.sites:
            for made in (schedule, cut_list, storage, spares, port_table, leg_table, prep):
                made(source, site)
        for cable in self.plant.cables.values():
            for count in use_counts(source, cable):
                assert count.in_use + count.dark + count.stub == count.count

    @rule(pick=some)
    def trace_something(self, pick: int) -> None:
        nodes = sorted(n for n in self.continuity.graph if "|" not in n)
        node = nodes[pick % len(nodes)]
        whole = trace(self.continuity, node)
        for other in whole.nodes[1:-1]:
            assert trace(self.continuity, other).steps == whole.steps
        assert set(path_nodes(self.continuity, node)) >= {node}

    @invariant()
    def the_graph_is_in_step(self) -> None:
        if hasattr(self, "continuity"):
            fresh = Continuity(self.plant)
            assert self.continuity.edges() == fresh.edges()
            assert set(self.continuity.graph) == set(fresh.graph)

    @invariant()
    def no_glass_is_made_or_lost(self) -> None:
        if hasattr(self, "continuity"):
            for key, length in self.glass().items():
                assert length == pytest.approx(self.lengths.get(key, length), rel=1e-9)

    @invariant()
    def every_fibre_is_accounted_for_at_every_passing_stop(self) -> None:
        if not hasattr(self, "continuity"):
            return
        for made in self.plant.cables.values():
            kind = self.plant.cable_types[made.type]
            for index, stop in enumerate(made.stops):
                if not passes(made, index):
                    assert stop.tubes == ()
                    continue
                worked = {work.tube for work in stop.tubes}
                count = Counter(looped_fibres(kind, stop)) + Counter(cut_fibres(kind, stop))
                for tube in set(range(1, len(kind.tubes) + 1)) - worked:
                    count.update(fibres_of(kind, tube))
                assert count == Counter(range(1, kind.fibre_count + 1))

    @invariant()
    def every_joint_is_of_glass_that_is_there_and_used_once_in_a_slot_of_its_own(self) -> None:
        if not hasattr(self, "continuity"):
            return
        joints = self.plant.splices.values()
        ends = [end for s in joints for end in (s.a, s.b)] + [m.end for m in self.plant.matings.values()]
        assert all(end_exists(self.plant, end) for end in ends)
        assert len({end_node(end) for end in ends}) == len(ends)
        slots = [(s.tray, s.slot) for s in joints if s.tray]
        assert len(set(slots)) == len(slots)
        for joint in joints:
            if joint.tray:
                tray = self.plant.trays[joint.tray]
                assert self.plant.enclosures[tray.enclosure].site == joint.site
                assert joint.slot is not None
                assert 1 <= joint.slot <= self.plant.tray_types[tray.type].slots

    @invariant()
    def no_leg_is_parked_and_used_and_no_cord_hangs_loose(self) -> None:
        if not hasattr(self, "continuity"):
            return
        used = {end_node(end) for s in self.plant.splices.values() for end in (s.a, s.b)}
        used |= {end_node(m.end) for m in self.plant.matings.values()}
        for device in self.plant.splitters.values():
            idle = [LegEnd(device.id, "out", n) for n in device.parked]
            idle += [LegEnd(device.id, "in", n) for n in device.standby]
            assert not used & {end_node(leg) for leg in idle}
            assert all(end_exists(self.plant, leg) for leg in idle)

    @invariant()
    def stored_glass_is_what_it_says(self) -> None:
        if not hasattr(self, "continuity"):
            return
        used = {end_node(end) for s in self.plant.splices.values() for end in (s.a, s.b)}
        for made in self.plant.cables.values():
            kind = self.plant.cable_types[made.type]
            for index, stop in enumerate(made.stops):
                seen: list[tuple[str, int]] = []
                for record in stop.stored:
                    seen += [(record.side, fibre) for fibre in record.fibres]
                assert len(set(seen)) == len(seen)
                for side, fibre in seen:
                    if side:
                        end = FibreEnd(made.id, fibre, stop.id, side)
                        assert end_exists(self.plant, end)
                        assert end_node(end) not in used
                    else:
                        assert passes(made, index)
                        assert fibre not in cut_fibres(kind, stop)

    def teardown(self) -> None:
        if not hasattr(self, "continuity"):
            return
        while len(self.history.steps) > self.depth:
            self.history.undo()
        assert self.plant == self.start
        assert self.continuity.edges() == Continuity(self.start).edges()


MARKS = ((None, 5.0), (2200.0, 2201.5), (3700.0, None))

TestAnyUser = AnyUser.TestCase
# Shrinking so many steps takes minutes and says little more than the steps themselves.
TestAnyUser.settings = settings(
    max_examples=20, stateful_step_count=30, phases=[Phase.explicit, Phase.reuse, Phase.generate]
)
