"""``glasswright say``: typed lines, or the rows of a table, done on a plant file with the grammar of the Line."""

from __future__ import annotations

import datetime
import getpass
import os
import socket
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from model.errors import PlantError, StorageError
from render.cli_shared import PLANT, load_plant, site_of
from render.cli_shared import as_json as json_option
from render.console import answer, as_document, width

if TYPE_CHECKING:
    from model.line.context import Context
    from model.line.pasted import Pasted
    from model.line.readback import Reading
    from model.line.saying import Sayer
    from model.plant import Plant

MOST_TYPED = 1_000_000
"""Characters read from standard input."""
MOST_BAD_SAID = 3
"""Bad rows named in the one line of a refusal."""


def _help_line(context: click.Context, _parameter: click.Parameter, wanted: bool) -> None:
    if wanted and not context.resilient_parsing:
        from model.line.help import EXAMPLES, PIECES

        wide = max(len(say) for say, _ in EXAMPLES if len(say) <= 52)
        lines = ["What the Line understands", ""]
        for say, means in (*EXAMPLES, ("", ""), *PIECES):
            lines += [f"{say:<{wide}}  {means}".rstrip()] if len(say) <= wide else [say, f"{'':<{wide}}  {means}"]
        answer(lines, 0)


@click.command(short_help="Do typed lines, or the rows of a table, with the Line's grammar.")
@click.argument("plant_path", metavar="PLANT", type=PLANT)
@click.argument("lines", metavar="[LINE]...", nargs=-1)
@click.option("--at", "site_text", metavar="SITE", help="Where the lines are said; the only box if not said.")
@click.option("--rows", "table_path", metavar="FILE", type=PLANT, help="Join the rows of a table: CSV or XLSX.")
@click.option("--skip-bad", is_flag=True, help="Join the good rows of a table and leave out the bad ones.")
@click.option("--outage", metavar="WORDS", default="", help="The planned outage for live services that go dark.")
@click.option("--yes", is_flag=True, help="Do it though live services go dark; your name is written down.")
@click.option("--dry", is_flag=True, help="Read back only; nothing is written.")
@click.option("--write-out", is_flag=True, help="Print the joins one by one, each with its slot; nothing is written.")
@click.option("--together", is_flag=True, help="Print the joins as the shortest line; nothing is written.")
@click.option("-o", "out", metavar="OUT.gwp", type=PLANT, help="Where the changed plant goes; may be PLANT itself.")
@click.option("--force", is_flag=True, help="Replace another existing file.")
@json_option
@click.option(
    "--help-line", is_flag=True, is_eager=True, expose_value=False, callback=_help_line, help="The Line on one screen."
)
def say(
    plant_path: Path,
    lines: tuple[str, ...],
    site_text: str | None,
    table_path: Path | None,
    skip_bad: bool,
    outage: str,
    yes: bool,
    dry: bool,
    write_out: bool,
    together: bool,
    out: Path | None,
    force: bool,
    as_json: bool,
) -> None:
    """Do lines one after another and read back what they did. LINE - reads lines from standard input.

    The first line that cannot be done ends it: its column and the nearest thing that works are said, and nothing is
    written. So does a line that would darken a live service, unless --outage or --yes is given; --dry shows who.
    """
    from model.history import History
    from model.line.saying import Sayer

    typed = list(_typed(lines))
    if not typed and table_path is None:
        raise PlantError("nothing is said", hint='Give a line, like "join A:1-12 to B:1-12 on tray 1", or --rows FILE')
    if out is not None:
        check_out(out, plant_path, force)
    plant = load_plant(plant_path)
    sayer = Sayer(
        History(plant),
        _place(plant, site_text),
        _outage(outage, yes or dry),
        datetime.datetime.now().astimezone().isoformat(timespec="minutes"),
    )
    pasted = _table(sayer.context, table_path) if table_path is not None else None
    if write_out or together:
        answer(_rewritten(sayer.context, [*typed, *(pasted.lines if pasted else ())], write_out), 0)
    readings = _say(sayer, typed, pasted, table_path, skip_bad or dry)
    changed = any(reading.edits for reading in readings)
    if changed and out is None and not dry:
        raise PlantError("nothing was written", hint="Say -o OUT.gwp to keep it, or --dry to look only")
    written = ""
    if out is not None and not dry:
        with open_for_writing(out, plant_path):
            keep(plant, out)
        written = str(out)
    bad = pasted.bad if pasted else ()
    code = 1 if bad and dry and not skip_bad else 0
    if as_json:
        answer(
            as_document(
                {
                    "lines": [_as_data(reading) for reading in readings],
                    "bad_rows": [{"row": item.row, "why": item.why} for item in bad],
                    "written": written or None,
                }
            ),
            code,
        )
    shown = [line for reading in readings for line in _told(reading, dry)]
    shown += [f"left out: {item}" for item in bad]
    answer([*shown, f"written: {written}" if written else "nothing is written"], code)


