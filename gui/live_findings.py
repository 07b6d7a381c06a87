"""Which findings a drag in hand would make or change: the rules themselves, run on a proposal.

The plant stays as it is; only rules that read courses are run, so that a move is judged within one frame.
"""

from __future__ import annotations

from gui.document import Document
from model.changes import apply
from model.edits.routing import DrawRoute
from model.entities import Route
from model.errors import EditError
from model.history import propose
from model.rules.context import Facts
from model.rules.registry import Finding
from model.rules.run import RULES, check_sites

ABOUT_COURSES = tuple(rule for rule in RULES if rule.name.startswith(("bend.", "route.", "tail.", "bay.")))
"""Rules that read a route's course; what the others say cannot change while one is dragged."""


def live_findings(document: Document, route: Route) -> list[Finding]:
    """Findings about courses that this route would make, or whose measure it would change."""
    enclosure = document.plant.enclosures.get(route.enclosure)
    if enclosure is None:
        return []
    plant = document.plant.copy()
    try:
        apply(plant, propose(plant, DrawRoute(route)))
    except EditError:
        return []
    known = {(f.rule, f.refs): f.measured for f in document.findings if f.site == enclosure.site}
    found = check_sites(Facts(plant, document.continuity), {enclosure.site}, rules=ABOUT_COURSES)
    return [finding for finding in found if known.get((finding.rule, finding.refs), "none") != finding.measured]
