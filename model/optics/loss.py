"""What each step of a light path costs, in dB by wavelength, and the running sums from the exchange outward.

Total loss is the plain sum of its steps: glass, splices, plugs, mated pairs and splitter legs (formula F7). The loss of
a step hangs on the step alone and not on its neighbours, so a path may be cut anywhere and walked either way. Lengths
are metres of fibre, never of sheath. Bends are a separate item (``model.optics.bend``); limits and classes are not
known here.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from model.entities import Cable, LegEnd
from model.errors import PlantError
from model.glass import Piece, fibre_m
from model.graph import Continuity, Joint, node_end, port_node
from model.lookup import cable_type, tube_of
from model.optics.readings import counted_db
from model.parts import CableType
from model.trace import Step, ways_on

WAVELENGTHS_NM = (1310, 1550)
"""The two wavelengths a budget is made for unless somebody asks for others."""


@dataclass(frozen=True, slots=True)
class StepLoss:
    """Loss of one step by wavelength in nm.

    ``length_m`` is fibre metres, 0 for a joint, ``None`` where a printed mark is missing. A wavelength whose loss is
    not known is left out of ``loss_db`` and ``unknown`` says why. ``measured`` holds the wavelengths whose figure is a
    measurement from both directions; the others are planned.
    """

    step: Step
    loss_db: Mapping[int, float]
    length_m: float | None = 0.0
    measured: frozenset[int] = frozenset()
    unknown: str = ""


@dataclass(frozen=True, slots=True)
class Stage:
    """A step with what has been lost from the exchange end up to and including it.

    ``at_m`` is the fibre metres from the exchange end to the far end of the step, ``None`` once a length is unknown;
    a wavelength is left out of ``sum_db`` once a loss is unknown.
    """

    loss: StepLoss
    sum_db: Mapping[int, float]
    at_m: float | None


def ideal_split_db(ways: int) -> float:
    """Loss of a perfect equal splitter into ``ways``: 10 log10 N dB (formula F12). Raises PlantError below 1."""
    if ways < 1:
        raise PlantError(f"a splitter into {ways} ways is none", hint="Count its output legs")
    return 10 * math.log10(ways)


def attenuation_db_per_km(kind: CableType, wavelength_nm: int) -> float:
    """Attenuation of a cable type: as given, else on the straight line between its two neighbouring wavelengths.

    Raises PlantError for a wavelength outside the given ones: attenuation there is not for guessing.
    """
    given = sorted(kind.attenuation)
    for nm, db in given:
        if nm == wavelength_nm:
            return db
    for (low_nm, low_db), (high_nm, high_db) in pairwise(given):
        if low_nm < wavelength_nm < high_nm:
            return low_db + (wavelength_nm - low_nm) / (high_nm - low_nm) * (high_db - low_db)
    have = f"It is given for {', '.join(str(nm) for nm, _ in given)} nm" if given else "None is given"
    raise PlantError(f"{kind.title} has no attenuation at {wavelength_nm} nm", hint=f"{have}; add it to the cable type")


def _legs_connector_counted(continuity: Continuity, port: str) -> bool:
    """True when a splitter leg whose figure includes its connectors is plugged into either face of the port."""
    if not continuity.plant.splitters:
        return False
    for face in (port_node(port, "rear"), port_node(port, "front")):
        for other, by in ways_on(continuity.graph, face, "outside"):
            if isinstance(by, Joint) and by.kind == "plug" and _includes_connectors(continuity, other):
                return True
    return False


def _includes_connectors(continuity: Continuity, node: str) -> bool:
    if node.endswith(("<", ">")):  # the end of a fibre, as nearly always
        return False
    end = node_end(node)
    if not isinstance(end, LegEnd):
        return False
    plant = continuity.plant
    return plant.splitter_types[plant.splitters[end.splitter].type].connectors_included


GlassLosses = dict[tuple[str, int, int, int], tuple[dict[int, float], float | None, str]]
"""(loss by wavelength, metres, what is unknown) by cable, first stop, last stop and tube (0 where no cut matters).