def _typed(lines: Sequence[str]) -> Iterator[str]:
    for line in lines:
        if line != "-":
            yield line
            continue
        text = sys.stdin.read(MOST_TYPED + 1)
        if len(text) > MOST_TYPED:
            raise PlantError(
                f"more than {MOST_TYPED} characters are typed", where="standard input", hint="Say it in parts"
            )
        yield from (row.strip() for row in text.splitlines() if row.strip() and not row.lstrip().startswith("#"))


def _place(plant: Plant, text: str | None) -> Any:
    """The site said, else the only one with a box, else the whole plant."""
    if text is not None:
        return site_of(plant, text)
    sites = {box.site for box in plant.enclosures.values()}
    return sites.pop() if len(sites) == 1 else None


def _outage(words: str, yes: bool) -> str:
    said = " ".join(words.replace(";", ",").split())
    if said or not yes:
        return said
    try:
        return f"confirmed by {getpass.getuser()}"
    except (OSError, KeyError, ImportError):
        return "confirmed on the command line"


def _table(context: Context, path: Path) -> Pasted:
    from model.line.pasted import read_rows
    from render.sheetfile import read_sheet

    pasted = read_rows(context, read_sheet(path))
    if pasted.bad and not pasted.bad[0].row:
        raise PlantError(pasted.bad[0].why, where=str(path), hint="Split the table")
    return pasted


def _say(
    sayer: Sayer, typed: Sequence[str], pasted: Pasted | None, table_path: Path | None, leave_out: bool
) -> list[Reading]:
    if pasted is not None and pasted.bad and not leave_out:
        named = "; ".join(str(item) for item in pasted.bad[:MOST_BAD_SAID])
        more = f" and {len(pasted.bad) - MOST_BAD_SAID} more" if len(pasted.bad) > MOST_BAD_SAID else ""
        count = sum(len(rows) for rows in pasted.rows) + len(pasted.bad)
        raise PlantError(
            f"{len(pasted.bad)} of {count} rows cannot be joined: {named}{more}",
            where=str(table_path),
            hint="Mend them, or say --skip-bad",
        )
    try:
        readings = sayer.say_all(typed)
        return readings + (sayer.say_all(pasted.lines) if pasted else [])
    except PlantError as fault:
        if "would be touched" in fault.message:
            fault.hint = "Say --outage WORDS, or --yes to do it all the same"
        raise


def _rewritten(context: Context, lines: Sequence[str], out: bool) -> list[str]:
    from model.line.rows import draw_together, line_of, rows_of_line

    text = "; ".join(lines)
    return [line_of(context, [row]) for row in rows_of_line(context, text)] if out else [draw_together(context, text)]


def _told(reading: Reading, rows: bool) -> list[str]:
    """A line and what it comes to; every joint where only looked at."""
    from render.answers import table

    wide = max((len(chip.label) for chip in reading.chips), default=0)
    lines = [reading.text, *(f"  {chip.label:<{wide}}  {chip.text}" for chip in reading.chips)]
    if rows and reading.rows:
        cells = [["  tray", "slot", "from", "to", "planned dB", ""]]
        for row in reading.rows:
            slot = "" if row.slot is None else str(row.slot)
            cells.append([f"  {row.tray or 'bay'}", slot, row.a, row.b, f"{row.planned_db:.2f}", row.state])
        lines += table(cells, "lrllrl", width())
    return lines


def _as_data(reading: Reading) -> dict[str, Any]:
    return {
        "text": reading.text,
        "name": reading.name,
        "says": [{"label": chip.label, "text": chip.text, "warns": chip.warns} for chip in reading.chips],
        "rows": [
            {"tray": r.tray, "slot": r.slot, "a": r.a, "b": r.b, "planned_db": r.planned_db, "state": r.state}
            for r in reading.rows
        ],
        "goes_dark": [{"service": held.service, "name": held.name, "on": held.on} for held in reading.dark],
    }


def check_out(out: Path, plant_path: Path, force: bool) -> None:
    """Refuse a place for the changed plant that is no plant file, or is another one; raises PlantError."""
    if out.suffix.lower() != ".gwp":
        raise PlantError("is no name for a plant", where=str(out), hint="Let it end in .gwp")
    same = out.exists() and plant_path.exists() and os.path.samefile(out, plant_path)
    if os.path.lexists(out) and not same and not force:
        raise PlantError("the file exists already", where=str(out), hint="Choose another name, or say --force")


@contextmanager
def open_for_writing(out: Path, plant_path: Path) -> Iterator[None]:
    """The right to replace the plant itself, which nobody else may have open meanwhile; raises StorageError."""
    from model.storage.lock import Holder, PlantLock

    if not (out.exists() and os.path.samefile(out, plant_path)):
        yield
        return
    lock = PlantLock(out)
    now = datetime.datetime.now().astimezone().isoformat(timespec="minutes")
    try:
        user = getpass.getuser()
    except (OSError, KeyError, ImportError):
        user = "somebody"
    lock.acquire(Holder(user, socket.gethostname(), os.getpid(), now))
    try:
        yield
    finally:
        lock.release()


def keep(plant: Plant, out: Path) -> None:
    """Save the plant; raises StorageError with the place."""
    from model.storage.files import save

    try:
        save(plant, out)
    except StorageError as fault:
        fault.where = fault.where or str(out)
        raise
