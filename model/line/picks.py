"""What pieces of a line mean when they are looked up: fibres and legs, each as it was said; and what a join joined."""

from __future__ import annotations

from dataclasses import dataclass

from model.entities import LegEnd, Side
from model.ids import CableId, SiteId
from model.line.faults import Span


@dataclass(frozen=True, slots=True)
class Pick:
    """One fibre as it was said: ``tube`` where its whole tube was, ``ribbon`` where its ribbon was."""

    cable: CableId
    fibre: int
    side: Side | None
    site: SiteId | None
    span: Span
    tube: int | None = None
    ribbon: int | None = None


@dataclass(frozen=True, slots=True)
class LegPick:
    """One leg of a splitter as it was said."""

    leg: LegEnd
    span: Span


Picked = Pick | LegPick


@dataclass(frozen=True, slots=True)
class Joined:
    """The ends of the last join, in order, and where: what ``next`` carries on. ``ribbons``: in ribbon sleeves."""

    left: tuple[Picked, ...]
    right: tuple[Picked, ...]
    site: SiteId
    ribbons: bool = False
