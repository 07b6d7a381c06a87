"""From what a finding is about to what the canvas can pick: rules speak in ids, pictures in refs."""

from __future__ import annotations

from model.entities import FibreEnd
from model.graph import node_end
from model.plant import Plant
from model.rules.registry import Finding
from render.refs import entry_ref, fibre_ref, tube_ref

KINDS = (
    ("routes", "route"),
    ("splices", "splice"),
    ("trays", "tray"),
    ("cables", "cable"),
    ("services", "service"),
    ("ports", "port"),
    ("splitters", "splitter"),
    ("sites", "site"),
)


def refs_of(plant: Plant, finding: Finding) -> list[str]:
    """Refs of the things a finding names, the most particular kind first; never none, for every finding has a site."""
    found: list[str] = []
    for table, kind in KINDS:
        found += [f"{kind}:{key}" for key in finding.refs if key in plant.table(table)]
        if kind == "tray":
            found += _parts(plant, finding)
    return found or [f"site:{finding.site}"]


def _parts(plant: Plant, finding: Finding) -> list[str]:
    """Refs of parts without an id of their own: an entry of an enclosure, a tube of a cable, one end of a fibre."""
    made: list[str] = []
    cables = [key for key in finding.refs if key in plant.cables]
    for enclosure in (plant.enclosures[key] for key in finding.refs if key in plant.enclosures):
        names = {entry.name for entry in plant.enclosure_types[enclosure.type].entries}
        made += [entry_ref(enclosure.id, key) for key in finding.refs if key in names]
    for key in finding.refs:
        if cables and key[:1] == "T" and key[1:].isdecimal():
            made.append(tube_ref(cables[0], int(key[1:])))
        end = node_end(key) if "@" in key else None
        if isinstance(end, FibreEnd) and end.cable in plant.cables:
            made.append(fibre_ref(end.cable, end.fibre))
    return made


def view_of(refs: list[str]) -> int:
    """The view that shows the first of these best: 0 Route, 1 Enclosure, 2 Trays, 3 Splices."""
    kind = refs[0].partition(":")[0] if refs else ""
    views = {"route": 1, "tray": 2, "splice": 3, "fibre": 3, "splitter": 3, "site": 1, "cable": 1}
    return views.get(kind, 4 if kind in ("service", "port") else 1)
