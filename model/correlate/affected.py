"""Who goes dark when an element fails or is cut, before work and after a fault; and whom opening trays would disturb.

Uncut glass counts: an express tube in a cut sheath goes with it. A service with a standby feed goes dark only when
every one of its ways is hit; otherwise it is said to have lost one.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from model.correlate.carried import nodes_in, pieces_in, services_by_piece, services_in, services_on
from model.correlate.elements import Element, element
from model.correlate.named import parts_of
from model.correlate.one_place import splices_on
from model.correlate.paths import Arm, paths_of
from model.errors import PlantError
from model.glass import Piece
from model.graph import Continuity, end_node
from model.line.names import natural
from model.lookup import enclosures_at, find_stop, trays_of
from model.plant import Plant


@dataclass(frozen=True, slots=True)
class FibreRun:
    """Fibres of one cable, ascending. ``dark`` are those of them that carry nobody."""

    cable: str
    fibres: tuple[int, ...]
    dark: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Affected:
    """What fails with some elements, in ids.

    ``services`` go dark; ``standby`` lose a way and keep another. ``fibres`` is the glass that lies in the elements,
    lit and dark. ``beyond`` is glass elsewhere and ``ports`` are ports that lose their light, from there to the
    customers; ``exchange`` are the exchange ports that lose somebody.
    """

    elements: tuple[Element, ...]
    services: tuple[str, ...]
    standby: tuple[str, ...]
    fibres: tuple[FibreRun, ...]
    beyond: tuple[FibreRun, ...]
    ports: tuple[str, ...]
    exchange: tuple[str, ...]


def affected(continuity: Continuity, failed: Element | Sequence[Element]) -> Affected:
    """Who goes dark when these elements fail together. Services not ceased count, live and planned."""
    elements = (failed,) if isinstance(failed, Element) else tuple(failed)
    keys = tuple(dict.fromkeys(part for item in elements for part in parts_of(continuity, item.key)))
    paths, plant = paths_of(continuity), continuity.plant
    pieces = tuple(dict.fromkeys(piece for key in keys for piece in pieces_in(continuity, key)))
    cut = frozenset(keys)
    services: list[str] = []
    standby: list[str] = []
    for service in _by_name(plant, _near(continuity, keys, pieces)):
        every, some = paths.hit(service, cut)
        if every:
            services.append(service)
        elif some:
            standby.append(service)
    arms = [arm for service in services for arm in paths.arms(service)]
    lost = dict.fromkeys(key for arm in arms for key in arm[: _reach(arm, cut)])
    held = {(piece.cable, piece.fibre) for piece in pieces}
    beyond = {fibre for key in lost if key.startswith("fibre|") and (fibre := _fibre(plant, key)) not in held}
    own = {f"port|{plant.services[service].at}" for service in services}
    return Affected(
        elements,
        tuple(services),
        tuple(standby),
        tuple(_runs(continuity, pieces)),
        tuple(FibreRun(cable, tuple(sorted(n for c, n in beyond if c == cable))) for cable in _cables(plant, beyond)),
        tuple(key.split("|", 1)[1] for key in dict.fromkeys((*lost, *own)) if key.startswith("port|")),
        tuple(dict.fromkeys(arm[-1].split("|", 1)[1] for arm in arms if arm[-1].startswith("port|"))),
    )


def _by_name(plant: Plant, services: Iterable[str]) -> list[str]:
    return sorted(set(services), key=lambda s: (natural(plant.services[s].name), s))


def _near(continuity: Continuity, keys: Iterable[str], pieces: Iterable[Piece]) -> Iterator[str]:
    """Services that may run through elements: those on their glass, and on legs and ports of theirs."""
    yield from services_in(continuity, pieces)
    for key in keys:
        for node in nodes_in(continuity, key):
            if node in continuity.graph:
                yield from services_on(continuity, node)


def _reach(arm: Arm, cut: frozenset[str]) -> int:
    """How far from the customer an arm has lost its light: up to the hit nearest the exchange."""
    return max(index for index, key in enumerate(arm) if key in cut)


def _fibre(plant: Plant, key: str) -> tuple[str, int]:
    _, number, stop = key.split("|", 2)
    return find_stop(plant, stop)[0].id, int(number)


def _cables(plant: Plant, fibres: Iterable[tuple[str, int]]) -> list[str]:
    return sorted({cable for cable, _ in fibres}, key=lambda c: (plant.cables[c].name, c))


def _runs(continuity: Continuity, pieces: Sequence[Piece]) -> Iterator[FibreRun]:
    carried = services_by_piece(continuity, pieces)
    lit = {(p.cable, p.fibre) for p, services in carried.items() if services}
    every = {(p.cable, p.fibre) for p in pieces}
    for cable in _cables(continuity.plant, every):
        fibres = sorted(n for c, n in every if c == cable)
        yield FibreRun(cable, tuple(fibres), tuple(n for n in fibres if (cable, n) not in lit))


@dataclass(frozen=True, slots=True)
class TrayOthers:
    """A tray that will be opened: ``services`` are the live ones on it that the job is not about, by name."""

    tray: Element
    services: tuple[str, ...]


def others_on_trays(
    continuity: Continuity,
    site: str,
    mine: Iterable[str] = (),
    trays: Iterable[str] | None = None,
    carried: Mapping[str, Sequence[str]] | None = None,
) -> tuple[TrayOthers, ...]:
    """Who else is on the trays that a job at a site opens, tray by tray in their order (reviewer's check C52).

    The trays are those given by id; else those with a joint planned or to be removed, and those that hold joints or
    uncut fibres of the job's own services ``mine``. Services of planned joints count as the job's. ``carried`` gives
    the services of every node where they are known already. Raises PlantError for a site that is not there.
    """
    plant = continuity.plant
    if site not in plant.sites:
        raise PlantError(f"there is no site {site!r}", hint="It may have been removed")
    own = set(mine)
    wanted = None if trays is None else set(trays)
    found: list[TrayOthers] = []
    for tray in (tray for box in enclosures_at(plant, site) for tray in trays_of(plant, box.id)):
        key = f"tray|{tray.id}"
        work = [s.id for s in splices_on(plant, tray.id) if s.status in ("planned", "remove")]
        if not work and wanted is None and not own:
            continue
        on_it = _carried(continuity, pieces_in(continuity, key), carried)
        planned = _carried(continuity, (p for s in work for p in pieces_in(continuity, f"splice|{s}")), carried)
        opened = bool(work) or not own.isdisjoint(on_it) if wanted is None else tray.id in wanted
        if opened:
            skip = own | set(planned)
            live = [s for s in on_it if s not in skip and plant.services[s].status == "live"]
            found.append(TrayOthers(element(plant, key), tuple(_by_name(plant, live))))
    return tuple(found)


def _carried(
    continuity: Continuity, pieces: Iterable[Piece], known: Mapping[str, Sequence[str]] | None
) -> tuple[str, ...]:
    """Services on pieces of glass, out of what is known by node or else by walking from them."""
    if known is None:
        return services_in(continuity, pieces)
    cables = continuity.plant.cables
    nodes = (end_node(piece.ends(cables[piece.cable])[0]) for piece in pieces)
    return tuple(dict.fromkeys(service for node in nodes for service in known.get(node, ())))
