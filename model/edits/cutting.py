"""Opening tubes and cutting fibres at a passing stop, and taking that back while it is only planned.

Cutting splits a piece of glass in two; taking a cut back joins the two halves to one piece again. Neither loses a fibre
or a metre. A fibre whose cut ends are joined to something cannot be made whole.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

from model.changes import Draft
from model.entities import Cable, FibreEnd, Stop, TubeWork
from model.errors import EditError
from model.ids import CableId, StopId
from model.lookup import cut_fibres, fibres_of, passes, tube_of, work_on
from model.numbers import to_text
from model.parts import CableType


def passing_stop(draft: Draft, cable_id: str, stop_id: str) -> tuple[Cable, CableType, int, Stop]:
    """(cable, type, stop index, stop) where the sheath passes; raises EditError otherwise."""
    cable = draft.plant.cables.get(cable_id)
    if cable is None:
        raise EditError(f"there is no cable {cable_id!r}", hint="Add the cable first")
    for index, stop in enumerate(cable.stops):
        if stop.id == stop_id:
            if not passes(cable, index):
                raise EditError(
                    f"{cable.name} ends there, so every fibre of it is an end already", hint="Join it as it is"
                )
            return cable, draft.plant.cable_types[cable.type], index, stop
    raise EditError(f"{cable.name} does not stop there", hint="Choose one of its stops")


def require_fibres(cable: Cable, kind: CableType, fibres: Iterable[int]) -> None:
    """Raises EditError for a fibre the cable lacks."""
    count = kind.fibre_count
    beyond = sorted(fibre for fibre in fibres if not 1 <= fibre <= count)
    if beyond:
        raise EditError(f"{cable.name} has {count} fibres, not {to_text(beyond)}", hint=f"It has fibres 1-{count}")


def require_tubes(cable: Cable, kind: CableType, tubes: Iterable[int]) -> None:
    """Raises EditError for a tube the cable lacks."""
    count = len(kind.tubes)
    beyond = sorted(tube for tube in tubes if not 1 <= tube <= count)
    if beyond:
        raise EditError(f"{cable.name} has {count} tubes, not {to_text(beyond)}", hint=f"It has tubes 1-{count}")


def put_stop(draft: Draft, cable: Cable, index: int, stop: Stop) -> None:
    """Replace one stop of a cable in the draft."""
    draft.put(replace(cable, stops=(*cable.stops[:index], stop, *cable.stops[index + 1 :])))


def with_work(stop: Stop, work: TubeWork) -> Stop:
    """The stop with one tube's work set, tubes in order."""
    others = [w for w in stop.tubes if w.tube != work.tube]
    return replace(stop, tubes=tuple(sorted([*others, work], key=lambda w: w.tube)))


def forget_stored(stop: Stop, fibres: set[int], side: Literal["", "<", ">"] | None = None) -> Stop:
    """The stop without storage records of these fibres (on one side, or any)."""
    kept = []
    for record in stop.stored:
        if side is not None and record.side != side:
            kept.append(record)
            continue
        rest = tuple(f for f in record.fibres if f not in fibres)
        if rest:
            kept.append(replace(record, fibres=rest))
    return replace(stop, stored=tuple(kept))


def used_ends(draft: Draft) -> dict[FibreEnd, str]:
    """Every fibre end that a splice or a plug uses, with the id of what uses it."""
    used: dict[FibreEnd, str] = {}
    for splice in draft.plant.splices.values():
        for end in (splice.a, splice.b):
            if isinstance(end, FibreEnd):
                used[end] = splice.id
    for mating in draft.plant.matings.values():
        if isinstance(mating.end, FibreEnd):
            used[mating.end] = mating.id
    return used


@dataclass(frozen=True, slots=True)
class OpenTubes:
    """Open tubes at a passing stop without cutting a fibre; tubes open or cut already are left as they are."""

    cable: CableId
    stop: StopId
    tubes: tuple[int, ...]
    name: str = "open tubes"

    def write(self, draft: Draft) -> None:
        """Write into the draft."""
        cable, kind, index, stop = passing_stop(draft, self.cable, self.stop)
        require_tubes(cable, kind, self.tubes)
        for tube in self.tubes:
            if work_on(stop, tube) is None:
                stop = with_work(stop, TubeWork(tube, "opened"))
        put_stop(draft, cable, index, stop)


