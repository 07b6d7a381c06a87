"""The tables of a fault sheet: suspects, the reading converted, the path, whom not to disturb, spares, the cure.

Each takes how many rows it may have: a sheet of one page says the first ones and how many more there are. Words and
numbers come from the facts; nothing is judged here.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import ceil

from model.correlate.suspects import Suspect
from model.dispatch.beside import Beside
from model.dispatch.facts import Facts, SpareRow
from model.dispatch.repair import Repair
from model.graph import Continuity
from model.lists.naming import printed_mark
from model.lookup import cable_type, passes
from model.numbers import natural
from model.optics.classes import PowerClass
from model.optics.levels import level_after
from model.otdr.locate import Located
from model.plant import Plant
from render import style
from render.hops import PathDescription
from render.hopwords import site_name
from render.looks import fibre_look, ranges, tube_look
from render.sheets.path_way import Station, Way, way_of
from render.tableblock import Cell, Column, Table, bold
from render.text import shorten, text_width

Row = tuple[Cell | str, ...]
MOVES = 6
"""Rolled services named in one row."""
EXTRA = 1.5
"""Rows stand close: chips need just so much more than their lettering."""


@dataclass(frozen=True, slots=True)
class Caps:
    """How many rows each table may have, and ``lines`` each sentence. ``tight`` shortens what does not fit a line of a
    table instead of wrapping it."""

    suspects: int
    places: int
    beside: int
    spares: int
    lines: int = 4
    tight: bool = False


NAME_MM = 38.0
"""Room for the name of one service: a page has to hold a dozen of them."""


def names(plant: Plant, services: Sequence[str], most: int = 12) -> str:
    """Services by name, a very long one shortened, and how many more."""
    more = f" and {len(services) - most} more" if len(services) > most else ""
    return " ".join(shorten(plant.services[s].name, NAME_MM, style.H_LABEL) for s in services[:most]) + more


def in_order(plant: Plant, services: Iterable[str]) -> list[str]:
    """Services by their names, C2 before C10."""
    return sorted(services, key=lambda service: natural(plant.services[service].name))


def _more(rows: list[Row], most: int, columns: int, at: int = 0) -> tuple[Row, ...]:
    """The first rows, and a last one that says how many are left out."""
    if len(rows) <= most:
        return tuple(rows)
    kept = rows[: most - 1]
    words = [""] * columns
    words[at] = f"and {len(rows) - len(kept)} more"
    return (*kept, tuple(words))


def suspect_table(facts: Facts, width: float, most: int) -> Table:
    """What may have failed, those that the reading does not exclude first."""
    total = len(facts.answer.down) - len(facts.answer.unplaced)
    rows: list[Row] = []
    for number, suspect in enumerate(listed(facts), 1):
        look = bold(suspect.words) if suspect is facts.target else suspect.words
        against = str(len(suspect.contradicted_by))
        rows.append((str(number), look, f"{len(suspect.explains)} of {total}", against, _shows(facts, suspect)))
    if not rows:
        rows.append(
            ("", "no single fault explains it" if facts.answer.pair else "nothing recorded explains it", "", "", "")
        )
    columns = (
        Column("", "end"),
        Column("Suspect", grow=True),
        Column("down", "end"),
        Column("up", "end"),
        Column("would show"),
    )
    return Table(columns, _more(rows, most, 5, 1), width, "SUSPECTS", extra=EXTRA)


def listed(facts: Facts) -> list[Suspect]:
    """The suspects in the order of the sheet, which numbers them: those the reading does not exclude first."""
    return [*facts.kept, *facts.excluded] or list(facts.answer.suspects)


def _shows(facts: Facts, suspect: Suspect) -> str:
    found = facts.showing.get(suspect.element.key)
    if found is None:
        return "" if facts.located is None else "not on the path"
    near, far = f"{found.near_m:.0f}", f"{found.far_m:.0f}"
    shown = f"{near} m" if near == far else f"{near}-{far} m"
    return f"{shown}, fits" if found.fits else f"{shown}, EXCLUDED"


def reading_table(plant: Plant, facts: Facts, width: float) -> Table:
    """The reading as the instrument showed it, and step by step what it means."""
    found, reading = facts.located, facts.report.reading
    rows: list[Row] = []
    if found is None or reading is None:
        rows.append(("No reading yet", "measure, then draw this sheet anew"))
    else:
        index = reading.index
        real = reading.shown_m * (index or 1.0) / found.true_m if index else None
        at = f"n {index:.4f}" if index else "n of the cable"
        rows.append(("Shown", bold(f"{reading.shown_m:.0f} m, {at}, {reading.wavelength_nm} nm")))
        rows.append(("True", f"{found.true_m:.1f} m" + (f", n {real:.4f}" if real else "")))
        tail = found.true_m - reading.lead_m - found.fibre_m
        rows.append(("Fibre", f"{found.fibre_m:.1f} m, less lead {reading.lead_m:.0f}, tail {tail:.0f}"))
        rows.append(("Sheath", f"{found.sheath_m:.1f} m{_excess(plant, found)}"))
        rows.append((bold("Mark"), bold(f"{found.mark}, {found.band[0]} to {found.band[1]}")))
        rows.append((bold("Route"), bold(f"{found.route_m:.0f} m along the ground")))
    head = "OTDR, AS SHOWN AND CONVERTED"
    start = f"from the {found.from_end} end" if found else ""
    return Table((Column("Step"), Column(start, grow=True)), tuple(rows), width, head, extra=EXTRA)


def _excess(plant: Plant, found: Located) -> str:
    kind = cable_type(plant, plant.cables[found.cable])
    return f", excess {100 * kind.excess:.1f} ±{100 * kind.excess_tol:.1f} %"


def path_table(
    continuity: Continuity, path: PathDescription, entry: PowerClass | None, facts: Facts, width: float, most: int
) -> Table:
    """The path place by place from the exchange: glass, where it lies, mark, kilometre, level to expect."""
    plant = continuity.plant
    way = way_of(plant, path)
    nm = entry.down_nm if entry is not None and entry.down is not None else None
    rows = [_place(plant, way, index, entry, facts) for index in range(len(way.stations))]
    columns = (
        Column("Place"),
        Column("Tube"),
        Column("Fibre"),
        Column("Where it lies", grow=True),
        Column("Mark", "end"),
        Column("km", "end"),
        Column(f"{nm} nm, dBm" if nm else "level", "end"),
    )
    at = next((i for i, station in enumerate(way.stations) if station.site_id == facts.site), len(rows) // 2)
    kept = about(rows, at, most)
    return Table(columns, kept, width, _path_head(continuity.plant, path, facts), extra=EXTRA)


def _path_head(plant: Plant, path: PathDescription, facts: Facts) -> str:
    """What path it is: the one measured, else that of the first service down."""
    what = "MEASURED" if facts.located is not None else f"OF {names(plant, facts.report.down[:1])}"
    return f"PATH {what}: {path.ends[1]} to {path.ends[0]}"


def about(rows: list[Row], at: int, most: int) -> tuple[Row, ...]:
    """Both ends of a list that is too long and what is nearest to ``at``, with a row for each run that is left out."""
    kept = {0, len(rows) - 1, at}
    for index in sorted(range(len(rows)), key=lambda i: (abs(i - at), i)):
        if len(_with_gaps(rows, kept | {index})) <= most:
            kept.add(index)
    return tuple(_with_gaps(rows, kept))


def _with_gaps(rows: list[Row], kept: set[int]) -> list[Row]:
    found: list[Row] = []
    last = -1
    for index in sorted(kept):
        if index - last > 1:
            left = index - last - 1
            found.append((f"{left} more place{'s' * (left > 1)}", *[""] * (len(rows[0]) - 1)))
        found.append(rows[index])
        last = index
    return found


def _place(plant: Plant, way: Way, index: int, entry: PowerClass | None, facts: Facts) -> Row:
    station = way.stations[index]
    span = way.spans[index] if index < len(way.spans) else way.spans[-1] if way.spans else None
    if station.hops and index and index == len(way.stations) - 1 and way.spans:
        span = way.spans[-1]
    elif index and way.spans and not station.uncut:
        span = way.spans[index - 1]  # a joint is named by the glass that comes to it
    tube: Cell | str = ""
    fibre: Cell | str = ""
    marks = ""
    if span is not None:
        cable = plant.cables[span.hop.cable_id]
        tube = tube_look(plant, cable, span.hop.tube or 1).cell()
        fibre = fibre_look(plant, cable, span.hop.fibre or 1).cell()
        marks = _marks(plant, span.hop.cable_id, station.site_id)
    where = "; ".join((*station.lines[:1], *(word for word in station.loud if word != "UNCUT")))
    if station.uncut == 1:
        where = f"UNCUT, {where}"
    km = "?" if station.at_m is None else f"{station.at_m / 1000:.3f}"
    name = bold(station.name) if station.site_id == facts.site else station.name
    return (name, tube, fibre, where, marks, km, _level(station, entry))


def _marks(plant: Plant, cable_id: str, site: str) -> str:
    cable = plant.cables[cable_id]
    for index, stop in enumerate(cable.stops):
        if stop.site == site:
            found = [printed_mark(cable, mark) for mark in (stop.mark_in_m, stop.mark_out_m) if mark is not None]
            both = passes(cable, index) and len(found) == 2
            return "/".join(f"{mark:.0f}" for mark in (found if both else found[:1]))
    return ""


def _level(station: Station, entry: PowerClass | None) -> str:
    """What a meter would show there going down, weakest to strongest launch; empty where nobody can say."""
    if entry is None or entry.down is None or entry.down_nm not in station.at_db:
        return ""
    level = level_after(entry.down, station.at_db[entry.down_nm])
    return "" if level is None else f"{level.weakest_dbm:.1f} to {level.strongest_dbm:.1f}"


def beside_table(plant: Plant, facts: Facts, width: float, most: int) -> Table:
    """Live glass at the place, tube by tube."""
    rows: list[Row] = [_beside(plant, row) for row in facts.beside]
    if not rows:
        rows.append(("", "nothing live", "is recorded here", ""))
    place = site_name(plant, facts.site) if facts.site else "THE PLACE"
    columns = (Column("Tube"), Column("Fibres"), Column("Where", grow=True), Column("Live"))
    return Table(columns, _more(rows, most, 4, 2), width, f"DO NOT DISTURB, LIVE AT {place}", extra=EXTRA)


def longest_name_mm(plant: Plant, facts: Facts) -> float:
    """Width of the longest name that must not be disturbed."""
    live = {service for row in facts.beside for service in row.services}
    return max((text_width(plant.services[s].name, style.H_LABEL, "bold") for s in live), default=0.0)


def _beside(plant: Plant, row: Beside) -> Row:
    cable = plant.cables[row.cable]
    several = f"{cable.name} " if len(plant.cables) > 1 and len(cable_type(plant, cable).tubes) == 1 else ""
    return (
        tube_look(plant, cable, row.tube).cell(),
        f"{several}{ranges(row.fibres)}",
        row.where,
        bold(names(plant, row.services, 4 if len(row.services) < 5 else 2)),
    )


def spare_table(plant: Plant, facts: Facts, width: float, most: int) -> Table:
    """Dark fibres that reach as far, with both their ends."""
    rows: list[Row] = [_spare(plant, row) for row in facts.spares]
    if not rows:
        rows.append(("", "", "none that reaches as far", ""))
    columns = (Column("Tube"), Column("Fibres"), Column("From, to", grow=True), Column("for"))
    return Table(columns, _more(rows, most, 4, 2), width, "SPARES FOR A ROLL, FAR ENDS TRACED", extra=EXTRA)


def _spare(plant: Plant, row: SpareRow) -> Row:
    spare = row.spare
    cable = plant.cables[spare.cable]
    near, far = (site_name(plant, cable.stops[index].site) for index in (spare.first, spare.last))
    if spare.port:
        port = plant.ports[spare.port]
        # Ports numbered as the fibres are need not be said one by one; the first speaks for the rest.
        near = f"{port.panel} {ranges(row.fibres)}" if port.number == spare.fibre else f"{near} {port.panel}"
    end = f"{far}, stub"
    if spare.cut:
        end = f"{far}, open T{spare.tube}, cut" if spare.opens else f"{far}, cut there"
    look = tube_look(plant, cable, spare.tube).cell()
    return (look, ranges(row.fibres), f"{near} to {end}", names(plant, row.services, 3))


def repair_table(plant: Plant, facts: Facts, width: float) -> Table:
    """Ways to mend it, ranked, each with what it costs."""
    rows: list[Row] = []
    for number, one in enumerate(facts.repairs, 1):
        bridge = f"{one.bridge_m:.1f} m" if one.bridge_m is not None else ""
        what = _repair(plant, one)
        if facts.not_asked and not one.moves:
            what = f"{what}; FIRST ASK {names(plant, facts.not_asked, 3)}, not measured"
        rows.append((str(number), what, str(one.splices), bridge, _slots(one), _margin(plant, one)))
    if not rows:
        drop = facts.target is not None and facts.target.element.kind == "drop"
        words = "mend or change the drop" if drop else "no glass to mend: change or clean the part"
        rows.append(("", words, "", "", "", ""))
    columns = (
        Column("", "end"),
        Column("Repair", grow=True),
        Column("splices", "end"),
        Column("bridge", "end"),
        Column("tray room"),
        Column("least margin"),
    )
    return Table(columns, tuple(rows), width, "REPAIR, RANKED", extra=EXTRA)


def _repair(plant: Plant, one: Repair) -> str:
    if one.moves:
        moved = [f"{names(plant, services, 2)} {old} to {new}" for services, old, new in one.moves]
        more = f" and {len(moved) - MOVES} more" if len(moved) > MOVES else ""
        dark = f"; {len(one.left_dark)} stay dark" if one.left_dark else ""
        return f"roll {', '.join(moved[:MOVES])}{more}{dark}"
    return one.proposal.name + (", no shortening: live beside" if one.beside else "")


def _slots(one: Repair) -> str:
    if one.way in ("new box", "rejoin"):
        return "new trays"
    if not one.rooms and not one.short:
        return "same slots"
    words = ", ".join(f"{room.words}: {room.used + room.taken} of {room.slots}" for room in one.rooms[:2])
    return f"{words}, {one.short} MISSING" if one.short else words


def _margin(plant: Plant, one: Repair) -> str:
    known = [m for m in one.margins if m.before_db is not None and m.after_db is not None]
    if not known:
        return "no class"
    worst = min(known, key=lambda m: m.after_db or 0.0)
    return f"{worst.before_db:.1f} to {worst.after_db:.1f} dB, {plant.services[worst.service].name}"


def materials(plant: Plant, facts: Facts) -> str:
    """What to bring for the repair that takes most, in a sentence; a tenth more sleeves than joints."""
    if not facts.repairs:
        return ""
    most = max(facts.repairs, key=lambda one: one.splices)
    parts = [f"{ceil(most.splices * 1.1 - 1e-9)} sleeves{_sleeve(plant, most)}"]
    if most.bridge_m is not None:
        parts.append(f"{most.bridge_m:.1f} m bridging tube {len(most.fibres)} F")
    if most.way in ("new box", "rejoin"):
        parts.append("box with trays and seals")
    else:
        parts.append("seals of the box")
    reading = facts.report.reading
    parts.append("OTDR 1550 and 1625 nm" + (f" with {reading.lead_m:.0f} m lead" if reading and reading.lead_m else ""))
    parts += ["power meter", "clip-on identifier", "cleaning kit", "side-shield glasses", "shard box"]
    return "Bring: " + ", ".join(parts) + "."


def _sleeve(plant: Plant, one: Repair) -> str:
    tray = plant.trays.get(one.rooms[0].tray) if one.rooms else None
    kind = plant.tray_types.get(tray.type) if tray else None
    return f" of {tray.sleeve_mm or kind.sleeve_mm:.0f} mm" if tray and kind else ""
