"""One light path in plain data: every hop with its names, colours, place on the tray, length and loss, and both ends.

Hops run from the field end to the exchange, as a trace does: ``ends[0]`` is the field end and ``ends[-1]`` the exchange
end. ``cum_m`` and ``cum_db`` add up in that order, up to and including the hop; ``at_m`` and ``at_db`` add up from the
exchange outward, up to and including the hop, as a loss table is read. Lengths are metres, loss is dB by wavelength
in nm. The command line and the path sheet tell the same story because both read this; nothing here is drawn.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Literal

from model.entities import Evidence, LegEnd, Splice
from model.glass import Piece, sheath_m
from model.graph import Continuity, node_end
from model.lookup import cable_type, tube_of
from model.nodes import site_of
from model.optics.loss import WAVELENGTHS_NM, StepLoss, step_loss, total_db
from model.optics.readings import estimate_db, read_at, times_made
from model.plant import Plant
from model.trace import EndKind, Step, Trace
from render.hopwords import end_words, node_words, site_name, tray_words
from render.looks import fibre_look, tube_look
from render.passing import Part, Passing, parts_between, passings
from render.refs import fibre_ref, port_ref, splice_ref

_ASSUMED = Evidence()
HopKind = Literal["pair", "plug", "pigtail", "glass", "splice", "splitter"]


@dataclass(frozen=True, slots=True)
class Hop:
    """One step of a path. What a kind of hop does not have is empty, ``None`` or 0.

    ``kind``: a mated pair, a plug (connector fitted to the glass), a pigtail (plug with its splice), glass, a splice,
    or the way through a splitter. ``site`` is where the hop stands; glass begins there, seen from the field end, and
    goes to ``to``. ``passes`` and ``parts`` split glass at the places it passes, in the order of the path.
    """

    kind: HopKind
    site: str
    site_id: str
    to: str = ""
    to_id: str = ""
    cable: str = ""
    cable_id: str = ""
    tube: int | None = None
    tube_colour: str = ""
    fibre: int | None = None
    fibre_colour: str = ""
    position: int | None = None
    tray: str = ""
    slot: int | None = None
    panel: str = ""
    port: int | None = None
    splitter: str = ""
    ways: str = ""
    done: bool = True
    ref: str = ""
    length_m: float | None = 0.0
    sheath_m: float | None = None
    loss_db: Mapping[int, float] = field(default_factory=dict)
    measured: frozenset[int] = frozenset()
    cum_m: float | None = 0.0
    cum_db: Mapping[int, float] = field(default_factory=dict)
    at_m: float | None = 0.0
    at_db: Mapping[int, float] = field(default_factory=dict)
    unknown: str = ""
    evidence: Evidence = _ASSUMED
    passes: tuple[Passing, ...] = ()
    parts: tuple[Part, ...] = ()
    splice: Splice | None = None
    """The record of a splice: what was planned, read, by whom and when."""


@dataclass(frozen=True, slots=True)
class PathDescription:
    """A whole path. ``start`` says in words what was traced; ``unknown`` what could not be known of length or loss.

    ``loss_db`` is the plain sum of what is known, ``length_m`` the fibre metres, ``None`` if any is missing.
    """

    start: str
    hops: tuple[Hop, ...]
    ends: tuple[str, str]
    kinds: tuple[EndKind, EndKind]
    end_sites: tuple[str, str]
    loss_db: Mapping[int, float]
    length_m: float | None
    unknown: tuple[str, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """Plain values with sorted meaning: wavelengths become text keys, metres get 3 decimals and dB 4."""
        return {
            "from": self.start,
            "hops": [_hop_json(hop) for hop in self.hops],
            "ends": list(self.ends),
            "end_kinds": list(self.kinds),
            "loss_db": _db_json(self.loss_db),
            "length_m": _metres(self.length_m),
            "unknown": list(self.unknown),
        }


def describe(continuity: Continuity, traced: Trace, wavelengths_nm: Sequence[int] = WAVELENGTHS_NM) -> PathDescription:
    """Describe a trace at the given wavelengths. What is not known is left out and said in ``unknown``."""
    losses = [step_loss(continuity, step, wavelengths_nm) for step in traced.steps]
    outward = _running(tuple(reversed(losses)), wavelengths_nm)[::-1]
    inward = _running(losses, wavelengths_nm)
    hops = []
    for loss, (cum_m, cum_db), (at_m, at_db) in zip(losses, inward, outward, strict=True):
        hop = _hop(continuity, loss.step)
        hops.append(
            replace(
                hop,
                length_m=loss.length_m,
                loss_db=dict(loss.loss_db),
                measured=loss.measured,
                unknown=loss.unknown,
                cum_m=cum_m,
                cum_db=cum_db,
                at_m=at_m,
                at_db=at_db,
            )
        )
    return PathDescription(
        start=node_words(continuity.plant, traced.start),
        hops=tuple(hops),
        ends=(
            end_words(continuity, traced.field, traced.field_kind),
            end_words(continuity, traced.exchange, traced.exchange_kind),
        ),
        kinds=(traced.field_kind, traced.exchange_kind),
        end_sites=(site_of(continuity.plant, traced.field), site_of(continuity.plant, traced.exchange)),
        loss_db=total_db(losses, wavelengths_nm),
        length_m=inward[-1][0] if inward else 0.0,
        unknown=tuple(dict.fromkeys(loss.unknown for loss in losses if loss.unknown)),
    )


def _running(losses: Sequence[StepLoss], wavelengths_nm: Sequence[int]) -> list[tuple[float | None, dict[int, float]]]:
    """(metres, dB by wavelength) up to and including each step; gone once something is unknown."""
    at_m: float | None = 0.0
    sums = dict.fromkeys(wavelengths_nm, 0.0)
    found: list[tuple[float | None, dict[int, float]]] = []
    for loss in losses:
        at_m = None if at_m is None or loss.length_m is None else at_m + loss.length_m
        sums = {nm: db + loss.loss_db[nm] for nm, db in sums.items() if nm in loss.loss_db}
        found.append((at_m, sums))
    return found


def _hop(continuity: Continuity, step: Step) -> Hop:
    plant, by = continuity.plant, step.by
    if isinstance(by, Piece):
        return _glass_hop(plant, step, by)
    site_id = site_of(plant, step.start)
    site = site_name(plant, site_id)
    if by.kind == "splice":
        splice = plant.splices[by.id]
        tray = plant.trays[splice.tray].name if splice.tray and splice.tray in plant.trays else ""
        done = splice.status in ("done", "existing")
        return Hop(
            "splice",
            site,
            site_id,
            tray=tray,
            slot=splice.slot,
            done=done,
            ref=splice_ref(splice.id),
            evidence=splice.evidence,
            splice=splice,
        )
    if by.kind == "splitter":
        legs = [end for end in (node_end(step.end), node_end(step.start)) if isinstance(end, LegEnd)]
        splitter = plant.splitters[legs[0].splitter]
        ways = ", ".join(f"{'input' if leg.role == 'in' else 'leg'} {leg.number}" for leg in legs)
        tray = plant.trays[splitter.tray].name if splitter.tray and splitter.tray in plant.trays else ""
        return Hop("splitter", site, site_id, tray=tray, splitter=splitter.name, ways=ways, evidence=splitter.evidence)
    port = plant.ports[by.id if by.kind == "pair" else plant.matings[by.id].port]
    hop = Hop("pair", site, site_id, panel=port.panel, port=port.number, ref=port_ref(port.id), evidence=port.evidence)
    if by.kind == "pair":
        return hop
    mating = plant.matings[by.id]
    return replace(hop, kind="plug" if mating.pigtail_db is None else "pigtail", evidence=mating.evidence)


def _glass_hop(plant: Plant, step: Step, piece: Piece) -> Hop:
    cable = plant.cables[piece.cable]
    kind = cable_type(plant, cable)
    tube, position = tube_of(kind, piece.fibre)
    inward = step.start.endswith("<")
    crossed, parts = tuple(passings(plant, cable, piece)), tuple(parts_between(plant, cable, piece))
    first, last = cable.stops[piece.first].site, cable.stops[piece.last].site
    start, end = (last, first) if inward else (first, last)
    return Hop(
        "glass",
        site_name(plant, start),
        start,
        to=site_name(plant, end),
        to_id=end,
        cable=cable.name,
        cable_id=cable.id,
        tube=tube,
        tube_colour=tube_look(plant, cable, tube).words,
        fibre=piece.fibre,
        fibre_colour=fibre_look(plant, cable, piece.fibre).words,
        position=position,
        ref=fibre_ref(cable.id, piece.fibre),
        sheath_m=sheath_m(cable, kind, piece),
        evidence=cable.evidence,
        passes=crossed[::-1] if inward else crossed,
        parts=parts[::-1] if inward else parts,
    )


def weakest(description: PathDescription) -> list[tuple[Hop, Evidence]]:
    """The hops whose record is known least: assumed before inherited before verified, then the oldest date first."""
    order = {"assumed": 0, "inherited": 1, "verified": 2}
    known = [(hop, hop.evidence) for hop in description.hops]
    if not known:
        return []
    least = min(order[evidence.kind] for _, evidence in known)
    return sorted((pair for pair in known if order[pair[1].kind] == least), key=lambda pair: pair[1].date)


def evidence_words(evidence: Evidence) -> str:
    """How well a record is known: ``verified 2025-10-14 TW``, ``assumed``."""
    return " ".join(word for word in (evidence.kind, evidence.date, evidence.by) if word)


def hop_words(hop: Hop) -> str:
    """A hop in a few words, as a row of a table names it."""
    if hop.kind == "glass":
        return f"{hop.cable}:{hop.fibre}"
    if hop.kind in ("pair", "plug", "pigtail"):
        what = {"pair": "Pair", "plug": "Plug", "pigtail": "Pigtail splice"}[hop.kind]
        return f"{what} {hop.site}, {hop.panel} {hop.port}"
    if hop.kind == "splitter":
        return f"{hop.splitter} {hop.site}, {hop.ways}"
    place = f", {tray_words(hop.tray)}" if hop.tray else ""
    return f"Splice {hop.site}{place}" + (f" slot {hop.slot}" if hop.slot is not None else "")


def _metres(value: float | None) -> float | None:
    return None if value is None else round(value, 3)


def _db_json(values: Mapping[int, float]) -> dict[str, float]:
    return {str(nm): round(db, 4) for nm, db in sorted(values.items())}


def _hop_json(hop: Hop) -> dict[str, Any]:
    plain: dict[str, Any] = {
        name: getattr(hop, name) or None
        for name in ("kind", "site", "to", "cable", "tube", "tube_colour", "fibre", "fibre_colour", "position", "tray")
    }
    plain |= {name: getattr(hop, name) or None for name in ("slot", "panel", "port", "splitter", "ways", "unknown")}
    plain |= {name: _metres(getattr(hop, name)) for name in ("length_m", "sheath_m", "cum_m", "at_m")}
    plain |= {name: _db_json(getattr(hop, name)) for name in ("loss_db", "cum_db", "at_db")}
    plain["measured_nm"] = sorted(hop.measured)
    plain["evidence"] = {"kind": hop.evidence.kind, "date": hop.evidence.date, "by": hop.evidence.by}
    plain["passes"] = [
        {"site": p.site, "state": p.state, "tray": p.tray or None, "mark_in_m": p.mark_in_m, "mark_out_m": p.mark_out_m}
        for p in hop.passes
    ]
    plain["splice"] = None if hop.splice is None else _splice_json(hop.splice)
    return plain


def _splice_json(splice: Splice) -> dict[str, Any]:
    """The record of a splice beside what it is planned with; ``mean_db`` only where both directions were read."""
    estimate = estimate_db(splice.measured)
    return {
        "status": splice.status,
        "planned_db": round(splice.planned_db, 4),
        "mean_db": {str(a.wavelength_nm): round(a.mean_db, 4) for a in read_at(splice) if a.mean_db is not None},
        "readings": [
            {"nm": r.wavelength_nm, "direction": r.direction, "loss_db": round(r.loss_db, 4), "sealed": r.sealed}
            for r in splice.measured
            if r.direction != "estimate"
        ],
        "estimate_db": None if estimate is None else round(estimate, 4),
        "times_made": times_made(splice),
        "by": splice.done_by,
        "date": splice.done_on,
    }
