"""Power classes of access networks: the least and the most loss a link may have, and the powers behind it.

Loss in dB, power in dBm. Every figure carries a tag: ``read`` in an open publication, ``restated`` by a second source,
``memory`` where nobody has checked it against the standard; a figure from memory is a default to start from, not a
ruling. A class knows nothing of a plant.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, Literal

from model.errors import PlantError

Tag = Literal["read", "restated", "memory"]


@dataclass(frozen=True, slots=True)
class Link:
    """One direction of light: launch range of the sender, weakest and strongest power the receiver takes, in dBm.

    ``penalty_db`` is what the path takes from the receiver's sensitivity (dispersion, reflections); ``None`` where
    it is not known. A launch of ``None`` is not known either.
    """

    tx_min_dbm: float | None
    tx_max_dbm: float | None
    sensitivity_dbm: float
    overload_dbm: float
    penalty_db: float | None = None

    def weakest_dbm(self, loss_db: float) -> float | None:
        """Least power that arrives after ``loss_db``, path penalty taken off; Rx = Tx - loss (formula F13)."""
        return None if self.tx_min_dbm is None else self.tx_min_dbm - loss_db - (self.penalty_db or 0.0)

    def strongest_dbm(self, loss_db: float) -> float | None:
        """Most power that arrives after ``loss_db``; no penalty, since the worst case here is a clean path."""
        return None if self.tx_max_dbm is None else self.tx_max_dbm - loss_db


@dataclass(frozen=True, slots=True)
class PowerClass:
    """A class: the window of loss between exchange and customer, both ends allowed, and both links where known.

    ``down`` is exchange to customer. ``tag_min`` and ``tag_max`` say where the window is known from, ``source`` the
    powers. ``down_nm`` and ``up_nm`` are what is sent on, from memory (ITU-T G.984.2, G.9807.1, IEEE 802.3).
    """

    name: str
    loss_min_db: float
    loss_max_db: float
    tag_min: Tag
    tag_max: Tag
    down: Link | None = None
    up: Link | None = None
    source: str = ""
    down_nm: int = 1490
    up_nm: int = 1310

    @property
    def short(self) -> str:
        """The name without its system: ``B+`` of ``GPON B+``."""
        return self.name.rpartition(" ")[2]

    def margin_max_db(self, loss_db: float) -> float:
        """How much more loss the class allows; below zero the customer gets too little light."""
        return self.loss_max_db - loss_db

    def margin_min_db(self, loss_db: float) -> float:
        """How much loss there is above the least; below zero a receiver is overloaded."""
        return loss_db - self.loss_min_db


_1244 = "receiver of the customer at 1.244 Gbit/s: read in a national regulation's annex; launch not known"
_10G = "restated, citing IEEE 802.3 and 802.3av slides"
_XGS_NM = (1577, 1270)
_XGS = "read in a power meter's manual giving G.9807.1 thresholds; penalty from memory"

_CLASSES: Final = (
    PowerClass("GPON A", 5, 20, "memory", "memory", Link(None, None, -25, -4), None, _1244),
    PowerClass("GPON B", 10, 25, "memory", "memory", Link(None, None, -25, -4), None, _1244),
    PowerClass("GPON C", 15, 30, "memory", "memory", Link(None, None, -26, -4), None, _1244),
    PowerClass(
        "GPON B+",
        13,
        28,
        "memory",
        "restated",
        Link(1.5, 5, -27, -8, 0.5),
        Link(0.5, 5, -28, -8, 0.5),
        "read, citing G.984.2 Amendment 1; penalty from memory",
    ),
    PowerClass(
        "GPON C+",
        17,
        32,
        "memory",
        "restated",
        Link(3, 7, -30, -8, 1),
        Link(0.5, 5, -32, -12, 0.5),
        "launch and exchange receiver restated; customer's sensitivity and penalty from memory",
    ),
    PowerClass(
        "XGS-PON N1", 14, 29, "memory", "restated", Link(2, 5, -28, -9, 1), Link(4, 9, -26, -5, 1), _XGS, *_XGS_NM
    ),
    PowerClass(
        "XGS-PON N2", 16, 31, "memory", "restated", Link(4, 7, -28, -9, 1), Link(4, 9, -28, -7, 1), _XGS, *_XGS_NM
    ),
    PowerClass(
        "XGS-PON E1", 18, 33, "memory", "restated", Link(6, 9, -28, -9, 1), Link(4, 9, -30, -9, 1), _XGS, *_XGS_NM
    ),
    PowerClass("XGS-PON E2", 20, 35, "memory", "memory", None, None, "powers not known", *_XGS_NM),
    PowerClass("EPON PX10", 5, 20, "restated", "restated", source="powers not known"),
    PowerClass(
        "EPON PX20",
        10,
        24,
        "restated",
        "restated",
        Link(2, 7, -24, -3),
        Link(-1, 4, -27, -6),
        "downstream restated, upstream from memory; downstream most loss 23.5 dB from memory",
    ),
    PowerClass(
        "EPON PX30",
        15,
        29,
        "memory",
        "memory",
        Link(3, 7, -27, -8),
        Link(0.62, 5.62, -29.78, -9.38),
        "from memory (IEEE 802.3bk)",
    ),
    PowerClass("10G-EPON PRX10", 5, 20, "restated", "restated", source=_10G, down_nm=1577),
    PowerClass("10G-EPON PRX20", 10, 24, "restated", "restated", source=_10G, down_nm=1577),
    PowerClass("10G-EPON PRX30", 15, 29, "restated", "restated", source=_10G, down_nm=1577),
    PowerClass("10G-EPON PR10", 5, 20, "restated", "restated", source=_10G, down_nm=1577, up_nm=1270),
    PowerClass("10G-EPON PR20", 10, 24, "restated", "restated", source=_10G, down_nm=1577, up_nm=1270),
    PowerClass("10G-EPON PR30", 15, 29, "restated", "restated", source=_10G, down_nm=1577, up_nm=1270),
    PowerClass(
        "1000BASE-BX10",
        0,
        5.5,
        "memory",
        "memory",
        Link(-9, -3, -19.5, -3, 5.0),
        Link(-9, -3, -19.5, -3, 4.5),
        "from memory (IEEE 802.3, clause 59): one fibre, no splitter; upstream most loss 6.0 dB",
    ),
)


def _key(name: str) -> str:
    return " ".join(name.casefold().split())


_BY_NAME: Final = {_key(entry.name): entry for entry in _CLASSES} | {_key(entry.short): entry for entry in _CLASSES}


def power_classes() -> Iterator[PowerClass]:
    """Every class, system by system."""
    yield from _CLASSES


def power_class(name: str) -> PowerClass:
    """The class of a name, with its system or without (``GPON B+``, ``b+``); letter case does not matter.

    Raises PlantError with the nearest names for a name that is none.
    """
    found = _BY_NAME.get(_key(name))
    if found is None:
        keys = difflib.get_close_matches(_key(name), _BY_NAME, n=6, cutoff=0.4)
        near = list(dict.fromkeys(_BY_NAME[key].name for key in keys))[:3] or [entry.name for entry in _CLASSES]
        raise PlantError(f"there is no power class {name!r}", hint=f"There is {', '.join(near)}")
    return found
