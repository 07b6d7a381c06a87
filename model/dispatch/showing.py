"""Which distance an OTDR would show for each thing that may have failed, and whether the reading taken agrees.

The way is walked from the end the instrument stood at, with its index and lead; shown metres throughout. A suspect a
reading excludes is no suspect any more, and the sheet says what it would have shown.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from model.correlate.next_tests import NextTest, Outcome
from model.errors import PlantError
from model.glass import fibre_per_sheath
from model.graph import Continuity
from model.lookup import cable_type, find_stop
from model.otdr.locate import Located
from model.otdr.reading import Reading
from model.otdr.walk import Launch, index_of, launch_of
from model.plant import Plant


@dataclass(frozen=True, slots=True)
class Showing:
    """What an element would show: between ``near_m`` and ``far_m``. ``off_m`` is how far the reading lies outside,
    0 inside, and ``fits`` whether that is within the error of the reading."""

    near_m: float
    far_m: float
    off_m: float
    fits: bool


def showings(
    continuity: Continuity, node: str, reading: Reading, located: Located, keys: tuple[str, ...]
) -> dict[str, Showing]:
    """By element key; an element that is not a stretch of glass on the way, or beyond a missing mark, is left out."""
    try:
        launch = launch_of(continuity, node, reading)
    except PlantError:
        return {}
    plant = continuity.plant
    kind = cable_type(plant, plant.cables[located.cable])
    error_m = max(located.near_m, located.far_m) * fibre_per_sheath(kind)
    found = {}
    for key in keys:
        reach = _reach(plant, launch, key)
        if reach is None:
            continue
        near, far = reach
        off = max(near - reading.shown_m, reading.shown_m - far, 0.0)
        found[key] = Showing(near, far, off, off <= error_m)
    return found


def tests_as_shown(
    continuity: Continuity, node: str, reading: Reading, tests: tuple[NextTest, ...]
) -> tuple[NextTest, ...]:
    """Tests whose results say what the instrument would show, set as for a reading from the exchange, in place of
    metres of fibre: nobody is to compare the two.

    The index is that of the first cable; cables differ by less than a metre in a kilometre.
    """
    if reading.from_end != "exchange" or reading.known is not None or reading.tail_m is not None:
        return tests
    try:
        launch = launch_of(continuity, node, reading)
    except PlantError:
        return tests
    per_m = launch.index_first / launch.index_set

    def said(outcome: Outcome) -> Outcome:
        if outcome.ends_m is None:
            return outcome
        near, far = (round((at + reading.lead_m) * per_m) for at in outcome.ends_m)
        shown = f"{near} m" if far - near <= 1 else f"{near} to {far} m"
        place = outcome.result.rpartition(", ")[0]  # what stood behind it were the metres of fibre
        return replace(outcome, result=f"{place}, {shown} as shown")

    return tuple(replace(test, outcomes=tuple(said(outcome) for outcome in test.outcomes)) for test in tests)


def _reach(plant: Plant, launch: Launch, key: str) -> tuple[float, float] | None:
    """(first, last) shown metres of an element along the way."""
    what, rest = key.split("|", 1)
    if what not in ("sheath", "tube", "tube_at"):
        return None
    cable, index = find_stop(plant, rest.rpartition("|")[2])
    at = (launch.reading.lead_m + launch.tail_m) * launch.index_first
    span = None
    for stretch in launch.way.stretches:
        if stretch.fibre_m is None:
            return None
        begin, at = at, at + stretch.fibre_m * index_of(plant, stretch.cable, launch)
        if stretch.cable.id != cable.id:
            continue
        if what in ("sheath", "tube") and stretch.kind == "span" and stretch.stop == index:
            return begin / launch.index_set, at / launch.index_set
        if what == "tube_at" and stretch.kind == "opening" and stretch.stop == index:
            return begin / launch.index_set, at / launch.index_set
        if what == "tube_at" and stretch.kind == "span" and stretch.stop + 1 == index:
            span = (begin if stretch.inward else at) / launch.index_set
    # A cable that ends there has no opening: the place is the end of its last span.
    return None if span is None else (span, span)
