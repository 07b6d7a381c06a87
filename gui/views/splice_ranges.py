"""Which equal ranges of the Splices view are held open, and which range a picked thing belongs to.

A way of looking, not an edit: nothing of it is stored in the plant. Ranges are known by the node where they begin.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from model.graph import Continuity
from render.refs import fibre_ref, splice_ref, split_ref, tube_ref
from render.sheets.splice_build import build
from render.sheets.splice_fold import range_key, runs_of


@dataclass(frozen=True, slots=True)
class Range:
    """An equal range at a site: its key, how many lines it stands for, and the refs of what is in it."""

    key: str
    count: int
    refs: frozenset[str]


def ranges_at(continuity: Continuity, site: str | None) -> list[Range]:
    """The ranges of more than one line at a site, in the order of the schematic."""
    plant = continuity.plant
    if site is None or site not in plant.sites:
        return []
    found: list[Range] = []
    for block in build(continuity, site).blocks:
        for run in runs_of(block.rows):
            if len(run) > 1:
                refs = {splice_ref(key) for row in run for key in row.splices}
                for bundle in (end for row in run for end in (row.left, row.right) if end and end.kind == "cable"):
                    refs |= {fibre_ref(bundle.owner, n) for n in bundle.numbers}
                if block.kind == "cable":
                    refs.add(tube_ref(block.owner, block.tube))
                found.append(Range(range_key(run), len(run), frozenset(refs)))
    return found


class OpenRanges:
    """The ranges held open, by key."""

    def __init__(self) -> None:
        self.keys: set[str] = set()

    def turn(self, keys: Collection[str]) -> bool:
        """Open these ranges, or fold them again if all of them are open; False where there are none."""
        if set(keys) <= self.keys:
            self.keys -= set(keys)
        else:
            self.keys |= set(keys)
        return bool(keys)

    def words(self, held: Range) -> str:
        """What turning one of them is called."""
        return f"{'Fold' if held.key in self.keys else 'Open'} this range of {held.count}"


def holding(ranges: Collection[Range], refs: Collection[str]) -> list[Range]:
    """The ranges that hold one of these things; a ref of a range is its mark."""
    wanted = set(refs)
    marks = {split_ref(ref)[1] for ref in wanted if ref.startswith("range:")}
    return [held for held in ranges if held.key in marks or held.refs & wanted]
