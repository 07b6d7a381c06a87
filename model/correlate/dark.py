"""Dark fibres beside suspects, and where an OTDR shot into one would end for each of them.

Distances are metres of fibre from the end that is shot into, without launch lead: from an exchange port where the fibre
reaches one uncut by any splitter, else from the exchange-side end of its own piece.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from model.correlate.carried import services_in, source_of
from model.correlate.marks import Marks
from model.correlate.paths import at_exchange, paths_of
from model.correlate.words import tube_words
from model.entities import Cable, Port
from model.glass import Piece, fibre_m, fibre_per_sheath, opening_m
from model.graph import Continuity, Joint, end_node
from model.lists.naming import site_name
from model.lookup import cable_type, fibres_of, find_stop, passes, tube_of
from model.numbers import to_text
from model.plant import Plant
from model.trace import walk

MOST_CABLES = 4
"""Cables of the likeliest suspects whose dark fibres are looked at."""


@dataclass(frozen=True, slots=True)
class DarkShot:
    """A shot into any of ``fibres``, and by suspect (key) where it would end; ``whole`` where none of them is hurt.

    ``ends_m`` are the metres of fibre from the exchange port that each of these words stands for, if it is one.
    """

    words: str
    fibres: tuple[tuple[str, int], ...]
    ends: dict[str, str]
    whole: str
    from_exchange: bool
    ends_m: dict[str, tuple[float, float]]

    def result(self, key: str) -> str:
        """Where the shot ends if that suspect has failed."""
        return self.ends.get(key, self.whole)


def dark_shots(continuity: Continuity, seen: Marks, group: Sequence[str]) -> list[DarkShot]:
    """Shots into dark fibres that run through a suspect, those in the tubes of the likeliest suspects first."""
    shots: list[DarkShot] = []
    for cable, tubes in list(_cables(continuity, group).items())[:MOST_CABLES]:
        plant = continuity.plant
        held = plant.cables[cable]
        kind = cable_type(plant, held)
        others = [tube for tube in range(1, len(kind.tubes) + 1) if tube not in tubes]
        for tube in (*tubes, *others):
            alike: dict[tuple[int, int, tuple[str, ...]], list[Piece]] = {}
            for fibre in fibres_of(kind, tube):
                for piece in source_of(continuity).pieces(held)[fibre]:
                    hits = [key for key in paths_of(continuity).piece_keys(piece) if key in group]
                    if hits and _dark(continuity, seen, piece):
                        alike.setdefault((piece.first, piece.last, tuple(hits)), []).append(piece)
            shots += [_shot(continuity, held, tube, pieces, hits) for (_, _, hits), pieces in alike.items()]
    return shots


def _cables(continuity: Continuity, group: Sequence[str]) -> dict[str, list[int]]:
    """Cables of suspects with the tubes suspected in them, in the order of the suspects."""
    found: dict[str, list[int]] = {}
    for key in group:
        kind, rest = key.split("|", 1)
        if kind not in ("sheath", "tube", "tube_at", "fibre"):
            continue
        parts = rest.split("|", {"sheath": 0, "tube": 1, "fibre": 1, "tube_at": 2}[kind])
        cable, _ = find_stop(continuity.plant, parts[-1])
        tubes = found.setdefault(cable.id, [])
        if kind != "sheath":
            number = int(parts[-2])
            tube = tube_of(cable_type(continuity.plant, cable), number)[0] if kind == "fibre" else number
            if tube not in tubes:
                tubes.append(tube)
    return found


def _dark(continuity: Continuity, seen: Marks, piece: Piece) -> bool:
    cable = continuity.plant.cables[piece.cable]
    if f"fibre|{piece.fibre}|{cable.stops[piece.first].id}" in seen.hits:
        return False
    return not services_in(continuity, (piece,))


def _shot(continuity: Continuity, cable: Cable, tube: int, pieces: Sequence[Piece], hits: Sequence[str]) -> DarkShot:
    plant, piece = continuity.plant, pieces[0]
    lead, start, exchange = _from(continuity, cable, pieces)
    stops: dict[str, int] = {stop.id: index for index, stop in enumerate(cable.stops)}
    names = [site_name(plant, stop.site) for stop in cable.stops]
    ends: dict[str, str] = {}
    ends_m: dict[str, tuple[float, float]] = {}
    index = piece.last
    for key in paths_of(continuity).piece_keys(piece):
        kind, rest = key.split("|", 1)
        if kind in ("sheath", "tube"):
            index = stops[rest if kind == "sheath" else rest.split("|", 1)[1]]
            near, far = _reach(cable, plant, piece, index)[1], _reach(cable, plant, piece, index + 1)[0]
            said = f"ends between {names[index]} and {names[index + 1]}"
        else:
            index = stops[rest.split("|", 2)[2]] if kind == "tube_at" else index
            near, far = _reach(cable, plant, piece, index)
            said = f"ends at {names[index]}"
        if key in hits:
            ends[key] = said = said + _metres(lead, near, far)
            if exchange and lead is not None and near is not None and far is not None:
                ends_m[said] = lead + near, lead + far
    numbers = to_text(p.fibre for p in pieces)
    which = f"dark fibre{'s' * (len(pieces) > 1)} {numbers} of {tube_words(plant, cable, tube)}"
    fibres = tuple((p.cable, p.fibre) for p in pieces)
    return DarkShot(f"shoot {which} {start}", fibres, ends, f"passes to {names[piece.last]}", exchange, ends_m)


def _from(continuity: Continuity, cable: Cable, pieces: Sequence[Piece]) -> tuple[float | None, str, bool]:
    """(metres of fibre before these pieces begin, where they are shot from, whether that is an exchange)."""
    plant = continuity.plant
    lead: float | None = 0.0
    ports: list[Port] = []
    for place, piece in enumerate(pieces):
        above = walk(continuity.graph, end_node(piece.ends(cable)[0]), "outside")
        split = any(isinstance(s.by, Joint) and s.by.kind == "splitter" for s in above.steps)
        if split or not at_exchange(plant, above.end):
            return 0.0, f"from {site_name(plant, cable.stops[piece.first].site)}", False
        ports.append(plant.ports[above.end.rpartition("/")[0]])
        for step in above.steps if place == 0 else ():
            if isinstance(step.by, Piece):
                held = plant.cables[step.by.cable]
                metres = fibre_m(held, cable_type(plant, held), step.by)
                lead = None if lead is None or metres is None else lead + metres
    same = [port for port in ports if (port.site, port.panel) == (ports[0].site, ports[0].panel)]
    numbers = to_text(port.number for port in same)
    more = " and others" if len(same) < len(ports) else ""
    word = "port" if len(same) == 1 else "ports"
    return lead, f"from {word} {ports[0].panel}/{numbers} at {site_name(plant, ports[0].site)}{more}", True


def _reach(cable: Cable, plant: Plant, piece: Piece, index: int) -> tuple[float | None, float | None]:
    """Metres of fibre from a piece's exchange-side end to where it enters and leaves the enclosure of a stop."""
    if index <= piece.first:
        return 0.0, 0.0
    kind = cable_type(plant, cable)
    out = fibre_m(cable, kind, Piece(piece.cable, piece.fibre, piece.first, index))
    if out is None:
        return None, None
    stop = cable.stops[index]
    inside = (opening_m(stop) or 0.0) * fibre_per_sheath(kind) if passes(cable, index) else stop.tail_m
    return max(0.0, out - inside), out


def _metres(lead: float | None, near: float | None, far: float | None) -> str:
    if lead is None or near is None or far is None:
        return ""
    a, b = round(lead + near), round(lead + far)
    return f", {a} m of fibre" if b - a <= 1 else f", {a} to {b} m of fibre"
