"""``glasswright affected`` and ``glasswright shared``: who goes dark with a thing, and what two paths share."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from render.cli_shared import PLANT, as_json, load_plant
from render.console import answer, as_document, width

if TYPE_CHECKING:
    from model.correlate.affected import Affected, FibreRun, TrayOthers
    from model.correlate.elements import Element
    from model.plant import Plant


@click.command(short_help="Who goes dark if this is cut or fails.")
@click.argument("plant_path", metavar="PLANT", type=PLANT)
@click.argument("ref", metavar="REF")
@click.option("--trays", is_flag=True, help="REF is a tray, or a site with planned work: who else is on it.")
@as_json
def affected(plant_path: Path, ref: str, trays: bool, as_json: bool) -> None:
    """Say who goes dark when a sheath, tube, tray, splice, fibre, splitter, port or all of a site is cut or fails.

    "MF-48@K2>" is the span of a sheath from K2 outward, "MF-48:T2@K2" a tube inside K2. Uncut glass counts. With
    --trays: who else is on a tray that will be opened, or on those of a site that planned joints open.
    """
    from model.correlate.affected import affected as cut
    from model.correlate.affected import others_on_trays
    from model.correlate.named import elements_named
    from model.graph import Continuity
    from model.refs import TrayRef, parse_ref
    from render.cli_shared import site_of

    plant = load_plant(plant_path)
    continuity = Continuity(plant)
    if trays:
        meant = parse_ref(plant, ref)
        if isinstance(meant, TrayRef):
            site = plant.enclosures[plant.trays[meant.tray].enclosure].site
            opened = others_on_trays(continuity, site, trays=[meant.tray])
        else:
            opened = others_on_trays(continuity, site_of(plant, ref))
        if as_json:
            rows = [{"tray": t.tray.words, "services": _names(plant, t.services)} for t in opened]
            answer(as_document({"trays": rows}), 0)
        answer(_tray_lines(plant, opened), 0)
    found = cut(continuity, elements_named(continuity, ref))
    answer(as_document(_document(plant, found)) if as_json else _lines(plant, found, width()), 0)


@click.command(short_help="What the paths of two services have in common.")
@click.argument("plant_path", metavar="PLANT", type=PLANT)
@click.argument("one", metavar="SERVICE")
@click.argument("other", metavar="[SERVICE]", required=False)
@as_json
def shared(plant_path: Path, one: str, other: str | None, as_json: bool) -> None:
    """List every element that one event would hit on the paths of both services, from the customer to the exchange.

    With one service: what its own feeds share after they have parted.
    """
    from model.correlate.listed import services_listed
    from model.correlate.paths import paths_of
    from model.correlate.shared import shared_feeds, shared_risk
    from model.graph import Continuity
    from render.answers import counted

    plant = load_plant(plant_path)
    continuity = Continuity(plant)
    a = _service(services_listed(plant, one), one)
    b = _service(services_listed(plant, other), other) if other is not None else None
    found = shared_feeds(continuity, a) if b is None else shared_risk(continuity, a, b)
    if as_json:
        answer(as_document({"shared": [_element(part) for part in found]}), 0)
    nothing = "they share nothing that is recorded"
    if b is None:
        ways = len(paths_of(continuity).arms(a))
        nothing = "its feeds share nothing that is recorded" if ways > 1 else f"it has {counted(ways, 'feed')}"
    answer(_shared_lines(found, width()) if found else [nothing], 0)


def _service(found: Sequence[str], text: str) -> str:
    from model.errors import RefError

    if len(found) != 1:
        raise RefError(f"{text.strip()!r} names {len(found)} services", hint="Name one")
    return found[0]


def _names(plant: Plant, services: Sequence[str]) -> list[str]:
    return [plant.services[service].name for service in services]


def _ports(plant: Plant, ports: Sequence[str]) -> list[str]:
    from model.correlate.elements import element

    return [element(plant, f"port|{port}").words for port in ports]


def _runs(plant: Plant, runs: Sequence[FibreRun], where: str) -> list[dict[str, Any]]:
    from model.numbers import to_text

    return [
        {
            "cable": plant.cables[run.cable].name,
            "fibres": to_text(run.fibres),
            "count": len(run.fibres),
            "dark": to_text(run.dark),
            "where": where,
        }
        for run in runs
    ]


def _element(part: Element) -> dict[str, Any]:
    return {"element": part.words, "kind": part.kind, "grain": part.grain, "key": part.key}


def _document(plant: Plant, found: Affected) -> dict[str, Any]:
    return {
        "elements": [_element(part) for part in found.elements],
        "services": _names(plant, found.services),
        "live": [plant.services[s].name for s in found.services if plant.services[s].status == "live"],
        "standby": _names(plant, found.standby),
        "fibres": [*_runs(plant, found.fibres, "in it"), *_runs(plant, found.beyond, "beyond it")],
        "ports": _ports(plant, found.ports),
        "exchange": _ports(plant, found.exchange),
    }


def _lines(plant: Plant, found: Affected, wide: int) -> list[str]:
    from model.numbers import to_text
    from render.answers import clean, counted, fold

    lines = [clean(part.words) for part in found.elements]
    live = sum(plant.services[s].status == "live" for s in found.services)
    lines += ["", f"Goes dark     {counted(len(found.services), 'service')}, {live} live"]
    lines += [f"  {line}" for line in fold(" ".join(_names(plant, found.services)), max(wide - 2, 0)) if line]
    if found.standby:
        lines += [f"Loses a feed  {counted(len(found.standby), 'service')}"]
        lines += [f"  {line}" for line in fold(" ".join(_names(plant, found.standby)), max(wide - 2, 0))]
    for run in found.fibres:
        dark = f", dark {to_text(run.dark)}" if run.dark else ""
        lines.append(f"Fibres in it  {clean(plant.cables[run.cable].name)} {to_text(run.fibres)}{dark}")
    beyond = sum(len(run.fibres) for run in found.beyond)
    if beyond:
        where = counted(len(found.beyond), "cable")
        lines.append(f"Beyond it     {counted(beyond, 'fibre')} of {where} and {counted(len(found.ports), 'port')}")
    if found.exchange:
        lines += [f"Lit from      {line}" for line in fold(", ".join(_ports(plant, found.exchange)), max(wide - 14, 0))]
    return lines


def _shared_lines(found: Sequence[Element], wide: int) -> list[str]:
    from render.answers import table

    return table([["grain", "shared by both"], *([part.grain, part.words] for part in found)], "ll", wide)


def _tray_lines(plant: Plant, opened: Sequence[TrayOthers]) -> list[str]:
    from render.answers import clean

    if not opened:
        return ["no planned joint opens a tray here"]
    return [f"{clean(t.tray.words)}: {' '.join(_names(plant, t.services)) or 'nobody else'}" for t in opened]
