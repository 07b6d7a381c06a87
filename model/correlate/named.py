"""Which elements a typed reference means, for "who is on this" and "who goes dark if this is cut".

``MF-48`` is every span of its sheath, ``MF-48@K2>`` the span from K2 outward, ``MF-48@K2<`` the one before and
``MF-48@K2`` the cable inside K2. ``MF-48:T2`` and ``MF-48:15`` narrow these to a tube or to fibres. A site stands for
all that is there; trays, slots, ports, splitters and their legs for themselves.
"""

from __future__ import annotations

from collections.abc import Iterator

from model.correlate.carried import source_of
from model.correlate.elements import Element, element
from model.correlate.one_place import splices_on
from model.correlate.paths import paths_of, whole_key
from model.entities import Cable
from model.errors import RefError
from model.graph import Continuity
from model.lists.naming import called
from model.lookup import cable_type, enclosures_at, passes, stops_at, trays_of, work_on
from model.plant import Plant
from model.refs import CableRef, LegRef, PortRef, Ref, ServiceRef, SiteRef, TrayRef, parse_ref


def elements_named(continuity: Continuity, text: str) -> tuple[Element, ...]:
    """The elements a reference means, exchange side first. Raises RefError for what names none."""
    ref = parse_ref(continuity.plant, text)
    keys = tuple(dict.fromkeys(_keys(continuity, ref, text)))
    if not keys:
        raise RefError(
            f"there is nothing at {text.strip()}", hint="Name a span, a tube, a tray or a fibre that is there"
        )
    return tuple(element(continuity.plant, key) for key in keys)


def _keys(continuity: Continuity, ref: Ref, text: str) -> Iterator[str]:
    plant = continuity.plant
    if isinstance(ref, ServiceRef):
        name = plant.services[ref.service].name
        raise RefError(f"{name} is a service, not a thing that is cut", hint="Name a sheath, a tube, a tray or a fibre")
    if isinstance(ref, SiteRef):
        yield f"site|{ref.site}"
    elif isinstance(ref, PortRef):
        yield f"port|{ref.port}"
    elif isinstance(ref, LegRef):
        several = plant.splitter_types[plant.splitters[ref.splitter].type].inputs > 1
        if ref.number:
            yield f"{'input' if ref.role == 'in' else 'leg'}|{ref.number}|{ref.splitter}"
        else:
            yield f"splitter|{ref.splitter}" if several else f"input|1|{ref.splitter}"
    elif isinstance(ref, TrayRef):
        yield from _on_tray(plant, ref) if ref.slots else (f"tray|{ref.tray}",)
    else:
        yield from _on_cable(continuity, ref, text)


def _on_tray(plant: Plant, ref: TrayRef) -> Iterator[str]:
    tray = plant.trays[ref.tray]
    by_slot = {splice.slot: splice.id for splice in splices_on(plant, ref.tray)}
    for slot in ref.slots:
        if slot not in by_slot:
            used = sorted(n for n in by_slot if n is not None)
            hint = f"Slots in use: {', '.join(map(str, used[:8]))}" if used else "The tray holds no joint"
            raise RefError(f"slot {slot} of {called('tray', tray.name)} is empty", hint=hint)
        yield f"splice|{by_slot[slot]}"


def _on_cable(continuity: Continuity, ref: CableRef, text: str) -> Iterator[str]:
    plant = continuity.plant
    cable = plant.cables[ref.cable]
    count = len(cable_type(plant, cable).tubes)
    here = [i for i, stop in enumerate(cable.stops) if ref.site is None or stop.site == ref.site]
    spans = _spans(cable, ref, here)
    inside = ref.site is not None and ref.side is None
    if (ref.site is not None or ref.side is not None) and not inside and not spans:
        raise RefError(
            f"{cable.name} has no glass on that side of {text.strip()}", hint="It ends there; say the other side"
        )
    if ref.fibres and not ref.tubes:
        yield from _fibres(continuity, cable, ref, here, spans)
    elif whole := whole_key(plant, cable):
        yield whole
    elif inside:
        for tube in ref.tubes or range(1, count + 1):
            for index in here:
                yield from tubes_at(continuity, cable, index, tube)
    else:
        for index in spans:
            stop = cable.stops[index].id
            if len(ref.tubes) in (0, count):
                yield f"sheath|{stop}"
            else:
                yield from (f"tube|{tube}|{stop}" for tube in ref.tubes)


def _spans(cable: Cable, ref: CableRef, here: list[int]) -> list[int]:
    """Spans meant, by the index of the stop they begin at."""
    last = len(cable.stops) - 1
    if ref.site is None:
        return list(range(last)) if ref.side is None else [0 if ref.side == "<" else last - 1]
    ends = [index if ref.side == ">" else index - 1 for index in here]
    return [index for index in ends if 0 <= index < last]


def _fibres(continuity: Continuity, cable: Cable, ref: CableRef, here: list[int], spans: list[int]) -> Iterator[str]:
    """Pieces of the fibres said; at a site without a side, what lies on both sides of it."""
    if ref.site is not None and ref.side is None:
        spans = sorted({i for index in here for i in (index - 1, index) if 0 <= i < len(cable.stops) - 1})
    pieces = source_of(continuity).pieces(cable)
    for fibre in ref.fibres:
        for piece in pieces[fibre]:
            if any(piece.first <= span < piece.last for span in spans):
                yield f"fibre|{fibre}|{cable.stops[piece.first].id}"


def tubes_at(continuity: Continuity, cable: Cable, index: int, tube: int) -> Iterator[str]:
    """Keys of one tube inside the enclosure of a stop, the exchange side first."""
    stop = cable.stops[index].id
    if not passes(cable, index):
        yield f"tube_at|{'exit' if index == 0 else 'entry'}|{tube}|{stop}"
        return
    work = work_on(cable.stops[index], tube)
    if work is None:
        yield f"tube_at|express|{tube}|{stop}"
        return
    yield f"tube_at|entry|{tube}|{stop}"
    if work.state == "opened":
        yield f"tube_at|loop|{tube}|{stop}"
    if paths_of(continuity).goes_on(cable, index, tube):
        yield f"tube_at|exit|{tube}|{stop}"


def parts_of(continuity: Continuity, key: str) -> tuple[str, ...]:
    """The elements that fail with this one: all that is at a site for a site, else the element itself."""
    kind, rest = key.split("|", 1)
    if kind != "site":
        return (key,)
    plant = continuity.plant
    found: list[str] = []
    for cable, index, _ in stops_at(plant, rest):
        if whole := whole_key(plant, cable):
            found.append(whole)
            continue
        for tube in range(1, len(cable_type(plant, cable).tubes) + 1):
            found += tubes_at(continuity, cable, index, tube)
    found += [f"tray|{tray.id}" for box in enclosures_at(plant, rest) for tray in trays_of(plant, box.id)]
    found += [f"splice|{splice.id}" for splice in plant.splices.values() if splice.site == rest]
    found += [f"port|{port.id}" for port in plant.ports.values() if port.site == rest]
    for splitter in plant.splitters.values():
        if splitter.site == rest:
            inputs = plant.splitter_types[splitter.type].inputs
            found += [f"input|{n}|{splitter.id}" for n in range(1, inputs + 1)]
    return tuple(found)