May be shared by many paths, as long as plant and wavelengths stay the same.
"""


def _glass_figures(
    continuity: Continuity, piece: Piece, wavelengths_nm: Sequence[int], memo: GlassLosses | None
) -> tuple[dict[int, float], float | None, str]:
    """``_glass`` of a piece, worked out once for all that are equally long."""
    plant = continuity.plant
    cable = plant.cables[piece.cable]
    kind = cable_type(plant, cable)
    # Fibres of one tube are cut at one place, so they are equally long; where the cable is uncut all its fibres are.
    cut = piece.first > 0 or piece.last < len(cable.stops) - 1
    key = (piece.cable, piece.first, piece.last, tube_of(kind, piece.fibre)[0] if cut else 0)
    found = memo.get(key) if memo is not None else None
    if found is None:
        found = _glass(cable, kind, piece, wavelengths_nm)
        if memo is not None:
            memo[key] = found
    return found


def _glass(
    cable: Cable, kind: CableType, piece: Piece, wavelengths_nm: Sequence[int]
) -> tuple[dict[int, float], float | None, str]:
    """(loss by wavelength, fibre metres, what is unknown) of a piece of glass."""
    length_m = fibre_m(cable, kind, piece)
    if length_m is None:
        return {}, None, f"the length of {cable.name} is not known: a printed mark is missing"
    loss_db: dict[int, float] = {}
    unknown = ""
    for nm in wavelengths_nm:
        try:
            loss_db[nm] = length_m / 1000.0 * attenuation_db_per_km(kind, nm)
        except PlantError as error:
            unknown = unknown or error.message
    return loss_db, length_m, unknown


def _joint_db(continuity: Continuity, step: Step, joint: Joint) -> float:
    """Loss of a plug, a pair or a way through a splitter, the same at every wavelength.

    A splitter whose figure includes its connectors was measured from connector to connector. The port such a leg is
    plugged into then costs no pair, and its plug no pigtail splice; every other port on the path counts in full.
    """
    plant = continuity.plant
    if joint.kind == "plug":
        if any(_includes_connectors(continuity, node) for node in (step.start, step.end)):
            return 0.0
        return plant.matings[joint.id].pigtail_db or 0.0
    if joint.kind == "pair":
        return 0.0 if _legs_connector_counted(continuity, joint.id) else plant.ports[joint.id].pair_db
    legs = [end for end in (node_end(step.start), node_end(step.end)) if isinstance(end, LegEnd) and end.role == "out"]
    return plant.splitter_types[plant.splitters[legs[0].splitter].type].legs_db[legs[0].number - 1]


def step_loss(continuity: Continuity, step: Step, wavelengths_nm: Sequence[int] = WAVELENGTHS_NM) -> StepLoss:
    """Loss of one step. What cannot be known is left out and said in ``unknown``; nothing is raised for it."""
    by = step.by
    if isinstance(by, Piece):
        glass_db, length_m, unknown = _glass_figures(continuity, by, wavelengths_nm, None)
        return StepLoss(step, glass_db, length_m, unknown=unknown)
    if by.kind == "splice":
        splice = continuity.plant.splices[by.id]
        if not splice.measured:
            return StepLoss(step, dict.fromkeys(wavelengths_nm, splice.planned_db))
        found = {nm: counted_db(splice, nm) for nm in wavelengths_nm}
        measured = frozenset(nm for nm, (_, truly) in found.items() if truly)
        return StepLoss(step, {nm: db for nm, (db, _) in found.items()}, measured=measured)
    loss_db = _joint_db(continuity, step, by)
    return StepLoss(step, dict.fromkeys(wavelengths_nm, loss_db))


def path_losses(
    continuity: Continuity, steps: Iterable[Step], wavelengths_nm: Sequence[int] = WAVELENGTHS_NM
) -> tuple[StepLoss, ...]:
    """Loss of every step of a path, in the order given."""
    return tuple(step_loss(continuity, step, wavelengths_nm) for step in steps)


def total_db(losses: Iterable[StepLoss], wavelengths_nm: Sequence[int] = WAVELENGTHS_NM) -> dict[int, float]:
    """Sum of what is known, by wavelength; a lower bound if any step has something unknown."""
    kept = tuple(losses)
    return {nm: math.fsum(loss.loss_db.get(nm, 0.0) for loss in kept) for nm in wavelengths_nm}


def path_total(
    continuity: Continuity,
    steps: Iterable[Step],
    wavelengths_nm: Sequence[int] = WAVELENGTHS_NM,
    memo: GlassLosses | None = None,
) -> tuple[dict[int, float], float | None, list[str]]:
    """(``total_db``, metres or None, what is unknown) of a path: the same as from its ``path_losses``.

    For many paths: no record is made of a step that is plain glass or a splice nobody measured.
    """
    parts: dict[int, list[float]] = {nm: [] for nm in wavelengths_nm}
    flat: list[float] = []
    unknowns: list[str] = []
    length_m: float | None = 0.0
    splices = continuity.plant.splices
    for step in steps:
        by = step.by
        if not isinstance(by, Piece) and by.kind == "splice" and not splices[by.id].measured:
            flat.append(splices[by.id].planned_db)
            continue
        if isinstance(by, Piece):
            loss_db, metres, unknown = _glass_figures(continuity, by, wavelengths_nm, memo)
        else:
            loss = step_loss(continuity, step, wavelengths_nm)
            loss_db, metres, unknown = dict(loss.loss_db), loss.length_m, loss.unknown
        for nm, db in loss_db.items():
            parts[nm].append(db)
        length_m = None if length_m is None or metres is None else length_m + metres
        if unknown:
            unknowns.append(unknown)
    return {nm: math.fsum((*flat, *parts[nm])) for nm in wavelengths_nm}, length_m, unknowns


def outward(
    continuity: Continuity, steps: Sequence[Step], wavelengths_nm: Sequence[int] = WAVELENGTHS_NM
) -> tuple[Stage, ...]:
    """The loss table of a path whose ``steps`` run toward the exchange (as a trace has them), from there outward."""
    stages: list[Stage] = []
    sums = dict.fromkeys(wavelengths_nm, 0.0)
    at_m: float | None = 0.0
    for step in reversed(steps):
        loss = step_loss(continuity, step.reversed(), wavelengths_nm)
        sums = {nm: db + loss.loss_db[nm] for nm, db in sums.items() if nm in loss.loss_db}
        at_m = None if at_m is None or loss.length_m is None else at_m + loss.length_m
        stages.append(Stage(loss, sums, at_m))
    return tuple(stages)
