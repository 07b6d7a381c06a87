"""The parts of a place as a plain tree: cables with tubes, drops, trays, entries, services; or sites and cables.

Each node carries its ref, so that picking here is picking everywhere, and the little it shows: words, a swatch, a bar,
a mark. Built anew after each step; no widget is known here.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from gui.marks import STATE_WORDS, BarState, State, worst
from gui.panels.device_nodes import device_nodes
from gui.panels.gauge_data import Judged, served_here
from model.colours import CODES
from model.entities import Cable, Stop
from model.layout import tray_load
from model.lookup import enclosure_at, fibres_of, passes, service_name, sheaths_at, stops_at, trays_of, work_on
from model.parts import CableType
from model.plant import Plant
from model.rules.registry import Finding
from render.looks import GlassLook, fibre_look, tube_look
from render.refs import cable_ref, entry_ref, service_ref, site_ref, tray_ref, tube_ref
from render.style import look_of

MANY_DROPS = 4
"""From this many drops of one kind on, they hang under one line."""


@dataclass(frozen=True, slots=True)
class Swatch:
    """A swatch to paint: fill, stripes or rings of the later dozens, and their colour."""

    fill: str
    marks: int = 0
    mark_colour: str = "#111111"


def swatch_of(look: GlassLook) -> Swatch:
    """The swatch of a tube or fibre."""
    return Swatch(look.fill, look.marks, look_of(look.mark_colour).fill if look.mark_colour else "#111111")


@dataclass(slots=True)
class Node:
    """One line of the tree. A node without a ref is a heading and is not picked."""

    text: str
    ref: str = ""
    second: str = ""
    swatch: Swatch | None = None
    bar: BarState | None = None
    mark: State | None = None
    spoken: str = ""
    children: list[Node] = field(default_factory=list)
    parent: Node | None = None
    row: int = 0

    @property
    def heading(self) -> bool:
        """True for a line that only names what follows."""
        return not self.ref and not self.second and self.parent is not None and self.parent.parent is None

    def words(self) -> str:
        """Everything it says, for a screen reader: colours in full, letters left out."""
        return ", ".join(part for part in (self.spoken or self.text, self.second) if part)


def _linked(root: Node) -> Node:
    for row, child in enumerate(root.children):
        child.parent, child.row = root, row
        _linked(child)
    return root


def marks_by_ref(findings: Iterable[Finding]) -> dict[str, State]:
    """The worst open finding about each id."""
    found: dict[str, list[State]] = {}
    for finding in findings:
        if not finding.accepted:
            for ref in finding.refs:
                found.setdefault(ref, []).append(finding.severity)
    return {ref: worst(states) for ref, states in found.items()}


def part_tree(document: Judged, site: str | None) -> Node:
    """The tree of a site, or of the whole plant when ``site`` is None or gone."""
    plant = document.plant
    if site is None or site not in plant.sites:
        return _linked(_whole(document))
    marks = marks_by_ref(finding for finding in document.findings if finding.site == site)
    root = Node("")
    passing = [(c, i, s) for c, i, s in stops_at(plant, site) if passes(c, i)]
    ending = [(c, i, s) for c, i, s in sheaths_at(plant, site) if not passes(c, i)]
    drops = [entry for entry in ending if _is_drop(plant.cable_types[entry[0].type])]
    cables = [entry for entry in ending if entry not in drops]
    heading = Node("Cables")
    for cable, index, stop in [*passing, *cables]:
        heading.children.append(cable_node(plant, cable, index, stop, marks))
    heading.children += _drop_nodes(plant, drops, marks)
    enclosure = enclosure_at(plant, site)
    parts = [heading] if heading.children else []
    if enclosure is not None:
        loads = [tray_load(plant, tray) for tray in trays_of(plant, enclosure.id)]
        trays = Node("Trays")
        for load in loads:
            word = "sleeves" if load.kind.kind == "ribbon" else "joined"
            second = f"{load.sleeves} of {load.most} {word}"
            trays.children.append(
                Node(f"Tray {load.tray.name}", tray_ref(load.tray.id), second, mark=marks.get(load.tray.id))
            )
        parts += [trays] if loads else []
        parts.append(_inside(plant, enclosure.id, site))
    splitters, panels = device_nodes(plant, site, marks, _device)
    parts += [Node(word, children=found) for word, found in (("Splitters", splitters), ("Panels", panels)) if found]
    served = Node("Served from here")
    for key in served_here(document, site):
        status = plant.services[key].status
        name = service_name(plant, key)
        served.children.append(Node(name, service_ref(key), status, mark=marks.get(key)))
    parts += [served] if served.children else []
    root.children = parts
    return _linked(root)


def _device(text: str, ref: str, second: str, mark: State | None, children: list[Node]) -> Node:
    return Node(text, ref, second, mark=mark, children=children)


def _is_drop(kind: CableType) -> bool:
    return kind.construction in ("flat drop", "round drop")


def _inside(plant: Plant, enclosure_id: str, site: str) -> Node:
    enclosure = plant.enclosures[enclosure_id]
    kind = plant.enclosure_types[enclosure.type]
    heading = Node("Inside")
    for bay in kind.bays:
        section = f"R {bay.hub_mm:g}, {bay.section_width_mm:g} \u00d7 {bay.section_height_mm:g} mm"
        heading.children.append(Node("Slack bay", f"bay:{enclosure_id}:{bay.name}", section))
    here = [(cable, index, stop) for cable, index, stop in stops_at(plant, site)]
    used: dict[str, list[str]] = {}
    for cable, index, stop in here:
        for name in (stop.entry_in, stop.entry_out) if passes(cable, index) else (stop.entry_in or stop.entry_out,):
            if name:
                used.setdefault(name, []).append(cable.name)
    plugged = set(enclosure.plugged)
    count = sum(entry.name in used for entry in kind.entries)
    entries = Node("Entries", f"entry:{enclosure_id}:", f"{count} used, {len(plugged)} plugged")
    for entry in kind.entries:
        names = ", ".join(dict.fromkeys(used.get(entry.name, ())))
        state = names or ("plugged" if entry.name in plugged else "open")
        mark: State | None = "warning" if state == "open" else None
        entries.children.append(Node(f"Entry {entry.name}", entry_ref(enclosure_id, entry.name), state, mark=mark))
    heading.children.append(entries)
    held = sum(stop.anchored_in + stop.anchored_out for _, _, stop in here)
    bonds = sum(stop.bonded for _, _, stop in here)
    words = f"{held} anchored, {bonds} bonded" if bonds else f"{held} anchored"
    heading.children.append(Node("Anchors", f"site:{site}", words))
    return heading


def tube_state(cable: Cable, kind: CableType, index: int, tube: int) -> tuple[BarState, str]:
    """(bar, words) of a tube at a stop: uncut, opened, 4 of 12 cut, cut, ends here."""
    if not passes(cable, index):
        return "ends", "ends here"
    work = work_on(cable.stops[index], tube)
    if work is None:
        return "uncut", STATE_WORDS["uncut"]
    count = len(fibres_of(kind, tube))
    if work.state == "cut" or len(work.cut) == count:
        return "cut", f"{count} cut"
    if work.cut:
        return "part", f"{len(work.cut)} of {count} cut"
    return "opened", STATE_WORDS["opened"]


def tube_title(look: GlassLook, tube: int) -> str:
    """A tube as it is labelled: number and two letters."""
    return f"T{tube} {CODES[look.colour]}"


def cable_node(plant: Plant, cable: Cable, index: int, stop: Stop, marks: dict[str, State]) -> Node:
    """A cable at a stop with its tubes."""
    kind = plant.cable_types[cable.type]
    passing = passes(cable, index)
    end = "passes" if passing else ("starts here" if index == 0 else "ends here")
    node = Node(cable.name, cable_ref(cable.id), f"{kind.fibre_count} fibres, {end}", mark=marks.get(cable.id))
    if kind.construction not in ("loose tube", "central tube", "ribbon"):
        return node
    for tube in range(1, len(kind.tubes) + 1):
        look = tube_look(plant, cable, tube)
        bar, words = tube_state(cable, kind, index, tube)
        node.children.append(
            Node(
                tube_title(look, tube),
                tube_ref(cable.id, tube),
                words if passing else f"{kind.tubes[tube - 1]} fibres",
                swatch_of(look),
                bar if passing else None,
                spoken=f"Tube {tube} {look.words}",
            )
        )
    return node


def _drop_nodes(plant: Plant, drops: list[tuple[Cable, int, Stop]], marks: dict[str, State]) -> list[Node]:
    nodes = []
    for cable, _index, stop in drops:
        kind = plant.cable_types[cable.type]
        fibres = f"{kind.fibre_count} fibre{'s' * (kind.fibre_count != 1)}"
        other = cable.stops[-1].site if cable.stops[0].id == stop.id else cable.stops[0].site
        place = plant.sites[other].name
        node = Node(cable.name, cable_ref(cable.id), f"{fibres}, {place}", mark=marks.get(cable.id))
        if kind.fibre_count == 1:
            node.swatch = swatch_of(fibre_look(plant, cable, 1))
        nodes.append(node)
    if len(nodes) < MANY_DROPS:
        return nodes
    state = worst([node.mark for node in nodes if node.mark])
    return [
        Node(
            f"{nodes[0].text} to {nodes[-1].text}",
            "",
            f"{len(nodes)} drops",
            mark=None if state == "fine" else state,
            children=nodes,
        )
    ]


def _whole(document: Judged) -> Node:
    plant = document.plant
    by_site: dict[str, list[State]] = {}
    for finding in document.findings:
        if not finding.accepted:
            by_site.setdefault(finding.site, []).append(finding.severity)
    sites, cables = Node("Sites"), Node("Cables")
    for site in plant.sites.values():
        states = by_site.get(site.id)
        mark = worst(states) if states else None
        sites.children.append(Node(site.name, site_ref(site.id), site.kind, mark=mark))
    for cable in sorted(plant.cables.values(), key=lambda c: (c.name, c.id)):
        kind = plant.cable_types[cable.type]
        between = len(cable.stops) - 2
        second = f"{kind.fibre_count} F" + (f", {between} stop{'s' * (between != 1)}" if between else "")
        if cable.status != "existing":
            second += f", {cable.status}"
        cables.children.append(Node(cable.name, cable_ref(cable.id), second))
    return Node("", children=[node for node in (sites, cables) if node.children])
