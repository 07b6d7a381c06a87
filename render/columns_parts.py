"""Columns of the lists of parts: ports, splitter legs, and the material of an enclosure."""

from __future__ import annotations

from model.lists.legs import LegRow
from model.lists.materials import MaterialRow
from model.lists.ports import PortRow
from render.columns import SIDES, Column, names, reach_words

PORTS: list[Column[PortRow]] = [
    ("site", 0, lambda r: r.site),
    ("panel", 0, lambda r: r.panel),
    ("port", 0, lambda r: r.number),
    ("role", 0, lambda r: r.role),
    ("behind", 0, lambda r: names(end.text for end in r.rear)),
    ("tube", 0, lambda r: (r.rear[0].tube or None) if r.rear else None),
    ("tube colour", 0, lambda r: r.rear[0].tube_colour if r.rear else ""),
    ("fibre in tube", 0, lambda r: (r.rear[0].position or None) if r.rear else None),
    ("fibre colour", 0, lambda r: r.rear[0].colour if r.rear else ""),
    ("leads to", 0, lambda r: reach_words(r.reaches)),
    ("in front", 0, lambda r: names(end.text for end in r.front)),
    ("front comes from", 0, lambda r: reach_words(r.fed_by)),
    ("state", 0, lambda r: r.state),
    ("services", 0, lambda r: names(r.services)),
    ("customers", 0, lambda r: names(r.customers)),
    ("power class", 0, lambda r: r.power_class),
    ("pair, dB", 2, lambda r: r.pair_db),
]
LEGS: list[Column[LegRow]] = [
    ("site", 0, lambda r: r.site),
    ("splitter", 0, lambda r: r.splitter),
    ("type", 0, lambda r: r.type),
    ("tray", 0, lambda r: r.tray),
    ("side", 0, lambda r: SIDES[r.role]),
    ("number", 0, lambda r: r.number),
    ("planned loss, dB", 2, lambda r: r.planned_db),
    ("state", 0, lambda r: r.state),
    ("joined to", 0, lambda r: r.to),
    ("leads to", 0, lambda r: reach_words(r.reaches)),
    ("services", 0, lambda r: names(r.services)),
]
MATERIALS: list[Column[MaterialRow]] = [
    ("site", 0, lambda r: r.site),
    ("enclosure", 0, lambda r: r.enclosure),
    ("item", 0, lambda r: r.item),
    ("description", 0, lambda r: r.description),
    ("as drawn", 2, lambda r: r.net),
    ("spare, %", 0, lambda r: r.spare_percent),
    ("quantity", 2, lambda r: r.quantity),
    ("unit", 0, lambda r: r.unit),
]
