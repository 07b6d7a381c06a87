"""The command line: one verb each for checking, tracing, budgeting, drawing and starting a plant. No Qt anywhere.

Exit 0 is fine, 1 means findings of error severity or nothing found, 2 bad input: one clear line on standard error
saying what, where and what to do. Heavy modules are imported inside the verbs, so that ``--help`` answers at once.
"""

from __future__ import annotations

import datetime
import io
import json
import os
import sys
import traceback
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import click

from model.errors import PlantError, RefError

if TYPE_CHECKING:
    from model.ids import SiteId
    from model.optics.budget import ServiceBudget
    from model.plant import Plant
    from render.hops import PathDescription

WAVELENGTHS_NM = (1310, 1550)
MOST_TEXT = 1_000_000
"""Bytes of a profile file; more is some other file."""
PLANT = click.Path(path_type=Path)
as_json = click.option("--json", "as_json", is_flag=True, help="Print machine-readable results.")


def load_plant(path: Path) -> Plant:
    """The plant of a file, or a StorageError naming the file."""
    from model.storage.files import load

    return load(path)


def site_of(plant: Plant, text: str | None) -> SiteId:
    """The site named, or the only one with an enclosure; raises RefError listing the choices."""
    from model.refs import SiteRef, parse_ref

    if text is not None:
        ref = parse_ref(plant, text)
        if isinstance(ref, SiteRef):
            return ref.site
        raise RefError(f"{text!r} is no site", hint="Name one of " + ", ".join(_site_names(plant)))
    found = sorted({enclosure.site for enclosure in plant.enclosures.values()})
    if len(found) == 1:
        return found[0]
    if not found:
        raise RefError("the plant has no enclosure", hint="Add one, or name a site with --site")
    raise RefError(f"the plant has {len(found)} enclosures", hint="Say --site " + " or ".join(_site_names(plant)))


def _site_names(plant: Plant) -> list[str]:
    sites = {enclosure.site for enclosure in plant.enclosures.values()}
    return sorted(site.name for site in plant.sites.values() if site.id in sites or not sites)[:6]


def read_text(path: Path) -> str:
    """A small text file, or a PlantError naming it."""
    if path.stat().st_size > MOST_TEXT:
        raise PlantError(f"the file is larger than {MOST_TEXT} bytes", where=str(path), hint="Choose a profile file")
    try:
        return path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        raise PlantError("the file is not UTF-8 text", where=str(path), hint="Save it as UTF-8") from None


def say(text: str) -> None:
    """Print one line for a person."""
    click.echo(text)


def print_json(value: dict[str, Any]) -> None:
    """Print a result for a program: sorted as given, UTF-8, one document."""
    click.echo(json.dumps(value, ensure_ascii=False, indent=1))


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="glasswright", prog_name="glasswright")
def cli() -> None:
    """Draw, check and trace outside-plant fibre enclosures from one graph.

    A PLANT is a .gwp file. A REF names a thing in it: SITE, CABLE, CABLE:FIBRE, CABLE:T2.3, service:NAME,
    SITE/TRAY/SLOT, SITE/port/N; @SITE narrows it to a place, < and > to the exchange or field side.
    """


@cli.command()
@click.argument("plant_path", metavar="PLANT", type=PLANT)
@click.option("--site", "site_text", metavar="SITE", help="Only what concerns this site.")
@click.option("--profile", "profile_path", metavar="FILE.toml", type=PLANT, help="An owner's limits.")
@as_json
def check(plant_path: Path, site_text: str | None, profile_path: Path | None, as_json: bool) -> None:
    """Judge the plant against every rule; exit 1 when an error stands."""
    from model.rules.profiles import load_profile
    from model.rules.run import RULES
    from model.rules.run import check as run_check

    plant = load_plant(plant_path)
    site = site_of(plant, site_text) if site_text is not None else None
    profile = None
    if profile_path is not None:
        profile = load_profile(read_text(profile_path), str(profile_path), RULES)
    findings = run_check(plant, site=site, profile=profile)
    counts = {
        kind: sum(f.severity == kind and not f.accepted for f in findings) for kind in ("error", "warning", "note")
    }
    if as_json:
        keys = ("rule", "severity", "refs", "message", "measured", "limit", "unit", "basis", "accepted")
        rows = [{key: getattr(finding, key) for key in keys} for finding in findings]
        print_json(
            {"findings": rows, "errors": counts["error"], "warnings": counts["warning"], "notes": counts["note"]}
        )
    else:
        for finding in findings:
            mark = finding.severity[0].upper()
            state = " (accepted)" if finding.accepted else ""
            say(f"{mark}  {finding.rule:<22} {finding.message}{state}")
        say(", ".join(f"{number} {kind}{'s' * (number != 1)}" for kind, number in counts.items()))
    sys.exit(1 if counts["error"] else 0)