@dataclass(frozen=True, slots=True)
class CutFibres:
    """Cut fibres at a passing stop, opening their tubes; fibres cut already stay cut."""

    cable: CableId
    stop: StopId
    fibres: tuple[int, ...]
    name: str = "cut fibres"

    def write(self, draft: Draft) -> None:
        """Write into the draft."""
        cable, kind, index, stop = passing_stop(draft, self.cable, self.stop)
        require_fibres(cable, kind, self.fibres)
        by_tube: dict[int, set[int]] = {}
        for fibre in self.fibres:
            by_tube.setdefault(tube_of(kind, fibre)[0], set()).add(fibre)
        for tube, fibres in by_tube.items():
            work = work_on(stop, tube) or TubeWork(tube, "opened")
            if work.state == "opened":
                stop = with_work(stop, replace(work, cut=tuple(sorted({*work.cut, *fibres}))))
        put_stop(draft, cable, index, forget_stored(stop, set(self.fibres), ""))


@dataclass(frozen=True, slots=True)
class CutTubes:
    """Cut whole tubes at a passing stop: every fibre of them gets two ends."""

    cable: CableId
    stop: StopId
    tubes: tuple[int, ...]
    name: str = "cut tubes"

    def write(self, draft: Draft) -> None:
        """Write into the draft."""
        cable, kind, index, stop = passing_stop(draft, self.cable, self.stop)
        require_tubes(cable, kind, self.tubes)
        for tube in self.tubes:
            fibres = fibres_of(kind, tube)
            work = work_on(stop, tube) or TubeWork(tube, "cut")
            stop = forget_stored(with_work(stop, replace(work, state="cut", cut=())), set(fibres), "")
        put_stop(draft, cable, index, stop)


@dataclass(frozen=True, slots=True)
class MakeWhole:
    """Take planned cuts back: the fibres pass uncut again (their tube stays open).

    Raises EditError while an end of one of them is joined or plugged there.
    """

    cable: CableId
    stop: StopId
    fibres: tuple[int, ...]
    name: str = "leave uncut"

    def write(self, draft: Draft) -> None:
        """Write into the draft."""
        cable, kind, index, stop = passing_stop(draft, self.cable, self.stop)
        require_fibres(cable, kind, self.fibres)
        wanted = set(self.fibres)
        joined = sorted(
            end.fibre
            for end in used_ends(draft)
            if end.stop == stop.id and end.cable == cable.id and end.fibre in wanted
        )
        if joined:
            text = to_text(dict.fromkeys(joined))
            raise EditError(
                f"{cable.name}:{text} is joined here", hint=f"Take it apart first: part {cable.name}:{text}"
            )
        for tube in {tube_of(kind, fibre)[0] for fibre in self.fibres}:
            work = work_on(stop, tube)
            if work is None:
                continue
            cut = set(fibres_of(kind, tube) if work.state == "cut" else work.cut) - wanted
            stop = with_work(stop, replace(work, state="opened", cut=tuple(sorted(cut))))
        stop = forget_stored(forget_stored(stop, wanted, "<"), wanted, ">")
        put_stop(draft, cable, index, stop)


@dataclass(frozen=True, slots=True)
class KeepTubes:
    """Let tubes pass express (unopened) at a stop; raises EditError while one of their fibres is cut here."""

    cable: CableId
    stop: StopId
    tubes: tuple[int, ...]
    name: str = "keep tubes uncut"

    def write(self, draft: Draft) -> None:
        """Write into the draft."""
        cable, kind, index, stop = passing_stop(draft, self.cable, self.stop)
        require_tubes(cable, kind, self.tubes)
        cut = cut_fibres(kind, stop)
        for tube in self.tubes:
            here = sorted(cut & set(fibres_of(kind, tube)))
            if here:
                raise EditError(
                    f"fibres {to_text(here)} of tube {tube} are cut here",
                    hint="Leave them uncut first, or open the tube",
                )
        stop = replace(stop, tubes=tuple(w for w in stop.tubes if w.tube not in self.tubes))
        fibres = {f for tube in self.tubes for f in fibres_of(kind, tube)}
        put_stop(draft, cable, index, forget_stored(stop, fibres))
