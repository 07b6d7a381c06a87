"""``glasswright trace``: one light path both ways, and everything below a splitter that it branches at."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from model.errors import PlantError
from render.cli_shared import PLANT, as_json, load_plant, nm_option, node_at, wavelengths
from render.console import answer, as_document, width

if TYPE_CHECKING:
    from model.graph import Continuity
    from render.hops import PathDescription
    from render.traced import Branch


@click.command(short_help="Follow one fibre both ways through every joint.")
@click.argument("plant_path", metavar="PLANT", type=PLANT)
@click.argument("ref", metavar="REF")
@nm_option
@as_json
@click.option("--csv", "as_csv", is_flag=True, help="Print the path as CSV.")
@click.option("-o", "out", metavar="OUT.csv", type=PLANT, help="Write the path as CSV into a file.")
def trace(plant_path: Path, ref: str, nm: str, as_json: bool, as_csv: bool, out: Path | None) -> None:
    """Follow a service, port, fibre, splitter leg or slot both ways, through every joint, to its two ends.

    Each element stands with its colours, its tray and slot, how well it is known, its length and its loss, and the
    sums from the exchange. Where the path branches at a splitter, every leg below is listed.
    """
    from render.answers import trace_lines

    waves = wavelengths(nm)
    if as_json and (as_csv or out is not None):
        raise PlantError("one result at a time", where="--json", hint="Leave out --csv and -o, or --json")
    path, below, service = _traced(plant_path, ref, waves)
    if as_csv or out is not None:
        _csv(path, below, service, waves, out, plant_path)
    if as_json:
        answer(as_document({**path.as_json(), "below": [_branch(branch) for branch in below]}), 0)
    answer(trace_lines(path, width(), below), 0)


def _traced(plant_path: Path, ref: str, waves: tuple[int, ...]) -> tuple[PathDescription, list[Branch], str]:
    from model.graph import Continuity
    from model.ids import ServiceId
    from model.refs import ServiceRef, parse_ref
    from render.hops import describe
    from render.traced import branches, traced_path

    continuity: Continuity = Continuity(load_plant(plant_path))
    meant = parse_ref(continuity.plant, ref)
    node = node_at(continuity, ref)
    traced, service = traced_path(continuity, meant.service if isinstance(meant, ServiceRef) else node)
    path = describe(continuity, traced, waves)
    below: list[Branch] = []
    if traced.field_kind == "branches":
        at_db = {one: path.loss_db[one] for one in waves if not path.hops or one in path.hops[0].at_db}
        below = list(branches(continuity, traced.field, path.length_m, at_db, waves))
    return path, below, continuity.plant.services[ServiceId(service)].name if service else ""


def _csv(
    path: PathDescription,
    below: list[Branch],
    service: str,
    waves: tuple[int, ...],
    out: Path | None,
    source: Path,
) -> None:
    from render.columns import table_of
    from render.columns_light import path_columns
    from render.outfiles import check_target, put
    from render.path_rows import branch_rows, hop_rows
    from render.tables import BOM, to_csv

    rows = hop_rows(path, service)
    table = table_of("path", "Path", path_columns(waves), [*rows, *branch_rows(below, len(rows) + 1)])
    if out is None:
        # The mark at the start is for spreadsheets that open a file; a pipe goes to other programs.
        answer(to_csv(table).removeprefix(BOM).splitlines(), 0)
    check_target(out, source, ".csv")
    put([(out, to_csv(table))])
    answer([str(out)], 0)


def _branch(branch: Branch) -> dict[str, Any]:
    return {
        "depth": branch.depth,
        "leg": branch.leg,
        "to": branch.end if branch.joined else None,
        "kind": branch.kind,
        "services": list(branch.services),
        "at_m": None if branch.at_m is None else round(branch.at_m, 3),
        "at_db": {str(nm): round(db, 4) for nm, db in branch.at_db.items()},
    }
