"""Details of what stands in a patch field: ports with both their sides, splitters with every leg, single legs."""

from __future__ import annotations

from gui.panels.detail_names import name_row
from gui.panels.detail_types import Details, Row, Section, rows
from gui.panels.gauge_data import Judged
from model.ids import SplitterId
from model.lists.legs import LegRow, leg_table
from model.lists.ports import port_table
from model.lists.source import Source
from render.columns import reach_words
from render.looks import ranges

STATE_WORDS = {"spliced": "spliced to", "patched": "in", "parked": "parked", "standby": "stands by", "idle": "loose"}


def port_details(document: Judged, name: str) -> Details:
    """A port: what is behind and in front of it, where each leads, who is on it."""
    plant = document.plant
    port = plant.table("ports")[name]
    row = next(
        r
        for r in port_table(Source(document.continuity), port.site)
        if (r.panel, r.number) == (port.panel, port.number)
    )
    behind = ", ".join(end.text for end in row.rear)
    front = ", ".join(end.text for end in row.front)
    pairs = [
        ("Kind", port.role),
        ("Behind", behind or "nothing"),
        ("Leads to", reach_words(row.reaches)),
        ("In front", front or ("nothing" if port.role == "panel" else "")),
        ("Comes from", reach_words(row.fed_by)),
        ("State", row.state),
        ("Class", port.power_class),
        ("Pair", f"{port.pair_db:.2f} dB"),
        ("Service", _few(row.services)),
    ]
    title = f"{port.panel} {port.number}"
    return Details(f"port:{name}", title, f"at {row.site}", None, (Section("", rows(*pairs)),))


def _few(names: tuple[str, ...]) -> str:
    """Names, or how many where they are many."""
    return ", ".join(names) if len(names) <= 4 else f"{len(names)} services"


def legs_of(document: Judged, name: str) -> list[LegRow]:
    """The legs of one splitter, inputs first."""
    splitter = document.plant.splitters[SplitterId(name)]
    rows_here = leg_table(Source(document.continuity), splitter.site)
    return [row for row in rows_here if row.splitter == splitter.name]


def count_words(legs: list[LegRow]) -> str:
    """``30 of 32 legs on, 2 parked``."""
    outs = [leg for leg in legs if leg.role == "out"]
    on = sum(leg.state in ("spliced", "patched") for leg in outs)
    parked = sum(leg.state == "parked" for leg in outs)
    loose = len(outs) - on - parked
    said = [f"{on} of {len(outs)} legs on", f"{parked} parked" if parked else "", f"{loose} loose" if loose else ""]
    return ", ".join(word for word in said if word)


def splitter_details(document: Judged, name: str) -> Details:
    """A splitter: its losses, what feeds it and what is on every leg."""
    plant = document.plant
    splitter = plant.splitters[SplitterId(name)]
    kind = plant.splitter_types[splitter.type]
    legs = legs_of(document, name)
    tray = plant.trays.get(splitter.tray) if splitter.tray else None
    parked = tuple(leg.number for leg in legs if leg.state == "parked")
    first = (
        name_row("splitters", splitter.id, splitter.name),
        *rows(
            ("Legs", count_words(legs)),
            ("Parked", ranges(parked)),
            ("Tray", tray.name if tray else ""),
            ("Loss", _losses(kind.legs_db)),
            ("Services", _few(tuple(dict.fromkeys(name for leg in legs for name in leg.services)))),
        ),
    )
    ins = tuple(leg_row(leg) for leg in legs if leg.role == "in")
    outs = tuple(leg_row(leg) for leg in legs if leg.role == "out")
    sections = (Section("", first), Section("Inputs" if len(ins) > 1 else "Input", ins), Section("Legs", outs))
    return Details(
        f"splitter:{name}", splitter.name, f"{kind.title} at {plant.sites[splitter.site].name}", None, sections
    )


def _losses(legs_db: tuple[float, ...]) -> str:
    """One loss for all legs, or each of an unequal tap."""
    if len(set(legs_db)) == 1:
        return f"{legs_db[0]:.1f} dB a leg"
    return ", ".join(f"leg {n} {loss:.1f} dB" for n, loss in enumerate(legs_db, start=1))


def leg_row(leg: LegRow) -> Row:
    """One leg in a line: what it is joined to, or its state."""
    label = f"{'Input' if leg.role == 'in' else 'Leg'} {leg.number}"
    words = f"{STATE_WORDS[leg.state]} {leg.to}".strip()
    services = _few(leg.services) if leg.role == "out" else ""
    return Row(label, ", ".join(word for word in (words, services) if word), label.lower())


def leg_details(document: Judged, name: str, last: str) -> Details | None:
    """One leg; None for a leg the splitter does not have."""
    role = "in" if last.startswith("in") else "out"
    number = last.removeprefix(role)
    leg = next((one for one in legs_of(document, name) if (one.role, str(one.number)) == (role, number)), None)
    if leg is None:
        return None
    pairs = [
        ("State", leg.state),
        ("Joined to", leg.to),
        ("Leads to", reach_words(leg.reaches)),
        ("Loss", "" if leg.planned_db is None else f"{leg.planned_db:.2f} dB planned"),
        ("Service", _few(leg.services)),
    ]
    title = f"{leg.splitter} {'input' if role == 'in' else 'leg'} {leg.number}"
    return Details(f"leg:{name}:{last}", title, f"at {leg.site}", None, (Section("", rows(*pairs)),))
