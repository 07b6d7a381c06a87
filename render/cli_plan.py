"""``glasswright plan``: the planner's ranked ways from the command line, and one of them applied to a file."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from model.errors import PlantError
from render.cli_say import check_out, keep, open_for_writing
from render.cli_shared import PLANT, load_plant, site_of
from render.cli_shared import as_json as json_option
from render.console import answer, as_document, width

if TYPE_CHECKING:
    from model.line.questions import Planned
    from model.planning import Proposal

KINDS = {"tubes": "drops", "trays": "trays", "stubs": "stubs"}
HEADS = {
    "drops": "Which tubes to open",
    "trays": "Which tray and slot for each joint",
    "stubs": "What to do with loose glass",
}


@click.command(short_help="Propose tubes to open, slots for joints, places for stubs.")
@click.argument("plant_path", metavar="PLANT", type=PLANT)
@click.argument("what", metavar="tubes|trays|stubs", type=click.Choice(list(KINDS)))
@click.option("--site", "site_text", metavar="SITE", help="Where; the only box if not said.")
@click.option("--drops", default="all", show_default=True, help="tubes: the ends to serve, like D-01..D-12 or D-1:1-2.")
@click.option("--from", "cable", metavar="CABLE", help="tubes: the cable that passes; the only one if not said.")
@click.option("--ports", metavar="N-M", default="", help="tubes: numbers of the exchange ports that will do.")
@click.option("--skip", metavar="FIBRES", default="", help="tubes: fibres not to be used.")
@click.option("--by", type=click.Choice(["tube", "service", "side", "crossings"]), default="tube", show_default=True)
@click.option(
    "--keep", "kept", type=click.IntRange(0, 99), help="tubes: dark fibres each tube keeps; trays: % of slots."
)
@click.option("--outage", metavar="WORDS", default="", help="tubes: approved for live fibres beside the work.")
@click.option("--apply", "rank", metavar="N", type=click.IntRange(1, 99), help="Do the way of this rank.")
@click.option("-o", "out", metavar="OUT.gwp", type=PLANT, help="Where the changed plant goes; may be PLANT itself.")
@click.option("--force", is_flag=True, help="Replace another existing file.")
@json_option
def plan(
    plant_path: Path,
    what: str,
    site_text: str | None,
    drops: str,
    cable: str | None,
    ports: str,
    skip: str,
    by: str,
    kept: int | None,
    outage: str,
    rank: int | None,
    out: Path | None,
    force: bool,
    as_json: bool,
) -> None:
    """Answer a question of the drafter with ranked ways, each with its reasons and what it leaves alone.

    tubes: which tubes to open so that the drops are served, no live fibre disturbed, whole to the exchange. trays:
    which tray and slot for each planned joint, with the fewest crossings. stubs: what to do with loose glass.
    """
    from model.history import History
    from model.line.proposing import KEPT_PERCENT
    from model.line.questions import Question
    from model.line.saying import Sayer
    from model.lookup import passes, stops_at

    if (rank is None) != (out is None):
        raise PlantError("a way is applied to a file", hint="Say both: --apply N -o OUT.gwp")
    if out is not None:
        check_out(out, plant_path, force)
    plant = load_plant(plant_path)
    site = site_of(plant, site_text)
    if what == "tubes" and cable is None:
        through = sorted({c.name for c, index, _ in stops_at(plant, site) if passes(c, index)})
        if len(through) != 1:
            names = ", ".join(through) or "none"
            raise PlantError(f"which cable? These pass {plant.sites[site].name}: {names}", hint="Say --from CABLE")
        cable = through[0]
    keeps = kept if kept is not None else KEPT_PERCENT if what == "trays" else 0
    kind = KINDS[what]
    if kind == "drops":
        words = " ".join(outage.replace(";", ",").split())
        question = Question(kind, drops, cable or "", keeps, ports, skip, outage=words)
    else:
        question = Question(kind, keep=keeps, by=by)
    now = datetime.datetime.now().astimezone().isoformat(timespec="minutes")
    sayer = Sayer(History(plant), site, now=now)
    try:
        reading = sayer.say(question.text(rank or 1)) if rank else sayer.read(question.text())
    except PlantError as fault:
        fault.where = ""  # the columns of a line that nobody typed
        if "would be touched" in fault.message:
            fault.hint = "Say --outage WORDS"
        raise
    found = reading.plan
    assert found is not None  # noqa: S101  # every plan that reads has one
    if out is not None:
        if not found.ways:
            raise PlantError("there is nothing to apply", hint="Everything lies best already")
        with open_for_writing(out, plant_path):
            keep(plant, out)
    head = f"{HEADS[kind]} at {plant.sites[site].name}"
    answer(as_document(_as_data(found, head, rank, out)) if as_json else _told(found, head, rank, out), 0)


def _as_data(found: Planned, head: str, rank: int | None, out: Path | None) -> dict[str, Any]:
    return {
        "question": head,
        "line": found.question.text(),
        "ways": [
            {
                "rank": n,
                "name": way.name,
                "cost": dict(way.cost),
                "reasons": list(way.reasons),
                "left_alone": list(way.left_alone),
            }
            for n, way in enumerate(found.ways, start=1)
        ],
        "applied": rank,
        "written": str(out) if out else None,
    }


def _told(found: Planned, head: str, rank: int | None, out: Path | None) -> list[str]:
    lines = [head]
    for n, way in enumerate(found.ways, start=1):
        lines += _way(n, way)
    if not found.ways:
        lines.append("  nothing to change: everything lies best already")
    if out is not None:
        lines.append(f"applied way {rank}, written: {out}")
    return lines


def _way(rank: int, way: Proposal) -> list[str]:
    from render.answers import fold

    lines = [f"{rank:>3}  {way.name}"]
    costs = ", ".join(f"{what} {value}" for what, value in way.cost)
    for label, told in (("costs", (costs,)), ("why", way.reasons), ("left alone", way.left_alone)):
        for index, words in enumerate(told):
            first, *more = fold(words, max(width() - 17, 40) if width() else 0)
            lines.append(f"     {label if not index else '':<10}  {first}")
            lines += [f"{'':<19}{line}" for line in more]
    return lines
