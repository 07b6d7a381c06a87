"""Build the sample plants from the templates: ``python samples/build.py`` rewrites every file beside this one.

Each broken plant is a good one with one planted fault, written past the edits' own checks as a wrong record would be.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Final

from model.entities import FibreEnd, Splice
from model.ids import SpliceId
from model.plant import Entity, Plant
from model.rules.run import RULES
from model.storage.files import save
from model.templates import LARKMOOR, THISTLEMERE, mid_span
from model.templates.cabinet import bramblecote
from model.templates.marrowfield import marrowfield

HERE: Final = Path(__file__).parent


def _with(plant: Plant, *changed: Entity) -> Plant:
    """The plant with entities added or replaced, unchecked."""
    ids = {(type(entity), entity.id) for entity in changed}
    return Plant([*(e for e in plant.entities() if (type(e), e.id) not in ids), *changed])


def fibre_17_to_drop_5() -> Plant:
    """A schedule row joins uncut fibre 17 to fibre 5 of a drop that has four."""
    plant = mid_span(THISTLEMERE)
    a = FibreEnd(plant.cables["tm-b1"].id, 17, plant.cables["tm-b1"].stops[1].id, "<")
    b = FibreEnd(plant.cables["d-1"].id, 5, plant.cables["d-1"].stops[0].id, ">")
    model = next(iter(plant.splices.values()))
    return _with(plant, Splice(SpliceId("row 17"), model.site, a, b, model.tray, 5))


GOOD: Final[dict[str, Callable[[], Plant]]] = {
    "thistlemere": lambda: mid_span(THISTLEMERE),
    "larkmoor": lambda: mid_span(LARKMOOR),
    "bramblecote": bramblecote,
    "marrowfield": marrowfield,
}
FAULTS: Final[dict[str, str]] = {
    "ends-forgotten": "fibre.accounted",
    "end-used-twice": "fibre.twice",
    "uncut-fibre-joined": "joint.uncut",
    "fibre-49-of-48": "joint.fibre",
    "joined-to-itself": "joint.self",
    "ring": "path.ring",
    "swapped-fibres": "joint.order",
    "express-tube-on-tray": "express.whole",
    "live-tube-opened": "outage.live",
    "too-many-sleeves": "tray.sleeves",
    "tray-overfull": "tray.stored",
    "long-sleeves": "tray.sleeve_length",
    "slot-used-twice": "slot.twice",
    "tube-bent": "bend.tube",
    "tube-kinked": "bend.kink",
    "drop-bent": "bend.drop",
    "sheath-bent": "bend.sheath",
    "coil-too-small": "bend.coil",
    "fibre-stored-tightly": "bend.fibre",
    "course-impossible": "route.drawn",
    "seal-too-wide": "entry.seal",
    "open-entry": "entry.plug",
    "not-anchored": "anchor.strength",
    "not-bonded": "bond.metal",
    "tail-too-short": "tail.free",
    "bay-overfull": "bay.passes",
    "too-little-light": "budget.max",
    "too-much-light": "budget.min",
    "legs-loose": "splitter.parked",
    "gain-read-one-way": "splice.gain",
    "splice-rose-when-sealed": "splice.rise",
    "joint-made-four-times": "splice.attempts",
    "done-but-not-signed": "splice.unsigned",
}
"""Files in ``broken`` made from the bad example of a rule, which is the only one to speak about it."""

_RULES: Final = {rule.name: rule for rule in RULES}
BROKEN: Final[dict[str, Callable[[], Plant]]] = {
    "fibre-17-to-drop-5": fibre_17_to_drop_5,
    **{name: _RULES[rule].bad for name, rule in FAULTS.items()},
}


def main() -> None:
    """Write every sample."""
    for name, build in GOOD.items():
        save(build(), HERE / f"{name}.gwp")
    for name, build in BROKEN.items():
        save(build(), HERE / "broken" / f"{name}.gwp")


if __name__ == "__main__":
    main()
