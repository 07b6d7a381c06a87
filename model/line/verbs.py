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
        "next": ("on", "from", "at", "outage"),
        "part": ("every", "skip", "at", "outage"),
        "put": ("on", "from", "every", "skip", "turns", "long", "at"),
        "swap": ("and",),
        "set": ("reserve", "sleeves"),
        "patch": ("to", "behind", "front", "every", "skip", "long", "at"),
        "park": ("at",),
        "draft": ("on", "at"),
        "done": ("by", "on", "every", "skip", "at"),
        "undone": ("every", "skip", "at"),
        "measure": ("sealed", "by", "on", "every", "skip", "at"),
        "estimate": ("by", "on", "every", "skip", "at"),
        "again": ("by", "on", "every", "skip", "at"),
        "seen": ("by", "on", "every", "skip", "at"),
        "unseen": ("inherited", "by", "on", "every", "skip", "at"),
        "plan": ("from", "by", "keep", "ports", "skip", "at", "take", "outage"),
        "add": (),
        "name": (),
        "mark": (),
        "enter": (),
        "plug": (),
        "unplug": (),
        "remove": (),
        "serve": (),
        "trace": ("at",),
        "who": ("at",),
        "go": (),
        "down": (),
        "up": (),
        "clear": (),
        "read": ("at",),
    }
)
"""Tails each verb takes, in the order they are offered."""

HEARS: Final = frozenset({"down", "up", "clear"})
"""Verbs that note services in the fault ticket; commas may be left out between them."""

RECORDS: Final = frozenset({"done", "undone", "measure", "estimate", "again", "seen", "unseen"})
"""Verbs that record what was done to joints; after ``on`` they take a date and not a tray."""

BUILDS: Final = frozenset({"add", "name", "mark", "enter", "plug", "unplug", "remove", "serve"})
"""Verbs that make or name things, with words of their own instead of pieces of glass and tails."""

ADDED: Final = MappingProxyType(
    {
        "site": "Like: add site NAME premises",
        "cable": "Like: add cable NAME TYPE from SITE through SITE at 2148/2149.6 to SITE",
        "drop": "Like: add drop NAME TYPE to SITE 65 m at 4",
        "box": "Like: add box TYPE at SITE",
        "tray": "Like: add tray TYPE to SITE",
        "panel": "Like: add panel CABLE at SITE, add panel DP with 144 ports",
        "splitter": "Like: add splitter SP-1 1x32 at SITE on tray 2",
    }
)
"""What ``add`` adds, with one example of each."""

JOB_FIELDS: Final = MappingProxyType(
    {
        "project": "project",
        "owner": "owner",
        "order": "work_order",
        "drawing": "drawing_no",
        "drawn": "drawn",
        "checked": "checked",
        "approved": "approved",
    }
)
"""Words of the title block that ``name`` fills in, by the field of the job they stand for."""

EXAMPLE: Final = MappingProxyType(
    {
        "open": "Like: open CABLE:T2",
        "keep": "Like: keep CABLE:T1,T3",
        "cut": "Like: cut CABLE:13-16",
        "join": "Like: join CABLE:13-16 to DROP:1-4 on tray 1",
        "next": "Like: next, next 12 on tray 2",
        "part": "Like: part CABLE:13-16",
        "put": "Like: put CABLE:17-24 on tray 1",
        "set": "Like: set tray 1 reserve 4, set tray 1 sleeves 60",
        "swap": "Like: swap tray 1 3 and tray 1 7, swap tray 1 and tray 2",
        "plan": "Like: plan drops D-1 from CABLE, plan trays by tube, plan stubs",
        "patch": "Like: patch SP-1:out1-4 to port DP/1-4, patch port FD/5 to port DP/12",
        "park": "Like: park SP-1:out31-32",
        "draft": "Like: draft all, draft CABLE:T2 on tray 1",
        "done": "Like: done tray 1 1-4 by AB on 2026-03-01",
        "undone": "Like: undone tray 1 4",
        "measure": "Like: measure tray 1 1 1550 0.04/0.06, measure CABLE:13-14 1550 A-B 0.04 0.05",
        "estimate": "Like: estimate tray 1 1-2 0.02 0.03",
        "again": "Like: again tray 1 3 by AB on 2026-03-01",
        "seen": "Like: seen tray 1 1-4 by AB on 2026-03-01",
        "unseen": "Like: unseen tray 1 1-4, unseen CABLE:13-16 inherited",
        "add": "Like: add site NAME, add cable NAME TYPE from SITE to SITE, add box TYPE at SITE",
        "name": "Like: name CABLE as NEW",
        "mark": "Like: mark CABLE 2148/2149.6",
        "enter": "Like: enter CABLE in 1A/1B, enter DROP in 4",
        "plug": "Like: plug 5,6",
        "unplug": "Like: unplug 5",
        "remove": "Like: remove SP-1, remove panel DP, remove tray 3",
        "serve": "Like: serve SITE port 1 as NAME",
        "trace": "Like: trace CABLE:3",
        "who": "Like: who CABLE:T2",
        "go": "Like: go SITE, go finding 2, go tray 2",
        "down": "Like: down SERVICE SERVICE",
        "up": "Like: up SERVICE..SERVICE",
        "clear": "Like: clear SERVICE, who is then not known",
        "read": "Like: read CABLE:17 3359",
    }
)
