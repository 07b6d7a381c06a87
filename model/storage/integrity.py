"""Is a plant whole? Every reference names something, every number counts something that is there.

This is about what the program needs to work at all, not about good practice (that is for the rules): a splice on a
fibre that is not cut, or that the cable lacks, is a finding; a splice on a cable that is not there is no plant. All
faults are found before anything is said; each has its path in the file. Slots, tubes, fibres, positions and legs count
from 1. Whole tables are looked at at once first, since nearly every one is good.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from operator import attrgetter
from typing import Any, Final

from model.colours import check_scheme
from model.entities import Cable, Enclosure, FibreEnd, GlassEnd, Route, Splice, Stop, Ticket, Tray
from model.errors import StorageError
from model.numbers import MOST, to_text
from model.parts import CableType, EnclosureType
from model.storage.leaves import all_clean, leaf_faults

Tables = Mapping[str, Sequence[Any]]
Fault = tuple[str, str]
"""Path in the file, and what is wrong there."""

SHOWN: Final = 20
"""Faults named in a message; the rest are counted."""

_REFERENCES: Final[Mapping[str, tuple[tuple[str, str], ...]]] = {
    "cable_types": (("tube_scheme", "schemes"), ("fibre_scheme", "schemes"), ("fibre_class", "fibre_classes")),
    "cables": (("type", "cable_types"),),
    "enclosures": (("site", "sites"), ("type", "enclosure_types")),
    "trays": (("enclosure", "enclosures"), ("type", "tray_types")),
    "routes": (("enclosure", "enclosures"), ("tray", "trays")),
    "splices": (("site", "sites"), ("tray", "trays")),
    "splitters": (("site", "sites"), ("type", "splitter_types"), ("tray", "trays")),
    "ports": (("site", "sites"),),
    "matings": (("port", "ports"),),
    "services": (("at", "ports"),),
}
"""Fields of each kind that hold the id of another entity, and of which kind; None stands for none."""


def check(tables: Tables) -> None:
    """Raise StorageError naming the faults of a plant, if it has any."""
    faults = list(Integrity(tables).faults())
    if not faults:
        return
    hint = "Correct it there, or restore the file from a copy"
    if len(faults) == 1:
        path, what = faults[0]
        raise StorageError(what, where=path, hint=hint)
    shown = "; ".join(f"{path} {what}" for path, what in faults[:SHOWN])
    more = f"; and {len(faults) - SHOWN} more" if len(faults) > SHOWN else ""
    raise StorageError(f"{len(faults)} faults: {shown}{more}", hint=hint)


def _short(value: object) -> str:
    text = repr(value)
    return text if len(text) <= 60 else f"{text[:60]}..."


class Integrity:
    """The entities of a plant by kind and id, and the faults found among them."""

    def __init__(self, tables: Tables) -> None:
        self.tables = tables
        self.by_id: dict[str, dict[str, Any]] = {name: {e.id: e for e in rows} for name, rows in tables.items()}
        self.stops: dict[str, tuple[Cable, int]] = {}
        self.entries: dict[str, set[str]] = {}
        for enclosure in tables["enclosures"]:
            kind = self.by_id["enclosure_types"].get(enclosure.type)
            names = {entry.name for entry in kind.entries} if kind else set()
            self.entries.setdefault(enclosure.site, set()).update(names)

    def faults(self) -> Iterator[Fault]:
        """Every fault, the plain ones first."""
        for table, rows in self.tables.items():
            if not self._plain(table, rows):
                yield from self._plain_faults(table, rows)
        for table, special in (
            ("jobs", self._job),
            ("schemes", self._scheme),
            ("cable_types", self._cable_type),
            ("enclosure_types", self._enclosure_type),
            ("cables", self._cable),
            ("enclosures", self._enclosure),
            ("trays", self._tray),
            ("splices", self._splice),
            ("routes", self._route),
            ("tickets", self._ticket),
        ):
            if table == "splices" and self._plain_splices():
                continue
            for index, entity in enumerate(self.tables[table]):
                yield from special(entity, f"$.{table}[{index}]")
        if self._plain_ends([mating.end for mating in self.tables["matings"]]):
            return
        for index, mating in enumerate(self.tables["matings"]):
            yield from self._end(mating.end, f"$.matings[{index}].end")

    def _plain(self, table: str, rows: Sequence[Any]) -> bool:
        """True when leaves, ids and references of a table are all good: found field by field, which is far quicker
        than row by row and is all that nearly every table needs."""
        by_id = self.by_id
        return (
            len(by_id[table]) == len(rows)
            and all(
                set(map(attrgetter(field), rows)) - {None} <= by_id[target].keys()
                for field, target in _REFERENCES.get(table, ())
            )
            and all_clean(rows)
        )

    def _plain_faults(self, table: str, rows: Sequence[Any]) -> Iterator[Fault]:
        seen: dict[str, int] = {}
        for index, entity in enumerate(rows):
            path = f"$.{table}[{index}]"
            yield from leaf_faults(entity, path)
            first = seen.setdefault(entity.id, index)
            if first != index:
                yield f"{path}.id", f"is {_short(entity.id)}, as $.{table}[{first}].id is already"
            for field, target in _REFERENCES.get(table, ()):
                yield from self._refers(getattr(entity, field), target, f"{path}.{field}")

    def _refers(self, value: str | None, target: str, path: str) -> Iterator[Fault]:
        if value is not None and value not in self.by_id[target]:
            yield path, f"is {_short(value)}, which is not in {target}"

    def _job(self, job: Any, path: str) -> Iterator[Fault]:
        if job.id != "job":
            yield f"{path}.id", f"is {_short(job.id)}; the one job has the id 'job'"
        if job.profile != "default":
            yield from self._refers(job.profile, "profiles", f"{path}.profile")

    def _scheme(self, scheme: Any, path: str) -> Iterator[Fault]:
        for what in check_scheme(scheme):
            yield path, f"is no colour scheme: {what}"

    def _cable_type(self, kind: CableType, path: str) -> Iterator[Fault]:
        if not _countable(kind):
            yield f"{path}.tubes", f"must hold 1 to {MOST} fibres, at least one in each tube"

    def _enclosure_type(self, kind: EnclosureType, path: str) -> Iterator[Fault]:
        for index, tray in enumerate(kind.trays):
            yield from self._refers(tray, "tray_types", f"{path}.trays[{index}]")
        yield from _repeated([entry.name for entry in kind.entries], f"{path}.entries", "name")
        yield from _repeated([place.number for place in kind.tray_positions], f"{path}.tray_positions", "number")

    def _cable(self, cable: Cable, path: str) -> Iterator[Fault]:
        if len(cable.stops) < 2:
            yield f"{path}.stops", f"holds {len(cable.stops)} stops; a cable has at least two"
        kind = self.by_id["cable_types"].get(cable.type)
        for index, stop in enumerate(cable.stops):
            at = f"{path}.stops[{index}]"
            if stop.id in self.stops:
                other = self.stops[stop.id][0]
                yield f"{at}.id", f"is {_short(stop.id)}, as a stop of cable {_short(other.id)} is already"
            else:
                self.stops[stop.id] = (cable, index)
            yield from self._refers(stop.site, "sites", f"{at}.site")
            for field in ("entry_in", "entry_out"):
                entry = getattr(stop, field)
                if entry and entry not in self.entries.get(stop.site, ()):
                    yield f"{at}.{field}", f"is {_short(entry)}, which no enclosure at the site has"
            if kind is not None and _countable(kind):
                yield from self._glass_at(cable, index, stop, kind, at)

    def _glass_at(self, cable: Cable, index: int, stop: Stop, kind: CableType, at: str) -> Iterator[Fault]:
        if stop.tubes and not 0 < index < len(cable.stops) - 1:
            yield f"{at}.tubes", "has work on tubes, but the cable ends here and does not pass"
        yield from _repeated([work.tube for work in stop.tubes], f"{at}.tubes", "tube")
        for number, work in enumerate(stop.tubes):
            if not 1 <= work.tube <= len(kind.tubes):
                yield f"{at}.tubes[{number}].tube", f"is {work.tube}; the cable has tubes 1-{len(kind.tubes)}"
                continue
            first = sum(kind.tubes[: work.tube - 1]) + 1
            inside = range(first, first + kind.tubes[work.tube - 1])
            strange = tuple(fibre for fibre in work.cut if fibre not in inside)
            if strange:
                what = f"names {to_text(strange[:9])}; tube {work.tube} has fibres {inside[0]}-{inside[-1]}"
                yield f"{at}.tubes[{number}].cut", what
            if any(a >= b for a, b in zip(work.cut, work.cut[1:], strict=False)):
                yield f"{at}.tubes[{number}].cut", "does not rise from fibre to fibre"
        for number, stored in enumerate(stop.stored):
            here = f"{at}.stored[{number}]"
            yield from self._refers(stored.tray, "trays", f"{here}.tray")
            yield from _side(cable, index, stored.side, f"{here}.side")
            yield from _fibres(stored.fibres, kind.fibre_count, f"{here}.fibres", "fibres")

    def _enclosure(self, enclosure: Enclosure, path: str) -> Iterator[Fault]:
        kind = self.by_id["enclosure_types"].get(enclosure.type)
        names = {entry.name for entry in kind.entries} if kind else set(enclosure.plugged)
        for index, entry in enumerate(enclosure.plugged):
            if entry not in names:
                yield f"{path}.plugged[{index}]", f"is {_short(entry)}, which the enclosure type does not have"

    def _tray(self, tray: Tray, path: str) -> Iterator[Fault]:
        enclosure = self.by_id["enclosures"].get(tray.enclosure)
        kind = self.by_id["enclosure_types"].get(enclosure.type) if enclosure else None
        if kind and tray.position not in {place.number for place in kind.tray_positions}:
            yield f"{path}.position", f"is {tray.position}, which the enclosure type does not have"
        if tray.reserve < 0:
            yield f"{path}.reserve", f"is {tray.reserve}; the slots kept free count from 0"

    def _splice(self, splice: Splice, path: str) -> Iterator[Fault]:
        yield from self._end(splice.a, f"{path}.a")
        yield from self._end(splice.b, f"{path}.b")
        if splice.slot is None:
            return
        if splice.tray is None:
            yield f"{path}.slot", f"is {splice.slot}, but the splice is on no tray"
            return
        tray = self.by_id["trays"].get(splice.tray)
        kind = self.by_id["tray_types"].get(tray.type) if tray else None
        if kind and not 1 <= splice.slot <= MOST:
            yield f"{path}.slot", f"is {splice.slot}; the tray has slots 1-{kind.slots}"

    def _plain_splices(self) -> bool:
        """True when ``_splice`` has nothing to say about any splice: each pair of tray and slot is asked about once."""
        splices = self.tables["splices"]
        places = {(splice.tray, splice.slot): splice for splice in splices}.values()
        ends = [end for splice in splices for end in (splice.a, splice.b)]
        return self._plain_ends(ends) and not any(fault for splice in places for fault in self._splice(splice, ""))

    def _plain_ends(self, ends: Sequence[GlassEnd]) -> bool:
        """True when ``_end`` has nothing to say about any of these: ends that differ only by fibre are asked about
        once, since every number up to ``MOST`` may stand in a file."""
        fibres = [end for end in ends if isinstance(end, FibreEnd)]
        asked: dict[tuple[str, str, str], GlassEnd] = {(end.cable, end.stop, end.side): end for end in fibres}
        numbers = list(map(attrgetter("fibre"), fibres))
        if numbers and not 1 <= min(numbers) <= max(numbers) <= MOST:
            return False
        legs = [end for end in ends if not isinstance(end, FibreEnd)]
        return not any(fault for end in (*asked.values(), *legs) for fault in self._end(end, ""))

    def _route(self, route: Route, path: str) -> Iterator[Fault]:
        tubes = 0
        for index, stop in enumerate(route.stops):
            if stop not in self.stops:
                yield f"{path}.stops[{index}]", f"is {_short(stop)}, which no cable has"
                continue
            kind = self.by_id["cable_types"].get(self.stops[stop][0].type)
            tubes = max(tubes, len(kind.tubes) if kind else MOST)
        if route.stops:
            yield from _fibres(route.tubes, tubes or MOST, f"{path}.tubes", "tubes")

    def _ticket(self, ticket: Ticket, path: str) -> Iterator[Fault]:
        for field in ("down", "up"):
            for index, service in enumerate(getattr(ticket, field)):
                yield from self._refers(service, "services", f"{path}.{field}[{index}]")
        both = sorted(set(ticket.down) & set(ticket.up))
        if both:
            yield f"{path}.up", f"holds {_short(both[0])}, which is down as well"
        for index, shot in enumerate(ticket.shots):
            yield from self._end(shot.glass, f"{path}.shots[{index}].glass")

    def _end(self, end: GlassEnd, path: str) -> Iterator[Fault]:
        if not isinstance(end, FibreEnd):
            splitter = self.by_id["splitters"].get(end.splitter)
            if splitter is None:
                yield f"{path}[1]", f"is {_short(end.splitter)}, which is not in splitters"
                return
            kind = self.by_id["splitter_types"].get(splitter.type)
            legs = 0 if kind is None else kind.inputs if end.role == "in" else len(kind.legs_db)
            if kind and not 1 <= end.number <= legs:
                yield f"{path}[3]", f"is {end.number}; the splitter has {end.role} 1-{legs}"
            return
        cable = self.by_id["cables"].get(end.cable)
        if cable is None:
            yield f"{path}[1]", f"is {_short(end.cable)}, which is not in cables"
            return
        kind = self.by_id["cable_types"].get(cable.type)
        # A schedule row with a fibre the cable lacks opens and is judged: a person mends it better in the plant.
        if kind and not 1 <= end.fibre <= MOST:
            yield f"{path}[2]", f"is {end.fibre}; the cable has fibres 1-{kind.fibre_count}"
        owner, index = self.stops.get(end.stop, (None, 0))
        if owner is None or owner.id != end.cable:
            yield f"{path}[3]", f"is {_short(end.stop)}, which is no stop of cable {_short(end.cable)}"
        else:
            yield from _side(cable, index, end.side, f"{path}[4]")


def _countable(kind: CableType) -> bool:
    return bool(kind.tubes) and min(kind.tubes) >= 1 and sum(kind.tubes) <= MOST


def _side(cable: Cable, index: int, side: str, path: str) -> Iterator[Fault]:
    """A side of a stop has glass only if the cable has a further stop on that side."""
    if (side == "<" and index == 0) or (side == ">" and index == len(cable.stops) - 1):
        which = "first" if side == "<" else "last"
        yield path, f"is {side!r} at the {which} stop, where the cable has no glass on that side"


def _fibres(numbers: tuple[int, ...], count: int, path: str, what: str) -> Iterator[Fault]:
    strange = tuple(number for number in numbers if not 1 <= number <= count)
    if strange:
        yield path, f"names {to_text(strange[:9])}; the cable has {what} 1-{count}"
    if len(set(numbers)) != len(numbers):
        yield path, "names a number twice"


def _repeated(values: Sequence[object], path: str, field: str) -> Iterator[Fault]:
    seen: set[object] = set()
    for index, value in enumerate(values):
        if value in seen:
            yield f"{path}[{index}].{field}", f"is {_short(value)} a second time"
        seen.add(value)
