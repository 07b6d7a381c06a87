"""The things that can fail, each at its own grain, and the elements of a service's path in order.

A sheath cut takes every tube, a kinked tube its fibres, a pinch on a tray those that lie there, a splice one; an input
of a splitter takes all its legs. An element is named by a key that stays the same while its ids do:

* ``sheath|STOP`` and ``tube|T|STOP``: the span of a cable from that stop outward, and one tube in it;
* ``tube_at|ROLE|T|STOP``: one tube inside an enclosure. ``express`` passes unopened; ``entry`` is the whole tube as it
  comes from the exchange side; ``loop`` its fibres that go through uncut; ``exit`` the whole tube leaving on the field
  side, told from the loop only where a fibre cut there goes on;
* ``tray|ID`` ``splice|ID`` ``port|ID``, ``input|N|SPLITTER`` ``leg|N|SPLITTER``, ``splitter|ID`` (only where several
  inputs make it more than its input), ``drop|CABLE`` ``cord|CABLE``;
* ``fibre|N|STOP``: one piece of glass, from that stop to its next cut.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, Literal

from model.correlate.paths import paths_of
from model.correlate.words import WORDS
from model.errors import PlantError
from model.graph import Continuity
from model.plant import Plant

Kind = Literal[
    "sheath", "tube", "tube_at", "tray", "splice", "input", "splitter", "leg", "port", "drop", "cord", "fibre", "site"
]

GRAINS: Final = MappingProxyType(
    {
        "sheath": "sheath span",
        "tube": "tube in span",
        "tube_at": "tube in enclosure",
        "tray": "tray",
        "splice": "splice",
        "input": "splitter input",
        "splitter": "splitter",
        "leg": "splitter leg",
        "port": "port",
        "drop": "drop cable",
        "cord": "patch cord",
        "fibre": "fibre",
        "site": "site",
    }
)
"""What each kind is called in words."""


@dataclass(frozen=True, slots=True)
class Element:
    """A thing that can fail: ``kind``, the ``key`` described above, and ``words`` for a person."""

    kind: Kind
    key: str
    words: str

    @property
    def grain(self) -> str:
        """The kind in words: ``tube in span``."""
        return GRAINS[self.kind]


def element(plant: Plant, key: str) -> Element:
    """The element of a key. Raises KeyError or PlantError when what it names is no longer in the plant."""
    kind, rest = key.split("|", 1)
    return Element(kind, key, WORDS[kind](plant, rest))  # type: ignore[arg-type]  # keys begin with a kind


def elements_of(continuity: Continuity, service: str) -> tuple[Element, ...]:
    """The elements of a service's path from the customer to the exchange, through its splitters, each once.

    A service with several feeds has the elements of its first one, then what the others add. Empty where nothing is
    recorded at its port. Raises PlantError when the plant has no such service.
    """
    if service not in continuity.plant.services:
        raise PlantError(f"there is no service {service!r}", hint="It may have been removed")
    keys = dict.fromkeys(key for arm in paths_of(continuity).arms(service) for key in arm)
    return tuple(element(continuity.plant, key) for key in keys)