@cli.command()
@click.argument("plant_path", metavar="PLANT", type=PLANT)
@click.argument("ref", metavar="REF")
@as_json
def trace(plant_path: Path, ref: str, as_json: bool) -> None:
    """Follow one fibre both ways, through every joint, to its two ends."""
    from model.graph import Continuity
    from model.nodes import node_of
    from model.trace import trace as run_trace
    from render.hops import describe

    continuity = Continuity(load_plant(plant_path))
    node = node_of(continuity, ref)
    if node not in continuity.graph:
        raise RefError(f"nothing is joined at {ref}", hint="Name a fibre, a plugged port or a used slot")
    path = describe(continuity, run_trace(continuity, node), WAVELENGTHS_NM)
    if as_json:
        print_json(path.as_json())
        return
    for line in trace_lines(path):
        say(line)


def trace_lines(path: PathDescription) -> list[str]:
    """A path as lines of text, from its field end to its exchange end."""
    from render.hops import hop_words

    lines = [f"from {path.start}", f"  {path.ends[0]}"]
    for hop in path.hops:
        words = hop_words(hop)
        if hop.kind == "glass":
            tube = f", tube {hop.tube} {hop.tube_colour}, position {hop.position} {hop.fibre_colour}"
            metres = "length not known" if hop.length_m is None else f"{hop.length_m:.1f} m"
            words = f"{words}{tube}, {metres}, to {hop.to}"
        losses = "  ".join(f"{db:.3f} dB at {nm}" for nm, db in hop.loss_db.items())
        lines.append(f"    {words:<74} {losses}".rstrip())
        lines += [f"      passes {passed.site} {passed.state}" for passed in hop.passes]
    lines.append(f"  {path.ends[1]}")
    total = "  ".join(f"{db:.3f} dB at {nm} nm" for nm, db in path.loss_db.items())
    length = "" if path.length_m is None else f"{path.length_m:.1f} m of fibre, "
    lines.append(f"{length}{total}" + "".join(f"; not known: {what}" for what in path.unknown))
    return lines


@cli.command()
@click.argument("plant_path", metavar="PLANT", type=PLANT)
@click.option("--service", "service_text", metavar="NAME", help="Only this service.")
@as_json
def budget(plant_path: Path, service_text: str | None, as_json: bool) -> None:
    """Planned loss of each service and its margins to both ends of its power class."""
    from model.graph import Continuity
    from model.optics.budget import budget as one_budget
    from model.optics.budget import budgets
    from model.refs import ServiceRef, parse_ref

    continuity = Continuity(load_plant(plant_path))
    if service_text is not None:
        ref = parse_ref(continuity.plant, f"service:{service_text.removeprefix('service:')}")
        assert isinstance(ref, ServiceRef)  # noqa: S101  # the prefix leaves no other kind
        found = [one_budget(continuity, ref.service)]
    else:
        found = list(budgets(continuity))
    rows = [_budget_row(continuity.plant, item) for item in found]
    if as_json:
        print_json({"services": rows})
    else:
        for item, row in zip(found, rows, strict=True):
            losses = "  ".join(f"{db:.3f} dB at {nm}" for nm, db in item.loss_db.items())
            margin = "  ".join(f"margin {db:+.3f} at {nm}" for nm, db in (item.margin_max_db or {}).items())
            tail = margin or ("no class set" if item.complete else item.why)
            say(f"{row['service']:<12} {row['port']:<24} {losses}  {tail}")
    sys.exit(0 if rows else 1)


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
        "complete": item.complete,
        "why": item.why,
    }


def _margins(margins: Any) -> dict[str, float] | None:
    return None if margins is None else {str(nm): round(db, 4) for nm, db in margins.items()}


SHEETS = ("layout", "splices", "tray", "path", "all")


