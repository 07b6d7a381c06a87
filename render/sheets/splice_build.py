"""Builds the rows of a splice schematic from a plant: which tube does what at a site, and what every end meets.

Passing cables come first, then cables that end here, splitters and panels, and last the ends of field cables that meet
nothing. What a stub is dark to and what a joint serves are found by tracing. No place on paper is known here.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace
from typing import Literal

import networkx as nx

from model.entities import Cable, FibreEnd, LegEnd, Splitter, Stop
from model.graph import Continuity, end_node, node_end
from model.lookup import cable_type, fibres_of, passes, stop_of, stops_at, work_on
from model.plant import Plant
from model.trace import tree, walk
from render.sheets.splice_rows import (
    Block,
    BlockState,
    Bundle,
    Counts,
    Joint,
    Row,
    SiteTable,
    joint_row,
    joints_at,
    tubes_by_fibre,
)


def build(continuity: Continuity, site: str) -> SiteTable:
    """Every row at a site. Raises PlantError when a cable names a tube its type does not have."""
    return _Builder(continuity, site).table()


def node_site(plant: Plant, node: str) -> str:
    """Name of the site a node of the graph lies at; empty when that is unknown."""
    end = node_end(node)
    if isinstance(end, FibreEnd):
        site = stop_of(plant.cables[end.cable], end.stop).site
    elif end is not None:
        site = plant.splitters[end.splitter].site
    else:
        port = plant.ports.get(node.rpartition("/")[0])
        if port is None:
            return ""
        site = port.site
    return plant.sites[site].name if site in plant.sites else ""


def depths(feeds: Iterable[tuple[str, str]]) -> dict[str, int]:
    """How many owners light comes through before each, most first, from pairs (feeder, fed).

    Owners that feed one another in a ring are a fault in the record; they count as one.
    """
    rings = nx.condensation(nx.DiGraph(feeds))
    levels = enumerate(nx.topological_generations(rings))
    return {owner: level for level, found in levels for ring in found for owner in rings.nodes[ring]["members"]}


class _Builder:
    """Holds the joints of a site by the node of either end while the blocks are made."""

    def __init__(self, continuity: Continuity, site: str) -> None:
        self.continuity, self.plant, self.site = continuity, continuity.plant, site
        self.tubes = tubes_by_fibre(self.plant)
        joints = joints_at(self.plant, site, self.tubes)
        self.left: dict[str, Joint] = {joint.left.nodes[0]: joint for joint in joints}
        self.used = {node for joint in joints for side in (joint.left, joint.right) for node in side.nodes}
        self.services: dict[str, list[str]] = defaultdict(list)
        for service in sorted(self.plant.services.values(), key=lambda s: (s.name, s.id)):
            if service.status != "ceased":
                self.services[service.at].append(service.id)
        self.joints = joints
        self.counts: list[Counts] = []

    def table(self) -> SiteTable:
        """The whole table of the site."""
        here = list(stops_at(self.plant, self.site))
        through = [item for item in here if passes(item[0], item[1])]
        ending = [item for item in here if item[1] == len(item[0].stops) - 1]
        starting = [item for item in here if item[1] == 0]
        blocks: list[Block] = []
        for cable, _, stop in through:
            blocks += self.passing(cable, stop)
        for cable, _, stop in ending:
            blocks += self.end(cable, stop, "<")
        blocks += self.others()
        for cable, _, stop in starting:
            blocks += self.end(cable, stop, ">")
        return SiteTable(self.site, tuple(blocks), tuple(self.counts))

    def row(self, joint: Joint) -> Row:
        """The row of a joint with what it serves; a joint above a splitter serves every customer below it."""
        far, served = self.onward(joint.right.nodes[0])
        if not served and joint.left.side == ">":
            _, served = self.onward(joint.left.nodes[0])
        here = self.plant.sites.get(self.site)
        life = tuple(sorted({self.plant.services[key].status for key in served}))
        row = joint_row(joint, served, "" if here and far == here.name else far, life)
        return replace(row, beyond=self.behind(joint.right)) if joint.right.kind == "port" else row

    def behind(self, port: Bundle) -> Bundle | None:
        """The glass on the other face of a port."""
        stem, _, face = port.nodes[0].rpartition("/")
        held = self.left.get(f"{stem}/{'rear' if face == 'front' else 'front'}")
        return held.right if held is not None else None

    def onward(self, node: str) -> tuple[str, tuple[str, ...]]:
        """(name of the site where the glass from here leads, ids of the services found there), by tracing."""
        graph = self.continuity.graph
        way = walk(graph, node, "inside")
        ends = [way.end]
        if way.kind == "branches":
            ends = [below.end for _, below in tree(graph, way.end)]
        found = [service for end in ends for service in self.services.get(end.rpartition("/")[0], ())]
        return node_site(self.plant, way.end), tuple(found)

    def passing(self, cable: Cable, stop: Stop) -> list[Block]:
        """Blocks of a cable that passes, tube by tube."""
        kind = cable_type(self.plant, cable)
        blocks: list[Block] = []
        sums = dict.fromkeys(("joined<", "joined>", "stub<", "stub>", "loop", "express"), 0)
        for tube in range(1, len(kind.tubes) + 1):
            fibres = fibres_of(kind, tube)
            work = work_on(stop, tube)
            if work is None:
                whole = self.fibres(cable, stop, tube, fibres, "")
                blocks.append(Block("cable", cable.id, tube, "express", (Row("express", whole, whole),)))
                sums["express"] += len(fibres)
                continue
            cut = set(fibres) if work.state == "cut" else set(work.cut) & set(fibres)
            loose = tuple(f for f in fibres if f not in cut)
            rows, stubs = self.side(cable, stop, tube, sorted(cut), "<")
            beyond, back = self.side(cable, stop, tube, sorted(cut), ">")
            loops = self.stored(cable, stop, tube, loose, "", "loop")
            dark = {n for row in back for n in row.bundle.numbers}
            bound = [n for n in sorted(cut) if n not in dark]
            joined = [Row("joined", self.fibres(cable, stop, tube, bound, ">"), None)] if bound else []
            blocks.append(
                Block("cable", cable.id, tube, work.state, (*rows, *beyond, *stubs, *loops), (*joined, *back))
            )
            for side, ends in (("<", stubs), (">", back)):
                sums[f"stub{side}"] += sum(row.count for row in ends)
                sums[f"joined{side}"] += len(cut) - sum(row.count for row in ends)
            sums["loop"] += len(loose)
        for side in "<>":
            parts = sums[f"joined{side}"], sums[f"stub{side}"], sums["loop"], sums["express"]
            self.counts.append(Counts(cable.id, side, *parts, kind.fibre_count))
        return blocks

    def end(self, cable: Cable, stop: Stop, side: str) -> list[Block]:
        """Blocks of a cable that ends here (side ``<``), or what a cable that starts here leaves dark (``>``)."""
        kind = cable_type(self.plant, cable)
        blocks: list[Block] = []
        dark = 0
        for tube in range(1, len(kind.tubes) + 1):
            rows, stubs = self.side(cable, stop, tube, fibres_of(kind, tube), side)
            dark += sum(row.count for row in stubs)
            state: BlockState = "ends" if side == "<" else "starts"
            if side == ">":
                # What starts here and is joined stands in the row of the glass it is joined to, unless it is first.
                stubs = [replace(row, left=None, right=row.left) for row in stubs]
                if rows:
                    blocks.append(Block("cable", cable.id, tube, state, tuple(rows)))
                if stubs:
                    blocks.append(Block("", cable.id, tube, state, tuple(stubs)))
            elif rows or stubs:
                blocks.append(Block("cable", cable.id, tube, state, (*rows, *stubs)))
        self.counts.append(Counts(cable.id, side, kind.fibre_count - dark, dark, 0, 0, kind.fibre_count))
        return blocks

    def side(
        self, cable: Cable, stop: Stop, tube: int, fibres: Iterable[int], side: str
    ) -> tuple[list[Row], list[Row]]:
        """(rows of the ends that stand left of a joint, rows of those that meet nothing)."""
        rows: list[Row] = []
        dark: list[int] = []
        for fibre in fibres:
            node = end_node(FibreEnd(cable.id, fibre, stop.id, side))  # type: ignore[arg-type]  # "<" or ">"
            if node in self.left:
                rows.append(self.row(self.left[node]))
            elif node not in self.used:
                dark.append(fibre)
        return rows, self.stored(cable, stop, tube, tuple(dark), side, "stub")

    def others(self) -> list[Block]:
        """Blocks of splitters with their legs, and panels whose ports stand left of a joint, exchange side first."""
        found: dict[tuple[Literal["splitter", "port"], str], list[Row]] = {}
        for joint in sorted(self.joints, key=lambda joint: (joint.left.side, joint.left.numbers)):
            if joint.left.kind != "cable":
                found.setdefault((joint.left.kind, joint.left.owner), []).append(self.row(joint))
        for splitter in self.plant.splitters.values():
            if splitter.site == self.site:
                found.setdefault(("splitter", splitter.id), []).extend(self.parked(splitter))
        depth = depths((joint.left.owner, joint.right.owner) for joint in self.joints)
        order = sorted(found.items(), key=lambda item: (depth.get(item[0][1], 0), item[0][0] == "port", item[0]))
        return [
            Block(kind, owner, 0, "legs" if kind == "splitter" else "ports", tuple(rows))
            for (kind, owner), rows in order
            if rows
        ]

    def parked(self, splitter: Splitter) -> list[Row]:
        """Rows for the legs and inputs of a splitter that meet nothing."""
        kind = self.plant.splitter_types[splitter.type]
        rows: list[Row] = []
        for role, count in (("in", kind.inputs), ("out", len(kind.legs_db))):
            nodes = {n: end_node(LegEnd(splitter.id, role, n)) for n in range(1, count + 1)}  # type: ignore[arg-type]
            free = {n: node for n, node in nodes.items() if node not in self.used}
            if free:
                bundle = Bundle("splitter", splitter.id, splitter.name, 0, tuple(free), role, tuple(free.values()))
                rows.append(Row("stub", bundle, None))
        return rows

    def fibres(self, cable: Cable, stop: Stop, tube: int, fibres: Iterable[int], side: str) -> Bundle:
        """Fibres of one tube on one side as one bundle; uncut ones have no node here."""
        numbers = tuple(fibres)
        nodes = tuple(f"{cable.id}:{n}@{stop.id}{side}" for n in numbers) if side else ()
        return Bundle("cable", cable.id, cable.name, tube, numbers, side, nodes)

    def stored(self, cable: Cable, stop: Stop, tube: int, fibres: tuple[int, ...], side: str, state: str) -> list[Row]:
        """One row for every place and far node that loops or stubs of a tube have in common."""
        places: dict[int, tuple[str, float]] = {}
        for record in stop.stored:
            if record.side == side:
                places.update(dict.fromkeys(record.fibres, (record.tray or "bay", record.turns)))
        groups: dict[tuple[str, float, str], list[int]] = defaultdict(list)
        for fibre in fibres:
            far = ""
            if state == "stub":
                far = self.far(end_node(FibreEnd(cable.id, fibre, stop.id, side)))  # type: ignore[arg-type]
            groups[(*places.get(fibre, ("", 0.0)), far)].append(fibre)
        rows: list[Row] = []
        for (where, turns, far), numbers in groups.items():
            whole = self.fibres(cable, stop, tube, numbers, side)
            tray = where if where in self.plant.trays else ""
            kind = "stub" if state == "stub" else "loop"
            right = whole if kind == "loop" else None
            rows.append(Row(kind, whole, right, tray=tray, far=far, stored=where, turns=turns))  # type: ignore[arg-type]
        return rows

    def far(self, node: str) -> str:
        """Name of the site where the light path from a dark end finishes."""
        return node_site(self.plant, walk(self.continuity.graph, node, "inside").end)
