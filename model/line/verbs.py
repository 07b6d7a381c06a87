"""The verbs of the Line, the tails each takes in the order they are offered, and one example of each."""

from __future__ import annotations

from types import MappingProxyType
from typing import Final

TAILS: Final = MappingProxyType(
    {
        "open": ("at",),
        "keep": ("at",),
        "cut": ("both", "on", "every", "skip", "at", "outage"),
        "join": ("to", "on", "from", "every", "skip", "singly", "at", "outage"),
        "part": ("every", "skip", "at", "outage"),
        "put": ("on", "from", "every", "skip", "at"),
        "trace": ("at",),
        "who": ("at",),
        "go": (),
        "down": (),
        "up": (),
        "read": ("at",),
    }
)
"""Tails each verb takes, in the order they are offered."""

EXAMPLE: Final = MappingProxyType(
    {
        "open": "Like: open CABLE:T2",
        "keep": "Like: keep CABLE:T1,T3",
        "cut": "Like: cut CABLE:13-16",
        "join": "Like: join CABLE:13-16 to DROP:1-4 on tray 1",
        "part": "Like: part CABLE:13-16",
        "put": "Like: put CABLE:17-24 on tray 1",
        "trace": "Like: trace CABLE:3",
        "who": "Like: who CABLE:T2",
        "go": "Like: go SITE, go finding 2, go tray 2",
        "down": "Like: down SERVICE SERVICE",
        "up": "Like: up SERVICE..SERVICE",
        "read": "Like: read CABLE:17 3359",
    }
)
