"""Where free labels stand and where their leaders run, on any drawing.

Targets go in, with the two gutters, a band for tags above, and the boxes no leader may cross. Out come a
place, a shelf and one straight leg for each label, or the label comes back with a reason: none is dropped
silently. Millimetres on the page, y downwards. The same input always gives the same output.
"""

from __future__ import annotations

from collections.abc import Sequence

from render.leading import Search
from render.targets import Field, Placed, Placement, Target, Unplaced, limit_text

__all__ = ["Field", "Placed", "Placement", "Target", "Unplaced", "limit_text", "place_labels"]


def place_labels(targets: Sequence[Target], field: Field) -> Placement:
    """Place every label that can be placed with no leader crossing another, a label, or an obstacle.

    The work: wish each label's shelf at its target's height, push apart with least total move, order the
    legs by angle, then mend what still crosses by moving labels, aiming at alternative points, the other
    gutter and the band above. Labels given earlier win when room is short. Raises ``ValueError`` when two
    targets share a key or one has no line.
    """
    keys = [target.key for target in targets]
    if len(set(keys)) != len(keys):
        raise ValueError("two label targets share a key; give each its own")
    if any(not target.lines for target in targets):
        raise ValueError("a label target has no line of text")
    return Search(targets, field).run()
