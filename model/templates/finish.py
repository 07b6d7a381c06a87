"""How the building of a plant ends: everything drawn, and the plant given out as one that nobody has changed yet."""

from __future__ import annotations

from model.history import History
from model.ids import SiteId
from model.plant import Plant
from model.redrafting import draft_all


def draw_site(history: History, site: SiteId) -> None:
    """Draw everything at a site as one step; a template that cannot be drawn is a fault of the program."""
    edits, faults = draft_all(history.plant, site)
    assert not faults, faults  # noqa: S101  # no input of a person leads here
    history.do(*edits, name="draft the routes")


def as_new(history: History) -> Plant:
    """The plant of a history, at revision 0."""
    plant = history.plant
    plant.revision = 0
    return plant
