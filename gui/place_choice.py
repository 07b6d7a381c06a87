"""The choice of a place in the head of the window: the whole plant, then every site, those with a box first.

It follows the plant, whose steps bring, take and name sites, and the session, which knows where the person is.
"""

from __future__ import annotations

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QComboBox

from gui.document import Document
from gui.session import Session
from model.changes import ChangeSet


class PlaceChoice(QObject):
    """Fills the box and goes where it says."""

    def __init__(self, document: Document, session: Session, box: QComboBox) -> None:
        super().__init__(box)
        self.document, self.session, self.box = document, session, box
        document.changed.connect(self._changed)
        box.activated.connect(lambda index: session.go(box.itemData(index)))

    def fill(self) -> None:
        """List the places anew and show the one in sight."""
        plant = self.document.plant
        self.box.clear()
        self.box.addItem("Whole plant", None)
        housed = {e.site for e in plant.enclosures.values()}
        for site in sorted(plant.sites.values(), key=lambda s: (s.id not in housed, s.name)):
            self.box.addItem(f"At {site.name}", site.id)
        self._show()

    def _changed(self, changes: ChangeSet) -> None:
        """Sites and boxes come, go and are named by steps too; the first box of a plant is gone to."""
        tables = {change.table for change in changes.changes}
        if tables & {"sites", "enclosures"}:
            self.fill()
            boxes = self.document.plant.enclosures.values()
            if self.session.place is None and "enclosures" in tables and len(boxes) == 1:
                self.session.go(next(iter(boxes)).site)

    def _show(self) -> None:
        index = self.box.findData(self.session.place)
        self.box.setCurrentIndex(max(index, 0))

    def show_place(self) -> None:
        """Show the place in sight."""
        if self.box.count() != len(self.document.plant.sites) + 1:
            self.fill()
        self._show()
