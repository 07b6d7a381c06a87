"""``glasswright budget``: the loss of each service and its margins to both ends of its power class."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from render.cli_shared import PLANT, as_json, load_plant
from render.console import answer, as_document, width

if TYPE_CHECKING:
    from model.optics.budget import ServiceBudget
    from model.plant import Plant


@click.command(short_help="Loss of each service, as planned and as measured, and its margins.")
@click.argument("plant_path", metavar="PLANT", type=PLANT)
@click.option("--service", "service_text", metavar="NAME", help="Only this service.")
@as_json
def budget(plant_path: Path, service_text: str | None, as_json: bool) -> None:
    """Loss of each service and its margins to both ends of its power class.

    A splice counts with the mean of both directions where both were read, else with its planned loss; where any was
    read, the loss as it was planned stands beside it.
    """
    from model.graph import Continuity
    from model.optics.budget import Bends, budgets
    from model.optics.budget import budget as one_budget
    from model.optics.drawn import drawn_bends
    from model.refs import ServiceRef, parse_ref
    from render.answers import budget_lines

    continuity = Continuity(load_plant(plant_path))
    bends: Bends = drawn_bends(continuity.plant)
    if service_text is not None:
        ref = parse_ref(continuity.plant, f"service:{service_text.removeprefix('service:')}")
        assert isinstance(ref, ServiceRef)  # noqa: S101  # the prefix leaves no other kind
        found = [one_budget(continuity, ref.service, bends)]
    else:
        found = list(budgets(continuity, bends))
    rows = [_budget_row(continuity.plant, item) for item in found]
    lines = as_document({"services": rows}) if as_json else budget_lines(list(zip(found, rows, strict=True)), width())
    answer(lines, 0 if rows else 1)


def _budget_row(plant: Plant, item: ServiceBudget) -> dict[str, Any]:
    from render.hopwords import node_words

    return {
        "service": plant.services[item.service].name,
        "port": node_words(plant, f"{item.exchange}/front") if item.exchange else "",
        "class": item.power_class.name if item.power_class else "",
        "loss_db": {str(nm): round(db, 4) for nm, db in item.loss_db.items()},
        "bend_db": {str(nm): round(db, 4) for nm, db in item.bend_db.items()},
        "margin_max_db": _margins(item.margin_max_db),
        "margin_min_db": _margins(item.margin_min_db),
        "planned_loss_db": {str(nm): round(db, 4) for nm, db in item.planned_db.items()},
        "splices": item.splices,
        "splices_measured": {str(nm): count for nm, count in item.measured.items()},
        "complete": item.complete,
        "why": item.why,
    }


def _margins(margins: Any) -> dict[str, float] | None:
    return None if margins is None else {str(nm): round(db, 4) for nm, db in margins.items()}
