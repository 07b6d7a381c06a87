"""``glasswright fault``: everything a technician needs of a fault, on one sheet, as text or for a program."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from model.errors import PlantError, RefError
from render.cli_reading import reading_of, reading_options
from render.cli_shared import PLANT, as_json, day, load_plant, node_at, services_said, today
from render.console import answer, as_document, width

if TYPE_CHECKING:
    from model.dispatch.facts import Facts, Report
    from model.dispatch.repair import Repair
    from model.entities import Ticket
    from model.graph import Continuity
    from model.otdr.reading import LaunchEnd
    from model.plant import Plant


@click.command(short_help="One page for the technician: mark, test, whom not to disturb, repair.")
@click.argument("plant_path", metavar="PLANT", type=PLANT)
@click.option("--ticket", "number", metavar="NUMBER", help="A ticket of the plant, or the number to print.")
@click.option("--since", metavar="TEXT", default="", help="When it began, as printed on the sheet.")
@click.option("--down", "down", metavar="NAMES", multiple=True, help="Services down: C5,C6 C9..C11, or @FILE.")
@click.option("--up", "up", metavar="NAMES", multiple=True, help="Services measured and up, likewise.")
@click.option("--ref", metavar="REF", help="The fibre, port or service a reading was taken on.")
@click.option("--reading", "shown", metavar="M", help="The reading as shown: 3359, 3.359km, 11020ft.")
@reading_options
@as_json
@click.option("-o", "out", metavar="OUT.svg|OUT.gwp", type=PLANT, help="Draw the fault sheet; with --apply the plant.")
@click.option("--apply", "rank", metavar="N", type=click.IntRange(1, 9), help="Do the repair of this rank.")
@click.option("--force", is_flag=True, help="Replace another existing plant.")
@click.option("--page", metavar="SIZE", default="A4", show_default=True, help="A4, A3, Letter or Tabloid.")
@click.option("--printed-on", metavar="YYYY-MM-DD", default=None, help="Date on the sheet; today if not said.")
def fault(
    plant_path: Path,
    number: str | None,
    since: str,
    down: tuple[str, ...],
    up: tuple[str, ...],
    ref: str | None,
    shown: str | None,
    index: str | None,
    lead: str,
    tail: str | None,
    from_end: LaunchEnd,
    nm: str,
    as_json: bool,
    out: Path | None,
    rank: int | None,
    force: bool,
    page: str,
    printed_on: str | None,
) -> None:
    """Say what a fault may be, where to go, whom not to disturb, what to test next and how to mend it.

    Who is down and up comes from --down and --up, or from a ticket kept in the plant; a reading of an OTDR narrows it
    to a mark. With -o the answer is the sheet for the technician, else text. With --apply N -o OUT.gwp the repair of
    that rank is written into a plant, planned, where a plant can hold it.
    """
    from dataclasses import replace

    from model.dispatch.facts import facts_of
    from model.graph import Continuity

    if as_json and out is not None:
        raise PlantError("one result at a time", where="--json", hint="Leave out -o, or --json")
    if rank is not None:
        _check_apply(out, plant_path, force)
    plant = load_plant(plant_path)
    continuity = Continuity(plant)
    report = _report(continuity, number, since, services_said(plant, down, "--down"), services_said(plant, up, "--up"))
    if (ref is None) != (shown is None):
        raise PlantError("a reading needs the fibre it was taken on", where="--reading", hint="Say --ref and --reading")
    if ref is not None and shown is not None:
        reading = reading_of(shown, index, lead, tail, from_end, nm)
        report = replace(report, node=node_at(continuity, ref), reading=reading)
    if not report.down:
        raise PlantError("nobody is said to be down", where="--down", hint="Name them, or a --ticket of the plant")
    facts = facts_of(continuity, report)
    code = 0 if facts.answer.suspects or facts.answer.pair else 1
    if rank is not None and out is not None:
        _apply(plant, facts, rank, out, plant_path)
    if out is not None:
        date = day(printed_on, "--printed-on") if printed_on is not None else today()
        _draw(continuity, facts, out, plant_path, page, date)
    answer(as_document(facts_json(plant, facts)) if as_json else _lines(continuity, facts, width()), code)


def _ticket(plant: Plant, number: str) -> Ticket | None:
    found = [t for t in plant.tickets.values() if number.casefold() in (t.number.casefold(), t.id.casefold())]
    return found[0] if found else None


def _report(continuity: Continuity, number: str | None, since: str, down: Sequence[str], up: Sequence[str]) -> Report:
    """What was called in: the lists given, else those of a ticket in the plant with its last shot."""
    from dataclasses import replace

    from model.dispatch.facts import Report, report_of

    ticket = _ticket(continuity.plant, number) if number is not None else None
    if ticket is None:
        if number is not None and not down:
            held = ", ".join(sorted(t.number for t in continuity.plant.tickets.values())[:6]) or "none"
            hint = f"It holds {held}; or say who is down with --down"
            raise RefError(f"the plant has no ticket {number[:40]!r}", hint=hint)
        return Report(number or "", since, tuple(down), tuple(up))
    told = report_of(ticket)
    return replace(told, since=since or told.since, down=tuple(down) or told.down, up=tuple(up) or told.up)


def _check_apply(out: Path | None, plant_path: Path, force: bool) -> None:
    from render.cli_say import check_out

    if out is None:
        raise PlantError("a repair is applied to a file", where="--apply", hint="Say both: --apply N -o OUT.gwp")
    check_out(out, plant_path, force)


def _apply(plant: Plant, facts: Facts, rank: int, out: Path, plant_path: Path) -> None:
    """Write the plant with a repair in it, planned."""
    from model.history import History
    from render.answers import counted
    from render.cli_say import keep, open_for_writing

    if rank > len(facts.repairs):
        found = counted(len(facts.repairs), "repair")
        raise PlantError(f"there is no repair {rank}: {found} fit this fault", where="--apply", hint="Look without it")
    chosen = facts.repairs[rank - 1]
    if not chosen.proposal.edits:
        hint = "Say the work by hand: its marks and boxes are not known yet"
        raise PlantError(f"{chosen.proposal.name} is nothing a plant can hold", where="--apply", hint=hint)
    history = History(plant)
    history.do(*chosen.proposal.edits, name=chosen.proposal.name)
    with open_for_writing(out, plant_path):
        keep(history.plant, out)
    answer([f"{chosen.proposal.name}, written: {out}"], 0)


def _draw(continuity: Continuity, facts: Facts, out: Path, plant_path: Path, page: str, date: str) -> None:
    from render.outfiles import check_target, put
    from render.page import page_size
    from render.sheets.fault import fault_sheet
    from render.sheets.options import Options
    from render.svg import to_svg

    if page_size(page).name == "A5":
        raise PlantError("'A5' is no page size for this sheet", where="--page", hint="Use A4, A3, Letter or Tabloid")
    check_target(out, plant_path)
    put([(out, to_svg(fault_sheet(continuity, facts, Options(page=page, printed_on=date, file=out.name))))])
    answer([str(out)], 0)


def _names(plant: Plant, services: Sequence[str]) -> list[str]:
    return [plant.services[service].name for service in services]


def facts_json(plant: Plant, facts: Facts) -> dict[str, Any]:
    """The facts of a fault for a program."""
    from model.dispatch.facts import close_out
    from model.numbers import to_text
    from render.cli_locate import located_json
    from render.hopwords import site_name

    return {
        "ticket": facts.report.number,
        "since": facts.report.since,
        "down": _names(plant, facts.report.down),
        "up": _names(plant, facts.report.up),
        "not_measured": _names(plant, facts.not_asked),
        "statement": facts.answer.statement,
        "place": site_name(plant, facts.site) if facts.site else None,
        "suspects": [
            {
                "element": suspect.words,
                "key": suspect.element.key,
                "explains": _names(plant, suspect.explains),
                "contradicted_by": _names(plant, suspect.contradicted_by),
                "would_show_m": _shows(facts, suspect.element.key),
                "excluded": suspect in facts.excluded,
            }
            for suspect in (*facts.kept, *facts.excluded)
        ],
        "next_test": facts.answer.next_tests[0].words if facts.answer.next_tests else None,
        "located": located_json(facts.located) if facts.located else None,
        "do_not_disturb": [
            {
                "cable": plant.cables[row.cable].name,
                "tube": row.tube,
                "fibres": to_text(row.fibres),
                "how": row.where,
                "services": _names(plant, row.services),
            }
            for row in facts.beside
        ],
        "spares": [
            {
                "cable": plant.cables[row.spare.cable].name,
                "tube": row.spare.tube,
                "fibres": to_text(row.fibres),
                "to_cut": row.spare.cut,
                "tube_to_open": row.spare.opens,
                "for": _names(plant, row.services),
            }
            for row in facts.spares
        ],
        "close_out": close_out(plant, facts),
        "repairs": [_repair(plant, one) for one in facts.repairs],
    }


def _shows(facts: Facts, key: str) -> list[float] | None:
    found = facts.showing.get(key)
    return None if found is None else [round(found.near_m, 1), round(found.far_m, 1)]


def _repair(plant: Plant, one: Repair) -> dict[str, Any]:
    from model.numbers import to_text

    return {
        "way": one.way,
        "name": one.proposal.name,
        "fibres": to_text(one.fibres),
        "bridge_m": one.bridge_m,
        "splices": one.splices,
        "extra_db": round(one.extra_db, 3),
        "trays": [{"tray": r.words, "slots": r.slots, "used": r.used, "taken": r.taken} for r in one.rooms],
        "slots_missing": one.short,
        "moves": [{"services": _names(plant, s), "from": old, "to": new} for s, old, new in one.moves],
        "margins_db": {
            plant.services[m.service].name: None
            if m.before_db is None or m.after_db is None
            else [round(m.before_db, 3), round(m.after_db, 3)]
            for m in one.margins
        },
        "left_dark": _names(plant, one.left_dark),
        "retest_dark": to_text(one.dark) if one.dark else "",
        "reasons": list(one.proposal.reasons),
    }


def _lines(continuity: Continuity, facts: Facts, wide: int) -> list[str]:
    from model.correlate.next_tests import NONE_OF_THEM
    from model.dispatch.facts import close_out
    from model.numbers import to_text
    from render.answers import clean, fold, noted, table
    from render.cli_locate import located_lines
    from render.hopwords import site_name

    plant = continuity.plant
    lines = noted("Down", " ".join(_names(plant, facts.report.down)), wide)
    lines += noted("Up", " ".join(_names(plant, facts.report.up)) or "nobody measured", wide)
    if facts.not_asked:
        lines += noted("Not measured", " ".join(_names(plant, facts.not_asked)), wide)
    lines += fold(facts.answer.statement, wide)
    if facts.site:
        site = plant.sites[facts.site]
        where = ", ".join(word for word in (site.name, site.place, site.access) if word)
        lines += noted("Go to", where, wide)
    if facts.located:
        lines += ["", *located_lines(facts.located, wide)]
    rows = [["", "suspect", "down", "up", "would show"]]
    for number, suspect in enumerate((*facts.kept, *facts.excluded), 1):
        shows = _shows(facts, suspect.element.key)
        said = f"{shows[0]:.0f} to {shows[1]:.0f} m" if shows else ""
        said += ", excluded" if suspect in facts.excluded else ""
        rows.append([str(number), suspect.words, str(len(suspect.explains)), str(len(suspect.contradicted_by)), said])
    if len(rows) > 1:
        lines += ["", "Suspects", *table(rows, "rlrrl", wide)]
    if facts.answer.pair:
        lines += ["", *fold(f"Best pair: {facts.answer.pair.reason}", wide)]
    if facts.answer.next_tests:
        test = facts.answer.next_tests[0]
        lines += ["", *noted("Next test", test.words, wide)]
        for outcome in test.outcomes:
            left = "; ".join(part.words for part in outcome.suspects) or NONE_OF_THEM
            lines += noted("", f"{outcome.result}: {left}", wide)
    if facts.beside:
        rows = [["tube", "fibres", "how it lies", "live"]]
        rows += [
            [f"{plant.cables[b.cable].name} T{b.tube}", to_text(b.fibres), b.where, " ".join(_names(plant, b.services))]
            for b in facts.beside
        ]
        lines += ["", f"Do not disturb at {clean(site_name(plant, facts.site))}", *table(rows, "llll", wide)]
    for place, one in enumerate(facts.repairs):
        lines += ["", *noted("Repair" if place == 0 else "Or", f"{one.proposal.name}: {one.splices} splices", wide)]
        for reason in one.proposal.reasons:
            lines += noted("", reason, wide)
    lines += ["", *fold(close_out(plant, facts), wide)]
    if facts.repairs:
        lines += ["", *fold(CAUTION, wide)]
    return lines


CAUTION = (
    "Worked out from the record, which proves nothing on site: measure dark before you touch or cut, never look into a "
    "fibre, and follow local codes and licensed practice."
)
