"""The command line: one verb each for checking, tracing, budgeting, drawing, listing and starting a plant. No Qt.

Exit 0 is fine, 1 means findings of error severity or nothing found, 2 bad input: one clear line on standard error
saying what, where and what to do. Heavy modules are imported inside the verbs, so that ``--help`` answers at once.
"""

from __future__ import annotations

import errno
import io
import os
import sys
import traceback
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NoReturn

import click

from model.errors import PlantError
from render.cli_affected import affected, shared
from render.cli_budget import budget
from render.cli_fault import fault
from render.cli_locate import locate
from render.cli_plan import plan
from render.cli_say import say
from render.cli_shared import PLANT, as_json, day, load_plant, nm_option, read_text, site_of, today, wavelengths
from render.cli_shot import shot
from render.cli_suspects import suspects
from render.cli_trace import trace
from render.console import answer, as_document, fail, not_printed, quoted, width

PAGES = ("A4", "A3", "Letter", "Tabloid")


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="glasswright", prog_name="glasswright")
def cli() -> None:
    """Draw, check and trace outside-plant fibre enclosures from one graph.

    A PLANT is a .gwp file. A REF names a thing in it: SITE, CABLE, CABLE:FIBRE, CABLE:T2.3, service:NAME,
    SITE/TRAY/SLOT, SITE/port/N, SPLITTER:out9; @SITE narrows it to a place, < and > to the exchange or field side.
    Put a REF in quotation marks: a shell takes spaces, < and > for itself.

    Exit code 0: fine. 1: errors found, or nothing. 2: bad input, said in one line.
    """


for verb in (trace, budget, locate, shot, suspects, fault, affected, shared, plan, say):
    cli.add_command(verb)


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
    from render.answers import check_lines, count_by_severity

    plant = load_plant(plant_path)
    site = site_of(plant, site_text) if site_text is not None else None
    profile = None
    if profile_path is not None:
        profile = load_profile(read_text(profile_path, "a profile file (*.toml)"), str(profile_path), RULES)
    findings = run_check(plant, site=site, profile=profile)
    counts = count_by_severity(findings)
    code = 1 if counts["error"] else 0
    if as_json:
        keys = ("rule", "severity", "refs", "message", "measured", "limit", "unit", "basis", "accepted")
        rows = [{key: _shown(getattr(finding, key)) for key in keys} for finding in findings]
        totals = {f"{kind}s": number for kind, number in counts.items()}
        answer(as_document({"findings": rows, **totals}), code)
    answer(check_lines(findings, width()), code)


def _shown(value: Any) -> Any:
    return round(value, 4) if isinstance(value, float) else value


SHEETS = ("layout", "splices", "tray", "path", "all")


@cli.command(short_help="Draw one sheet, or all sheets of a site, as SVG.")
@click.argument("plant_path", metavar="PLANT", type=PLANT)
@click.argument("sheet", metavar="SHEET", type=click.Choice(SHEETS))
@click.option("--site", "site_text", metavar="SITE", help="The enclosure's site; needed when there are several.")
@click.option("--ref", "ref", metavar="REF", help="The fibre or service of a path sheet, or SITE/TRAY of a tray map.")
@click.option(
    "-o", "out", metavar="OUT", type=PLANT, required=True, help="OUT.svg, - to print it, or a folder for all."
)
@click.option("--page", metavar="SIZE", help=f"{', '.join(PAGES)}; each sheet has its own default.")
@click.option("--orientation", type=click.Choice(["portrait", "landscape"]), default=None)
@click.option("--printed-on", metavar="YYYY-MM-DD", default=None, help="Date on the sheet; today if not said.")
@click.option("--trace", "trace_ref", metavar="REF", help="Mark this fibre's path.")
@click.option("--mono", is_flag=True, help="Black patterns in place of colours.")
@nm_option
def draw(
    plant_path: Path,
    sheet: str,
    site_text: str | None,
    ref: str | None,
    out: Path,
    page: str | None,
    orientation: str | None,
    printed_on: str | None,
    trace_ref: str | None,
    mono: bool,
    nm: str,
) -> None:
    """Draw a sheet as SVG: layout, splices, tray, path, or all of a site's sheets into a folder.

    A sheet that needs several pages writes OUT.svg, OUT-2.svg and so on. An old drawing of that name is replaced.
    """
    from render.outfiles import check_target, put, put_in_folder
    from render.sheet_set import Request, drawings
    from render.svg import to_svg

    whole, printed = sheet == "all", str(out) == "-"
    if not whole and not printed:
        check_target(out, plant_path)
    elif whole and printed:
        raise PlantError("all sheets cannot be printed at once", where="-o", hint="Name a folder")
    if page is not None and page.lower() not in map(str.lower, PAGES):
        raise PlantError(f"{page[:40]!r} is no page size", where="--page", hint="Use " + ", ".join(PAGES))
    date = day(printed_on, "--printed-on") if printed_on is not None else today()
    plant = load_plant(plant_path)
    # A reference alone says what is drawn, whichever site it is at.
    named = ref is not None and sheet in ("path", "tray")
    request = Request(
        sheet=sheet,
        site="" if named and site_text is None else site_of(plant, site_text),
        ref=ref or "",
        page=page or "",
        orientation=orientation or "",
        printed_on=date,
        mono=mono,
        trace=trace_ref or "",
        waves=wavelengths(nm),
    )
    stem = "" if whole else "sheet" if printed else out.stem
    files = [(name, to_svg(drawing)) for name, drawing in drawings(plant, request, stem)]
    if whole:
        answer(map(str, put_in_folder(out, files, plant_path)), 0)
    if printed:
        if len(files) > 1:
            raise PlantError(f"the sheet has {len(files)} pages", where="-o", hint="Name a file: -o OUT.svg")
        answer(files[0][1].splitlines(), 0)
    places = [out if index == 0 else out.with_name(f"{name}{out.suffix}") for index, (name, _) in enumerate(files)]
    for place in places:
        check_target(place, plant_path)
    put([(place, text) for place, (_, text) in zip(places, files, strict=True)])
    answer(map(str, places), 0)


