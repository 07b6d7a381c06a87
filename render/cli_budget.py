"""``glasswright budget``: the loss of each service, the light at both ends, and its margins to its power class."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from model.errors import PlantError
from render.cli_shared import PLANT, as_json, load_plant, nm_option, today, wavelengths
from render.console import answer, as_document, width

if TYPE_CHECKING:
    from model.lists.budget_waves import WaveRow
    from model.lists.source import Source
    from model.optics.budget import ServiceBudget
    from model.plant import Plant


FIGURES = (
    *("best_db", "planned_db", "known_db", "worst_db", "bend_db"),
    *("margin_db", "aged_db", "worst_margin_db", "least_db"),
)


@click.command(short_help="Loss of each service, light at both ends, margins.")
@click.argument("plant_path", metavar="PLANT", type=PLANT)
@click.option("--service", "service_text", metavar="NAME", help="Only this service, in full.")
@nm_option
@as_json
@click.option("--csv", "as_csv", is_flag=True, help="Print a row for each service and wavelength as CSV.")
@click.option("-o", "out", metavar="OUT.csv|OUT.xlsx", type=PLANT, help="Write those rows into a file.")
def budget(plant_path: Path, service_text: str | None, nm: str, as_json: bool, as_csv: bool, out: Path | None) -> None:
    """Loss of each service and its margins to both ends of its power class.

    A splice counts with the mean of both directions where both were read, else with its planned loss; where any was
    read, the loss as it was planned stands beside it. Of one service also the best and the worst at each wavelength,
    and what arrives at both ends; the wavelengths of its class are always among them.
    """
    from model.graph import Continuity
    from model.lists.source import Source
    from model.refs import ServiceRef, parse_ref

    waves = wavelengths(nm)
    if as_json and (as_csv or out is not None):
        raise PlantError("one result at a time", where="--json", hint="Leave out --csv and -o, or --json")
    source = Source(Continuity(load_plant(plant_path)))
    only = None
    if service_text is not None:
        ref = parse_ref(source.plant, f"service:{service_text.removeprefix('service:')}")
        assert isinstance(ref, ServiceRef)  # noqa: S101  # the prefix leaves no other kind
        only = ref.service
    if as_csv or out is not None:
        _rows_out(source, only, waves, out, plant_path)
    _answer(source, only, waves, as_json)


def _answer(source: Source, only: str | None, waves: tuple[int, ...], as_json: bool) -> None:
    from model.lists.budget_waves import service_waves
    from model.optics.budget import budget as one_budget
    from model.optics.budget import budgets
    from render.answers import budget_lines
    from render.budget_words import wave_lines
    from render.table_lists import ageing_db

    known = source.continuity
    found = (
        list(budgets(known, source.bends, waves)) if only is None else [one_budget(known, only, source.bends, waves)]
    )
    rows = [_budget_row(source.plant, item) for item in found]
    code = 0 if rows else 1
    if as_json:
        aged = ageing_db(source.plant)
        for row, item in zip(rows, found, strict=True):
            row["waves"] = [_wave(one) for one in service_waves(source, item.service, waves, aged)]
        answer(as_document({"services": rows}), code)
    if only is None:
        answer(budget_lines(list(zip(found, rows, strict=True)), width()), code)
    aged = ageing_db(source.plant)
    answer(wave_lines(found[0], rows[0], service_waves(source, only, waves, aged), aged, width()), code)


def _rows_out(source: Source, only: str | None, waves: tuple[int, ...], out: Path | None, plant_path: Path) -> None:
    from model.lists.budget_waves import service_waves, wave_rows
    from render.outfiles import check_target, put
    from render.table_lists import ageing_db, title_of, wave_table
    from render.tables import BOM, to_csv, to_xlsx

    aged = ageing_db(source.plant)
    rows = wave_rows(source, None, waves, aged) if only is None else service_waves(source, only, waves, aged)
    table = wave_table(rows)
    if out is None:
        # The mark at the start is for spreadsheets that open a file; a pipe goes to other programs.
        answer(to_csv(table).removeprefix(BOM).splitlines(), 0)
    if out.suffix.lower() == ".xlsx":
        check_target(out, plant_path, ".xlsx")
        put([(out, to_xlsx([table], title_of(source.plant, None, plant_path.stem), today()))])
    else:
        check_target(out, plant_path, ".csv")
        put([(out, to_csv(table))])
    answer([str(out)], 0)


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


def _wave(row: WaveRow) -> dict[str, Any]:
    found: dict[str, Any] = {"nm": row.wavelength_nm, "measured": row.measured, "splices": row.splices}
    for name in FIGURES:
        value = getattr(row, name)
        found[name] = None if value is None else round(value, 4)
    way = row.way
    found["arrives"] = way and {
        "direction": way.direction,
        "weakest_dbm": round(way.level.weakest_dbm, 3),
        "strongest_dbm": round(way.level.strongest_dbm, 3),
        "sensitivity_dbm": way.sensitivity_dbm,
        "overload_dbm": way.overload_dbm,
        "room_db": round(way.room_db, 3),
        "over_db": round(way.over_db, 3),
    }
    found["verdict"] = row.verdict
    return found
