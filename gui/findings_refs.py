"""From what a finding is about to what the canvas can pick: rules speak in ids, pictures in refs."""

from __future__ import annotations

from model.plant import Plant
from model.rules.registry import Finding

KINDS = (
    ("routes", "route"),
    ("splices", "splice"),
    ("trays", "tray"),
    ("cables", "cable"),
    ("services", "service"),
    ("ports", "port"),
    ("sites", "site"),
)


def refs_of(plant: Plant, finding: Finding) -> list[str]:
    """Refs of the things a finding names, the most particular kind first."""
    found: list[str] = []
    for table, kind in KINDS:
        found += [f"{kind}:{key}" for key in finding.refs if key in plant.table(table)]
    return found


def view_of(refs: list[str]) -> int:
    """The view that shows the first of these best: 0 Route, 1 Enclosure, 2 Trays, 3 Splices."""
    kind = refs[0].partition(":")[0] if refs else ""
    return {"route": 1, "tray": 2, "splice": 3, "site": 1, "cable": 1, "service": 4, "port": 4}.get(kind, 1)
