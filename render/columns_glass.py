"""Columns of the lists of glass: what is cut, prepared, stored and spare, and what each span is used for."""

from __future__ import annotations

from model.lists.cuts import CutRow
from model.lists.fibres import UseCount, UseRow
from model.lists.preps import PrepRow
from model.lists.stores import SpareRow, StoreRow
from render.columns import SIDES, Column, names, numbers, reach_words

CUTS: list[Column[CutRow]] = [
    ("site", 0, lambda r: r.site),
    ("cable", 0, lambda r: r.cable),
    ("tube", 0, lambda r: r.tube),
    ("tube colour", 0, lambda r: r.tube_colour),
    ("of", 0, lambda r: r.what),
    ("what is done", 0, lambda r: r.state),
    ("fibres", 0, lambda r: numbers(r.fibres)),
    ("ribbons", 0, lambda r: numbers(r.ribbons)),
    ("count", 0, lambda r: len(r.fibres)),
    ("joined on exchange side", 0, lambda r: numbers(r.joined_in)),
    ("joined on field side", 0, lambda r: numbers(r.joined_out)),
    ("cut at, mm from exchange side", 0, lambda r: r.cut_at_mm),
    ("printed mark", 2, lambda r: r.mark),
    ("mark unit", 0, lambda r: r.mark_unit if r.mark is not None else ""),
    ("live services", 0, lambda r: names(r.live)),
    ("outage", 0, lambda r: r.outage),
]
PREP: list[Column[PrepRow]] = [
    ("site", 0, lambda r: r.site),
    ("cable", 0, lambda r: r.cable),
    ("entry", 0, lambda r: r.entry),
    ("part", 0, lambda r: r.part),
    ("tube", 0, lambda r: r.tube or None),
    ("tube colour", 0, lambda r: r.tube_colour),
    ("side", 0, lambda r: SIDES[r.side]),
    ("what to do", 0, lambda r: r.action),
    ("length, mm", 0, lambda r: r.length_mm),
    ("needed, mm", 0, lambda r: r.need_mm),
    ("from mark", 2, lambda r: r.mark_from),
    ("to mark", 2, lambda r: r.mark_to),
    ("mark unit", 0, lambda r: r.mark_unit),
    ("live services", 0, lambda r: names(r.live)),
    ("remark", 0, lambda r: r.remark),
]
STORAGE: list[Column[StoreRow]] = [
    ("site", 0, lambda r: r.site),
    ("cable", 0, lambda r: r.cable),
    ("tube", 0, lambda r: r.tube),
    ("tube colour", 0, lambda r: r.tube_colour),
    ("fibres", 0, lambda r: numbers(r.fibres)),
    ("count", 0, lambda r: len(r.fibres)),
    ("condition", 0, lambda r: r.condition),
    ("where", 0, lambda r: r.where),
    ("turns", 2, lambda r: r.turns),
    ("stored, mm", 0, lambda r: r.length_mm),
]
SPARES: list[Column[SpareRow]] = [
    ("site", 0, lambda r: r.site),
    ("cable", 0, lambda r: r.cable),
    ("kind", 0, lambda r: r.kind),
    ("side", 0, lambda r: SIDES[r.side]),
    ("tube", 0, lambda r: r.tube),
    ("tube colour", 0, lambda r: r.tube_colour),
    ("fibres", 0, lambda r: numbers(r.fibres)),
    ("count", 0, lambda r: len(r.fibres)),
    ("where", 0, lambda r: r.where),
    ("from sheath end, mm", 0, lambda r: r.length_mm),
    ("reaches toward exchange", 0, lambda r: reach_words(r.toward_exchange)),
    ("reaches toward field", 0, lambda r: reach_words(r.toward_field)),
]
USE: list[Column[UseRow]] = [
    ("cable", 0, lambda r: r.cable),
    ("from", 0, lambda r: r.start),
    ("to", 0, lambda r: r.end),
    ("sheath, m", 2, lambda r: r.sheath_m),
    ("tube", 0, lambda r: r.tube),
    ("tube colour", 0, lambda r: r.tube_colour),
    ("fibres", 0, lambda r: numbers(r.fibres)),
    ("count", 0, lambda r: len(r.fibres)),
    ("use", 0, lambda r: r.use),
    ("services", 0, lambda r: names(r.services)),
    ("status", 0, lambda r: r.status),
    ("reaches toward exchange", 0, lambda r: reach_words(r.toward_exchange)),
    ("reaches toward field", 0, lambda r: reach_words(r.toward_field)),
]
SUMS: list[Column[UseCount]] = [
    ("cable", 0, lambda r: r.cable),
    ("from", 0, lambda r: r.start),
    ("to", 0, lambda r: r.end),
    ("sheath, m", 2, lambda r: r.sheath_m),
    ("in use", 0, lambda r: r.in_use),
    ("dark but whole", 0, lambda r: r.dark),
    ("stubs", 0, lambda r: r.stub),
    ("fibres", 0, lambda r: r.count),
]