@cli.command(short_help="Schedules, cut list and other lists as CSV or XLSX.")
@click.argument("plant_path", metavar="PLANT", type=PLANT)
@click.option("--site", "site_text", metavar="SITE", help="Only the lists of this site.")
@click.option("-o", "out", metavar="OUT", type=PLANT, required=True, help="OUT.xlsx, or a folder for CSV files.")
@click.option("--printed-on", metavar="YYYY-MM-DD", default=None, help="Date in the workbook; today if not said.")
def tables(plant_path: Path, site_text: str | None, out: Path, printed_on: str | None) -> None:
    """Write the lists of a site, or of the whole plant, for spreadsheets.

    Splice schedule and log, cut list, preparation, storage, stubs and spares, fibre use, ports, materials, loss budget
    and paths: one CSV file each in a folder, or one sheet each in OUT.xlsx. Old lists of that name are replaced.
    """
    from model.graph import Continuity
    from render.outfiles import check_target, put, put_in_folder
    from render.table_lists import all_tables, title_of
    from render.tables import to_csv, to_xlsx

    book = out.suffix.lower() == ".xlsx"
    if book:
        check_target(out, plant_path, ".xlsx")
    elif str(out) == "-":
        raise PlantError("lists cannot be printed", where="-o", hint="Name a folder, or OUT.xlsx")
    date = day(printed_on, "--printed-on") if printed_on is not None else today()
    plant = load_plant(plant_path)
    site = site_of(plant, site_text) if site_text is not None else None
    found = all_tables(Continuity(plant), site)
    if book:
        put([(out, to_xlsx(found, title_of(plant, site, plant_path.stem), date))])
        answer([str(out)], 0)
    files = [(table.name, to_csv(table)) for table in found]
    answer(map(str, put_in_folder(out, files, plant_path, ".csv")), 0)


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
    if out.suffix.lower() != ".gwp":
        raise PlantError("is no name for a plant", where=str(out), hint="Let it end in .gwp")
    if os.path.lexists(out) and not force:
        raise PlantError("the file exists already", where=str(out), hint="Choose another name, or say --force")
    save(TEMPLATES[template](), out)
    answer([str(out)], 0)


def _usage(fault: click.ClickException) -> str:
    """What is wrong with a command, and where its help is."""
    words = " ".join(fault.format_message().split()).rstrip(".")
    context = getattr(fault, "ctx", None)
    where = f"glasswright {context.info_name}" if context is not None and context.parent else "glasswright"
    return f"{words}. See {where} --help"


def main(arguments: Sequence[str] | None = None) -> NoReturn:
    """Run one command and exit; every failure is one line, never a traceback.

    Set GLASSWRIGHT_TRACEBACK=1 to see where an inner fault came from.
    """
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
    given = list(sys.argv[1:] if arguments is None else arguments)
    try:
        # Not click's own main: that answers an interrupt with a line of its own, and a closed pipe with exit 1.
        with cli.make_context("glasswright", given or ["--help"]) as context:
            cli.invoke(context)
    except click.exceptions.Exit as end:
        sys.exit(end.exit_code)
    except click.ClickException as fault:
        fail(_usage(fault))
    except (click.Abort, KeyboardInterrupt):
        fail("stopped")
    except PlantError as fault:
        choices = getattr(fault, "choices", ())
        if choices:
            fault.hint = "Say which piece: " + " or ".join(map(quoted, choices))
        fail(str(fault))
    except OSError as fault:
        if fault.filename is None and fault.errno in (errno.EPIPE, errno.EINVAL, errno.ENOSPC):
            not_printed(fault)
            sys.exit(0)
        fail(f"{fault.filename or 'file'}: {fault.strerror or fault}. Check the path and your rights to it")
    except Exception as fault:
        if os.environ.get("GLASSWRIGHT_TRACEBACK"):
            traceback.print_exc()
        fail(f"an inner fault, {type(fault).__name__}: {' '.join(str(fault).split())[:200]}. Please report it")
    answer([], 0)


if __name__ == "__main__":
    main()
