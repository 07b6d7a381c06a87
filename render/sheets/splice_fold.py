"""Folding equal ranges of a splice schematic into one row each, all or all but those that somebody opened.

An equal range is rows whose both ends go on in the same cable, tube or panel in the same order and the same state.
Where each of its fibres leads may differ: a range to thirty homes is one range.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from render.sheets.splice_rows import Bundle, Row


def _follows(one: Bundle | None, other: Bundle | None) -> bool:
    if one is None or other is None:
        return one is other
    return (one.kind, one.owner, one.tube, one.side) == (other.kind, other.owner, other.tube, other.side) and (
        other.numbers[0] == one.numbers[-1] + 1
    )


def _slots_follow(one: tuple[int, ...], other: tuple[int, ...]) -> bool:
    if not one or not other:
        return not one and not other
    return other[0] - one[-1] in (0, 1)


def folds(one: Row, other: Row) -> bool:
    """Whether the second row goes on where the first ends: both sides consecutive, same order, owners and state.

    Services count as state: a live fibre is never hidden among planned or spare ones.
    """
    return (
        one.state == other.state
        and one.state in ("joined", "plugged")
        and one.tray == other.tray
        and one.status == other.status
        and one.measured == other.measured
        and one.life == other.life
        and bool(one.far) == bool(other.far)
        and _follows(one.left, other.left)
        and _follows(one.right, other.right)
        and _slots_follow(one.slots, other.slots)
    )


def runs_of(rows: Sequence[Row]) -> list[list[Row]]:
    """Rows in equal ranges, in their order; most rows of a hand-made joint are a range of one."""
    runs: list[list[Row]] = []
    for row in rows:
        if runs and folds(runs[-1][-1], row):
            runs[-1].append(row)
        else:
            runs.append([row])
    return runs


def range_key(run: Sequence[Row]) -> str:
    """What an equal range is called while a view holds it open: the node where its left end begins."""
    first = run[0].bundle
    return first.nodes[0] if first.nodes else f"{first.owner}:{first.numbers[0]}"


def fold(rows: Sequence[Row], opened: Collection[str] = ()) -> tuple[Row, ...]:
    """Rows with every equal range made one; the ranges whose key is in ``opened`` stay row by row, marked as such."""
    made: list[Row] = []
    for run in runs_of(rows):
        key = range_key(run)
        if len(run) == 1:
            made.append(run[0])
        elif key in opened:
            made += [replace(row, part_of=(key, len(run), index)) for index, row in enumerate(run)]
        else:
            made.append(replace(_joined(run), part_of=(key, len(run), -1)))
    return tuple(made)


def _gather(bundles: Sequence[Bundle | None]) -> Bundle | None:
    held = [b for b in bundles if b is not None]
    if not held:
        return None
    numbers = tuple(n for b in held for n in b.numbers)
    return replace(held[0], numbers=numbers, nodes=tuple(n for b in held for n in b.nodes))


def _beyond(run: Sequence[Row]) -> Bundle | None:
    """What lies behind the ports of a range, where it is one range itself but for its tubes."""
    behind = [row.beyond for row in run]
    held = [b for b in behind if b is not None]
    if len(held) < len(run) or len({(b.kind, b.owner, b.side) for b in held}) > 1:
        return None
    numbers = [n for b in held for n in b.numbers]
    return _gather(held) if numbers == list(range(numbers[0], numbers[0] + len(numbers))) else None


def _joined(run: Sequence[Row]) -> Row:
    first = run[0]
    fars = list(dict.fromkeys(row.far for row in run))
    return replace(
        first,
        left=_gather([row.left for row in run]),
        right=_gather([row.right for row in run]),
        splices=tuple(s for row in run for s in row.splices),
        slots=tuple(dict.fromkeys(s for row in run for s in row.slots)),
        services=tuple(dict.fromkeys(s for row in run for s in row.services)),
        far=fars[0] if len(fars) == 1 else "",
        places=len(fars),
        losses_db=tuple(v for row in run for v in row.losses_db),
        beyond=_beyond(run),
    )
