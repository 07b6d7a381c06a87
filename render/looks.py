"""How a tube or a fibre of a cable is named and painted: number, two letters, fill, ink and marks.

One place for all sheets, so that the same glass looks the same everywhere. Numbers are running numbers within the
cable. It must not know where anything is drawn, and judges nothing.
"""

from __future__ import annotations

from dataclasses import dataclass

from model.colours import CODES, ColourMark, colour_at
from model.entities import Cable
from model.lookup import cable_type, tube_of
from model.plant import Plant
from render.style import Look, look_of
from render.tableblock import Cell, chip_cell


@dataclass(frozen=True, slots=True)
class GlassLook:
    """The look of one tube or fibre. ``label`` is its chip's text, such as "T3-GR" or "27 GR".

    ``colour`` is the base colour's plain name, ``words`` says it with its stripes or rings, ``marks`` counts
    those (0 for the first dozen) and ``mark_colour`` names their colour, empty for none. ``fill`` and ``ink`` are
    ``#RRGGBB``.
    """

    label: str
    colour: str
    words: str
    marks: int
    mark_colour: str
    ref: str

    @property
    def look(self) -> Look:
        """Fill, ink and mono pattern of the base colour."""
        return look_of(self.colour)

    @property
    def fill(self) -> str:
        """Colour of the core."""
        return self.look.fill

    @property
    def ink(self) -> str:
        """Colour of lettering on the fill."""
        return self.look.ink

    @property
    def code(self) -> str:
        """Two letters of the base colour."""
        return CODES[self.colour]

    def cell(self) -> Cell:
        """The chip as a field of a table."""
        return chip_cell(self.label, self.look, self.marks, self.ref)


def _glass(label: str, mark: ColourMark, ref: str) -> GlassLook:
    return GlassLook(f"{label}{CODES[mark.colour]}", mark.colour, mark.words, mark.marks, mark.mark_colour, ref)


def tube_look(plant: Plant, cable: Cable, tube: int) -> GlassLook:
    """Look of a tube, counted from 1. Raises PlantError for a number below 1."""
    scheme = plant.schemes[cable_type(plant, cable).tube_scheme]
    return _glass(f"T{tube}-", colour_at(scheme, tube), f"tube:{cable.id}:{tube}")


def fibre_look(plant: Plant, cable: Cable, fibre: int) -> GlassLook:
    """Look of a fibre by its running number; colours count anew in every tube, and in every ribbon.

    Raises PlantError when the cable has no such fibre.
    """
    kind = cable_type(plant, cable)
    _, position = tube_of(kind, fibre)
    if kind.ribbon:
        position = (position - 1) % kind.ribbon + 1
    return _glass(f"{fibre} ", colour_at(plant.schemes[kind.fibre_scheme], position), f"fibre:{cable.id}:{fibre}")


def ranges(numbers: tuple[int, ...]) -> str:
    """Ascending numbers as people write them: "25-34", "1-3, 7", "13, 14"; empty for none."""
    runs: list[list[int]] = []
    for number in sorted(set(numbers)):
        if runs and number == runs[-1][1] + 1:
            runs[-1][1] = number
        else:
            runs.append([number, number])
    return ", ".join(str(a) if a == b else f"{a}-{b}" for a, b in runs)
