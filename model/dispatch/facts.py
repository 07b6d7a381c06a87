"""Everything that goes on a fault sheet, as facts: who is down, what it may be, where, whom not to touch, the cure.

Correlation, location and repair are others' work; here their answers are put together and held against each other.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from model.correlate.carried import pieces_in, services_in
from model.correlate.elements import Element
from model.correlate.prior import sites_of
from model.correlate.suspects import Answer, Suspect, suspects
from model.dispatch.beside import Beside, beside
from model.dispatch.mending import names
from model.dispatch.repair import Repair, repairs
from model.dispatch.rolls import Spare, broken_pieces, spares_for
from model.dispatch.showing import Showing, showings, tests_as_shown
from model.entities import Shot, Ticket
from model.graph import Continuity, end_node
from model.ids import CableId
from model.lookup import find_stop
from model.numbers import natural, to_text
from model.otdr.locate import Located, locate
from model.otdr.reading import LaunchEnd, Reading
from model.plant import Plant
from model.tickets import shown_m
from model.trace import service_node

MOST_NAMES = 12
"""Services named in what closes a ticket."""


@dataclass(frozen=True, slots=True)
class Report:
    """What was called in: a ticket's number and time, who is down and up, and a reading on a path, if one was taken.

    ``node`` is a node of the continuity graph on the path that was measured.
    """

    number: str = ""
    since: str = ""
    down: tuple[str, ...] = ()
    up: tuple[str, ...] = ()
    node: str = ""
    reading: Reading | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class SpareRow:
    """Spare fibres that could take some services over, alike but for their numbers."""

    spare: Spare
    fibres: tuple[int, ...]
    services: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Facts:
    """The facts of one fault.

    ``kept`` are the suspects that the reading does not exclude, ``excluded`` the others; without a reading all are
    kept. ``showing`` holds what each would show, by element key. ``target`` is the suspect to look at first, ``site``
    where: empty where nothing says so. ``node`` is the path that is written out. ``not_asked`` are live services on
    what the suspects hold that nobody reported on.
    """

    report: Report
    answer: Answer
    located: Located | None
    showing: dict[str, Showing]
    kept: tuple[Suspect, ...]
    excluded: tuple[Suspect, ...]
    target: Suspect | None
    site: str
    node: str
    beside: tuple[Beside, ...]
    spares: tuple[SpareRow, ...]
    repairs: tuple[Repair, ...]
    not_asked: tuple[str, ...]


def facts_of(continuity: Continuity, report: Report) -> Facts:
    """Put the facts together. Raises PlantError for what ``suspects`` and ``locate`` refuse."""
    plant = continuity.plant
    answer = suspects(continuity, report.down, report.up)
    located = None
    showing: dict[str, Showing] = {}
    if report.reading is not None and report.node:
        located = locate(continuity, report.node, report.reading)
        keys = tuple(s.element.key for s in answer.suspects)
        showing = showings(continuity, report.node, report.reading, located, keys)
        tests = tests_as_shown(continuity, report.node, report.reading, answer.next_tests)
        answer = replace(answer, next_tests=tests)
    kept, excluded, target, site = narrowed(plant, answer, showing, located)
    failed = pieces_in(continuity, target.element.key) if target else ()
    return Facts(
        report,
        answer,
        located,
        showing,
        kept,
        excluded,
        target,
        site,
        report.node or (service_node(continuity, report.down[0]) if report.down else ""),
        beside(continuity, site, report.down) if site else (),
        _spares(continuity, report.down, target.element) if target else (),
        repairs(continuity, target.element, report.down) if target else (),
        tuple(
            s
            for s in services_in(continuity, failed)
            if s not in report.down and s not in report.up and plant.services[s].status == "live"
        ),
    )


def narrowed(
    plant: Plant, answer: Answer, showing: dict[str, Showing], located: Located | None
) -> tuple[tuple[Suspect, ...], tuple[Suspect, ...], Suspect | None, str]:
    """(suspects kept, those the reading excludes, the one to look at first, the site) as ``Facts`` has them."""
    kept = tuple(s for s in answer.top if _fits(s, showing))
    excluded = tuple(s for s in answer.top if not _fits(s, showing))
    # A reading that fits none of them speaks of another fault: then it clears nobody.
    likeliest = kept or answer.top
    if answer.pair is not None and not answer.single:
        # Of two faults at once a half of the best pair is gone to, not a part that explains as much alone.
        halves = (*answer.pair.first, *answer.pair.second)
        likeliest = tuple(s for s in halves if _fits(s, showing)) or halves
    target = _first(likeliest, showing) if answer.suspects else None
    return kept, excluded, target, _site(plant, target, located)


def report_of(ticket: Ticket) -> Report:
    """What a ticket kept in the plant says, with its last reading."""
    shot = ticket.shots[-1] if ticket.shots else None
    node = end_node(shot.glass) if shot is not None else ""
    reading = reading_of(shot) if shot is not None else None
    return Report(ticket.number, ticket.since, ticket.down, ticket.up, node, reading, ticket.note)


def reading_of(shot: Shot) -> Reading:
    """A shot of a ticket as the reading that is located."""
    side: LaunchEnd = "exchange" if shot.from_side == "<" else "field"
    return Reading(shown_m(shot), shot.index, shot.lead_m, from_end=side, wavelength_nm=shot.wavelength_nm)


def close_out(plant: Plant, facts: Facts) -> str:
    """What the ticket has to say before it is closed: who is back, and which dark fibres were tested again."""
    mended = next((one for one in facts.repairs if one.dark), None)
    back = names(plant, sorted(facts.report.down, key=lambda s: natural(plant.services[s].name)), MOST_NAMES)
    words = f"Close with: {back} back"
    if mended is not None:
        words += f", dark {plant.cables[CableId(mended.cable)].name}:{to_text(mended.dark)} tested again"
    return f"{words}; marks, joints, traces, photos recorded."


def _fits(suspect: Suspect, showing: dict[str, Showing]) -> bool:
    found = showing.get(suspect.element.key)
    return found is None or found.fits


def _first(found: Sequence[Suspect], showing: dict[str, Showing]) -> Suspect | None:
    """The one to look at first: of those the reading fits the ones inside a box, where it is quickest to look, and of
    those the nearest; else as they are ranked."""
    fitting = [s for s in found if s.element.key in showing]
    if not fitting:
        return found[0] if found else None
    return min(fitting, key=lambda s: (s.element.kind != "tube_at", showing[s.element.key].off_m))


def _site(plant: Plant, target: Suspect | None, located: Located | None) -> str:
    """Where to go: the box the suspect is in, else the site nearest to the reading, else an end of the suspect."""
    if target is not None and target.element.kind == "tube_at":
        cable, index = find_stop(plant, target.element.key.rpartition("|")[2])
        return cable.stops[index].site
    if located is not None:
        return located.nearest.site
    return next(iter(sites_of(plant, target.element.key)), "") if target else ""


def _spares(continuity: Continuity, down: Sequence[str], failed: Element) -> tuple[SpareRow, ...]:
    pieces = frozenset(pieces_in(continuity, failed.key))
    rows: dict[tuple[object, ...], tuple[Spare, list[int], list[str]]] = {}
    for one in broken_pieces(continuity, down, pieces):
        for spare in spares_for(continuity, one.piece, pieces):
            key = (spare.cable, spare.tube, spare.first, spare.last, bool(spare.port), spare.cut, spare.opens)
            _, fibres, services = rows.setdefault(key, (spare, [], []))
            if spare.fibre not in fibres:
                fibres.append(spare.fibre)
            services += [service for service in one.services if service not in services]
    by_end: dict[int, list[SpareRow]] = {}
    order = sorted(rows.values(), key=lambda row: (row[0].last, row[0].opens, row[0].cut, row[0].fibre))
    for spare, fibres, services in order:
        by_end.setdefault(spare.last, []).append(SpareRow(spare, tuple(sorted(fibres)), tuple(services)))
    # The best of every far end first, so that a short list still has one for everybody.
    ranked = [(rank, last, row) for last, group in by_end.items() for rank, row in enumerate(group)]
    return tuple(row for _, _, row in sorted(ranked, key=lambda one: one[:2]))