@cli.command()
@click.argument("plant_path", metavar="PLANT", type=PLANT)
@click.argument("sheet", metavar="SHEET", type=click.Choice(SHEETS))
@click.option("--site", "site_text", metavar="SITE", help="The enclosure's site; needed when there are several.")
@click.option("--ref", "ref", metavar="REF", help="The fibre or service of a path sheet, or SITE/TRAY of a tray map.")
@click.option("-o", "out", metavar="OUT.svg", type=PLANT, required=True, help="File, or folder for all.")
@click.option("--page", metavar="SIZE", default="", help="A4, A3, Letter or Tabloid; each sheet has its own default.")
@click.option("--orientation", type=click.Choice(["portrait", "landscape"]), default=None)
@click.option("--printed-on", metavar="DATE", default=None, help="Date on the sheet; today if not said.")
@click.option("--trace", "trace_ref", metavar="REF", help="Underlay this fibre's path.")
@click.option("--mono", is_flag=True, help="Black patterns in place of colours.")
def draw(
    plant_path: Path,
    sheet: str,
    site_text: str | None,
    ref: str | None,
    out: Path,
    page: str,
    orientation: str | None,
    printed_on: str | None,
    trace_ref: str | None,
    mono: bool,
) -> None:
    """Draw a sheet as SVG: layout, splices, tray, path, or all of a site's sheets into a folder.

    A sheet that needs several pages writes OUT.svg, OUT-2.svg and so on.
    """
    from render.sheet_set import Request, drawings
    from render.svg import write

    plant = load_plant(plant_path)
    date = printed_on if printed_on is not None else datetime.date.today().isoformat()
    request = Request(
        sheet=sheet,
        site=site_of(plant, site_text),
        ref=ref or "",
        page=page,
        orientation=orientation or "",
        printed_on=date,
        mono=mono,
        trace=trace_ref or "",
    )
    made = drawings(plant, request, stem=out.stem if sheet != "all" else "")
    if sheet == "all":
        out.mkdir(parents=True, exist_ok=True)
    for index, (name, drawing) in enumerate(made):
        if sheet == "all":
            target = out / f"{name}.svg"
        else:
            target = out if index == 0 else out.with_name(f"{out.stem}-{index + 1}{out.suffix}")
        write(drawing, target)
        say(str(target))


@cli.command()
@click.argument("template", metavar="TEMPLATE")
@click.option("-o", "out", metavar="PLANT.gwp", type=PLANT, required=True)
@click.option("--force", is_flag=True, help="Replace an existing file.")
def new(template: str, out: Path, force: bool) -> None:
    """Start a plant from a template; an unknown name lists them."""
    from model.storage.files import save
    from model.templates import TEMPLATES

    if template not in TEMPLATES:
        raise PlantError(f"there is no template {template!r}", hint="Templates: " + ", ".join(TEMPLATES))
    if out.exists() and not force:
        raise PlantError("the file exists already", where=str(out), hint="Choose another name, or say --force")
    save(TEMPLATES[template](), out)
    say(str(out))


def fail(line: str) -> NoReturn:
    """Say one line on standard error and exit 2."""
    print(f"glasswright: {line}", file=sys.stderr)
    sys.exit(2)


def main(arguments: Sequence[str] | None = None) -> NoReturn:
    """Run one command and exit; every failure is one line, never a traceback.

    Set GLASSWRIGHT_TRACEBACK=1 to see where an inner fault came from.
    """
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
    try:
        cli.main(args=list(arguments) if arguments is not None else None, standalone_mode=False)
    except click.exceptions.Exit as done:
        sys.exit(done.exit_code)
    except click.ClickException as fault:
        fail(" ".join(fault.format_message().split()))
    except click.Abort:
        fail("stopped")
    except PlantError as fault:
        fail(str(fault))
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(0)
    except OSError as fault:
        fail(f"{fault.filename or 'file'}: {fault.strerror or fault}. Check the path and your rights to it")
    except Exception as fault:
        if os.environ.get("GLASSWRIGHT_TRACEBACK"):
            traceback.print_exc()
        fail(f"an inner fault, {type(fault).__name__}: {' '.join(str(fault).split())[:200]}. Please report it")
    sys.exit(0)


if __name__ == "__main__":
    main()
