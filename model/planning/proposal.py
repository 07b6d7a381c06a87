"""A proposal: edits ready to be applied as one undo step, what it costs, and why, in plain sentences.

Proposals of one question are ranked: the first is the best by the order of its costs, and the same plant gives the
same proposals in the same order. Nothing here knows how a proposal is found.
"""

from __future__ import annotations

from dataclasses import dataclass

from model.history import Edit


@dataclass(frozen=True, slots=True)
class Proposal:
    """What could be done; ``history.do(*edits, name=name)`` does it as one step.

    ``cost`` holds (what, how many) in the order they count, all to be as low as can be. ``reasons`` say why this and
    not something else, with numbers; ``left_alone`` names what is not touched, and why.
    """

    name: str
    edits: tuple[Edit, ...]
    cost: tuple[tuple[str, int], ...]
    reasons: tuple[str, ...] = ()
    left_alone: tuple[str, ...] = ()

    @property
    def weight(self) -> tuple[int, ...]:
        """The costs alone, comparable with those of another answer to the same question."""
        return tuple(value for _, value in self.cost)


def count_of(number: int, word: str) -> str:
    """``1 fibre``, ``3 fibres``.

    >>> count_of(1, "fibre"), count_of(3, "fibre")
    ('1 fibre', '3 fibres')
    """
    return f"{number} {word}" if number == 1 else f"{number} {word}s"
