"""The refs that shapes carry, so that a click or a reader of the file finds the entity a shape pictures.

A ref is a plain string, kind first: ``tube:CABLE:3``. ``model.refs`` reads and resolves names people type; these are
only labels on shapes. Ids may hold colons, so ``split_ref`` takes the number or name after the last one.
"""

from __future__ import annotations


def cable_ref(cable: str) -> str:
    """A cable."""
    return f"cable:{cable}"


def tube_ref(cable: str, tube: int) -> str:
    """A tube of a cable, counted from 1."""
    return f"tube:{cable}:{tube}"


def fibre_ref(cable: str, fibre: int) -> str:
    """A fibre of a cable by its running number."""
    return f"fibre:{cable}:{fibre}"


def bundle_ref(cable: str, numbers: str, side: str) -> str:
    """Fibres of a cable that run side by side on one side of a place: ``fibres:CABLE:13-16<``."""
    return f"fibres:{cable}:{numbers}{side}"


def range_ref(key: str) -> str:
    """An equal range of a schematic by the node where it begins: a mark to open or fold it at, no thing to pick."""
    return f"range:{key}"


def tray_ref(tray: str) -> str:
    """A tray."""
    return f"tray:{tray}"


def splice_ref(splice: str) -> str:
    """A splice."""
    return f"splice:{splice}"


def entry_ref(enclosure: str, name: str) -> str:
    """An entry of an enclosure by its name."""
    return f"entry:{enclosure}:{name}"


def route_ref(route: str) -> str:
    """A drawn route."""
    return f"route:{route}"


def port_ref(port: str) -> str:
    """A port."""
    return f"port:{port}"


def splitter_ref(splitter: str) -> str:
    """A splitter."""
    return f"splitter:{splitter}"


def leg_ref(splitter: str, leg: str) -> str:
    """A leg of a splitter: ``leg:SPLITTER:out9``."""
    return f"leg:{splitter}:{leg}"


def service_ref(service: str) -> str:
    """A service."""
    return f"service:{service}"


def site_ref(site: str) -> str:
    """A site."""
    return f"site:{site}"


def split_ref(ref: str) -> tuple[str, str, str]:
    """Kind, id and the number or entry name (empty where there is none) of a ref."""
    kind, _, rest = ref.partition(":")
    if kind in ("tube", "fibre", "fibres", "entry", "leg"):
        name, _, last = rest.rpartition(":")
        return kind, name, last
    return kind, rest, ""
