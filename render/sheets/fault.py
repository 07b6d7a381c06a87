"""The fault sheet: one page for the technician: who is down, the mark, the test, the cure, whom to leave alone.

One page whatever the plant: tables shorten and say how many rows they leave out; lettering never shrinks. Everything
comes from the facts of the fault and the plant. Millimetres on paper.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from model.correlate.next_tests import NONE_OF_THEM
from model.dispatch.facts import Facts, close_out
from model.errors import PlantError
from model.graph import Continuity
from model.optics.budget import budget
from model.optics.classes import PowerClass, power_class
from model.plant import Plant
from render import style
from render.blocks import Block, caution_strip
from render.box import Box
from render.drawing import Drawing, Group, Part, Pen, Rect, Text, Weight
from render.hops import PathDescription, describe, evidence_words, hop_words, weakest
from render.hopwords import site_name
from render.page import finish, page_size, start_page
from render.sheets.fault_tables import (
    Caps,
    beside_table,
    in_order,
    listed,
    longest_name_mm,
    materials,
    names,
    path_table,
    reading_table,
    repair_table,
    spare_table,
    suspect_table,
)
from render.sheets.fault_where import HEIGHT as WHERE_HEIGHT
from render.sheets.fault_where import where
from render.sheets.options import Options, sheet_info
from render.tableblock import Table, draw_table, lay_table
from render.text import shorten, wrap
from render.traced import traced_path

GAP = 2.0
SPLIT = 0.56
"""Share of the width that the place to go takes beside the ticket."""
LIVE_SHARE = 0.43
"""And that of what is live beside the spares, whose words are longer, unless its names are too."""
LONG_NAME_MM = 24.0
CAPS = (
    Caps(5, 9, 6, 6),
    Caps(4, 7, 5, 4),
    Caps(3, 6, 4, 3),
    Caps(3, 6, 3, 2),
    Caps(4, 7, 5, 4, 3, tight=True),
    Caps(3, 6, 3, 2, 3, tight=True),
    Caps(3, 5, 3, 2, 3, tight=True),
    Caps(3, 5, 3, 2, 2, tight=True),
    Caps(2, 4, 2, 2, 1, tight=True),
)
"""From roomy to short: the first whose tables fit the page is taken."""
PITCH = style.H_LABEL + style.LINE_GAP
WAVES = (1310, 1490, 1550, 1577)


def fault_sheet(continuity: Continuity, facts: Facts, options: Options) -> Drawing:
    """The sheet. Raises PlantError where even the shortest tables do not fit the page asked for."""
    plant = continuity.plant
    title = f"Fault {facts.report.number}".strip() if facts.report.number else "Fault"
    place = site_name(plant, facts.site) if facts.site else ""
    info = sheet_info(
        plant, facts.site, options, title=shorten(title, 90.0, style.H_TITLE, "bold"), kind="Fault sheet",
        supplement=_supplement(facts), units="m, dB", suffix="-F",
    )  # fmt: skip
    # The revision table would take the room of a table; the record's revision and date stand below instead.
    page = start_page(
        page_size(options.page or "A4", options.orientation or "portrait"),
        replace(info, node=place, revisions=()),
    )
    path = _path(continuity, facts)
    for caps in CAPS:
        parts, low = _lay(continuity, facts, path, page.space, caps)
        if low <= page.space.bottom + 1e-6:
            return finish(page, tuple(parts), desc=_describe(plant, facts))
    raise PlantError("the sheet does not fit the page", where="fault sheet", hint="Choose A4 portrait, or A3")


def _supplement(facts: Facts) -> str:
    if facts.located is not None:
        return shorten(f"Mark {facts.located.mark} on {facts.located.cable_name}", 90.0)
    return shorten(facts.target.words, 90.0) if facts.target else "No place known yet"


def _describe(plant: Plant, facts: Facts) -> str:
    place = site_name(plant, facts.site) if facts.site else "an unknown place"
    return f"{len(facts.report.down)} services down, {len(facts.report.up)} up; the place to look first is {place}."


def _path(continuity: Continuity, facts: Facts) -> tuple[PathDescription, PowerClass | None] | None:
    """The path measured (else that of the first service down), and the power class of its exchange port."""
    if facts.node not in continuity.graph:
        return None
    traced, _ = traced_path(continuity, facts.node)
    port = continuity.plant.ports.get(traced.exchange.rpartition("/")[0])
    name = port.power_class if port else ""
    if not name and facts.report.down:
        found = budget(continuity, facts.report.down[0]).power_class
        name = found.name if found else ""
    try:
        entry = power_class(name) if name else None
    except PlantError:
        entry = None
    return describe(continuity, traced, WAVES), entry


def _lay(
    continuity: Continuity,
    facts: Facts,
    path: tuple[PathDescription, PowerClass | None] | None,
    space: Box,
    caps: Caps,
) -> tuple[list[Part], float]:
    plant = continuity.plant
    parts: list[Part] = []
    y, x, width = space.y, space.x, space.width
    left = (width - GAP) * SPLIT
    right = width - GAP - left

    def put(*blocks: Block) -> None:
        nonlocal y
        parts.extend(block.group for block in blocks)
        y = max(block.box.bottom for block in blocks) + GAP

    put(caution_strip(x, y, width, _caution(plant, facts)))
    ticket = _ticket(plant, facts, x + left + GAP, y, right)
    reading = _table(reading_table(plant, facts, right), x + left + GAP, ticket.box.bottom + GAP, caps)
    go, picture = _go(plant, facts, x, y, left), []
    if facts.located is not None and not plant.cables[facts.located.cable].stops[facts.located.stop].jumps:
        picture.append(where(plant, facts.located, Box(x, go.box.bottom + GAP, left, WHERE_HEIGHT)))
    else:
        go = _go(plant, facts, x, y, left, reading.box.bottom - y)
    put(go, ticket, reading, *picture)
    put(_table(suspect_table(facts, width, caps.suspects), x, y, caps))
    put(_words(_test_lines(plant, facts), x, y, width, caps.lines))
    if path is not None:
        put(_table(path_table(continuity, path[0], path[1], facts, width, caps.places), x, y, caps))
    half = (width - GAP) * (LIVE_SHARE if longest_name_mm(plant, facts) < LONG_NAME_MM else 0.5)
    live = _table(beside_table(plant, facts, half, caps.beside), x, y, caps)
    spare = _table(spare_table(plant, facts, width - GAP - half, caps.spares), x + half + GAP, y, caps)
    put(live, spare)
    put(_table(repair_table(plant, facts, width), x, y, caps))
    put(_words(_foot_lines(plant, facts, path), x, y, width, min(caps.lines, 2) if caps.tight else 4))
    return parts, y - GAP


def _table(table: Table, x: float, y: float, caps: Caps) -> Block:
    if caps.tight:
        table = replace(table, columns=tuple(replace(column, fit="shorten") for column in table.columns))
    return draw_table(lay_table(table), x, y)


def _caution(plant: Plant, facts: Facts) -> tuple[str, str]:
    place = site_name(plant, facts.site) if facts.site else "the place"
    live = {service for row in facts.beside for service in row.services}
    first = f"Nothing live is recorded at {place}."
    if live:
        first = f"LIVE at {place}, do not disturb: {names(plant, in_order(plant, live))}."
    call = f" Call {plant.job.emergency_call}." if plant.job.emergency_call else ""
    return first, (
        f"Never look into a fibre. Measure dark before you touch or cut.{call} "
        "Shards, gas, heights, traffic, power: local codes and licensed practice first."
    )


def _go(plant: Plant, facts: Facts, x: float, y: float, width: float, least: float = 0.0) -> Block:
    """Where to go, in letters that can be read by torch light; at least ``least`` high."""
    site = plant.sites.get(facts.site)
    found = facts.located
    head = f"GO TO {site.name}" if site else "NO PLACE KNOWN YET"
    lines: list[tuple[str, bool]] = []
    if found is not None:
        low, high = found.band
        lines.append((f"Mark {found.mark} on {found.cable_name} ({low} to {high})", True))
        lines.append((found.nearest.words, False))
    if site is not None:
        lines += [(word, False) for word in (site.place, site.access) if word]
        lines += [(word, False) for word in _slack(plant, facts)]
    shown = [(line, b) for text, b in lines for line in _lines(text, width - 6.0, b, 2)][:7]
    high_mm = max(10.0 + PITCH * len(shown) + 1.0, least)
    parts: list[Part] = [
        Rect(x, y, width, high_mm, style.CAUTION),
        Text(x + 3.0, y + 7.0, shorten(head, width - 6.0, style.H_TITLE, "bold"), style.H_TITLE, "bold"),
    ]
    parts += [Text(x + 3.0, y + 11.5 + PITCH * i, line, weight=_weight(b)) for i, (line, b) in enumerate(shown)]
    return Block(Group(tuple(parts), role="go"), Box(x, y, width, high_mm))


def _slack(plant: Plant, facts: Facts) -> list[str]:
    """The coils at the place on the cable of the reading."""
    if facts.located is None:
        return []
    cable = plant.cables[facts.located.cable]
    stop = next((stop for stop in cable.stops if stop.site == facts.site), None)
    if stop is None or not (stop.coil_in_m or stop.coil_out_m):
        return []
    return [f"Slack: {stop.coil_in_m:g} m toward exchange, {stop.coil_out_m:g} m toward field"]


def _ticket(plant: Plant, facts: Facts, x: float, y: float, width: float) -> Block:
    report = facts.report
    lines: list[tuple[str, bool]] = []
    since = f", since {report.since}" if report.since else ""
    lines.append((f"{report.number or 'No ticket number'}{since}", True))
    lines.append((f"Down ({len(report.down)}): {names(plant, in_order(plant, report.down), 9)}", True))
    lines.append((f"Up ({len(report.up)}): {names(plant, in_order(plant, report.up), 9) or 'nobody measured'}", False))
    if facts.not_asked:
        lines.append((f"Not measured: {names(plant, facts.not_asked, 6)}", False))
    if report.note:
        lines.append((report.note, False))
    shown = [(line, b) for text, b in lines for line in _lines(text, width - 4.0, b, 3)][:8]
    high_mm = 6.0 + PITCH * len(shown) + 1.5
    parts: list[Part] = [
        Rect(x, y, width, 6.0, Pen(None, style.W_THIN, style.HARDWARE)),
        Text(x + 1.4, y + (6.0 + style.H_LABEL) / 2, "TICKET", style.H_LABEL, "bold"),
        Rect(x, y, width, high_mm, style.TABLE_OUTLINE),
    ]
    parts += [Text(x + 2.0, y + 9.8 + PITCH * i, line, weight=_weight(b)) for i, (line, b) in enumerate(shown)]
    return Block(Group(tuple(parts), role="ticket"), Box(x, y, width, high_mm))


def _test_lines(plant: Plant, facts: Facts) -> list[tuple[str, bool]]:
    """The statement, what is cleared, and the next test with what each result would mean, suspects by their numbers."""
    said = facts.answer.statement
    cleared = [c for c in facts.answer.cleared if c.contradicted_by and len(c.explains) == len(facts.answer.down)]
    widest = [c for c in cleared if c.element.kind == "sheath"][:1] or cleared[:1]
    if widest:
        more = f"; {len(cleared) - 1} more likewise" if len(cleared) > 1 else ""
        said += f" Cleared: {widest[0].element.words}, {widest[0].why}{more}."
    lines: list[tuple[str, bool]] = [(said, False)]
    if facts.answer.pair is not None:
        lines.append((f"Best pair: {facts.answer.pair.reason}", True))
    if facts.answer.next_tests:
        test = facts.answer.next_tests[0]
        lines.append((f"Next test: {test.words}.", True))
        numbers = {s.element.key: str(n) for n, s in enumerate(listed(facts), 1)}
        shown = []
        for outcome in test.outcomes:
            found = [numbers.get(part.key, part.words) for part in outcome.suspects]
            shown.append(f"{outcome.result}: {'suspect ' + ' or '.join(found) if found else NONE_OF_THEM}")
        lines.append((f"Results: {'; '.join(shown)}.", False))
    return lines


def _foot_lines(
    plant: Plant, facts: Facts, path: tuple[PathDescription, PowerClass | None] | None
) -> list[tuple[str, bool]]:
    job = plant.job
    bring = materials(plant, facts)
    last = job.revisions[-1] if job.revisions else None
    record = " ".join(w for w in (job.drawing_no, f"rev {last.letter}, {last.date}" if last else "no revision") if w)
    words = f"Record: {record}, {job.status}."
    weak = weakest(path[0]) if path else []
    if weak:
        hop, evidence = weak[0]
        words += f" Weakest on this path: {hop_words(hop)}, {evidence_words(evidence)}."
    levels = " Levels are planned, weakest to strongest launch; within 2 dB is as planned." if path and path[1] else ""
    return [*([(bring, False)] if bring else []), (close_out(plant, facts), False), (words + levels, False)]


def _words(lines: Sequence[tuple[str, bool]], x: float, y: float, width: float, most: int) -> Block:
    """Sentences under each other, wrapped to at most ``most`` lines each."""
    shown = [(line, b) for text, b in lines for line in _lines(text, width, b, most)]
    parts = tuple(
        Text(x, y + style.H_LABEL + 0.4 + PITCH * i, line, weight=_weight(b)) for i, (line, b) in enumerate(shown)
    )
    return Block(Group(parts, role="notes"), Box(x, y, width, PITCH * len(shown) - style.LINE_GAP + 0.6))


def _lines(text: str, width: float, is_bold: bool, most: int) -> list[str]:
    """A sentence in at most ``most`` lines; the last one says by an ellipsis that it goes on."""
    found = wrap(text, width, style.H_LABEL, _weight(is_bold))
    if len(found) > most:
        found = [*found[: most - 1], shorten(" ".join(found[most - 1 :]), width, style.H_LABEL, _weight(is_bold))]
    return found


def _weight(is_bold: bool) -> Weight:
    return "bold" if is_bold else "normal"
