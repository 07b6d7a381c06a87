"""Calling a thing by another name: one edit each, refused where the name would be empty or another thing's."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from model.changes import Draft
from model.errors import EditError

LONGEST: Final = 80
"""Characters of a name; a longer one runs out of every column."""
ALONE: Final = {
    "cables": ("cables", "sites"),
    "sites": ("cables", "sites"),
    "services": ("services",),
    "splitters": ("splitters",),
}
"""Tables in which a name of each kind must be alone: a line or a reference could not tell them apart."""


@dataclass(frozen=True, slots=True)
class Rename:
    """Give a cable, site, service, splitter, enclosure or tray another name; a box called like its site follows it.

    Raises EditError for a name that is empty, too long or taken.
    """

    table: str
    id: str
    new: str
    name: str = "name"

    def write(self, draft: Draft) -> None:
        """Write into the draft."""
        entity = draft.table(self.table).get(self.id)
        if entity is None:
            raise EditError(f"there is no {self.id!r} in {self.table}", hint="It may have been removed already")
        new = " ".join(self.new.split())
        if not new or len(new) > LONGEST or not new.isprintable():
            raise EditError("this is no name", hint=f"Use 1 to {LONGEST} letters, digits and marks")
        for table in ALONE.get(self.table, ()):
            if any(
                e.name.lower() == new.lower() and (table, e.id) != (self.table, self.id)
                for e in draft.table(table).values()
            ):
                raise EditError(f"a {table[:-1]} is called {new} already", hint="Choose another name")
        if self.table == "trays" and any(
            t.enclosure == entity.enclosure and t.id != entity.id and t.name.lower() == new.lower()
            for t in draft.plant.trays.values()
        ):
            raise EditError(f"a tray here is called {new} already", hint="Choose another name")
        draft.put(replace(entity, name=new))
        if self.table == "sites":
            for box in list(draft.plant.enclosures.values()):
                if box.site == self.id and box.name == entity.name:
                    draft.put(replace(box, name=new))
