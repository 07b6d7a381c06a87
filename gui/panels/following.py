"""How a panel follows the open plant: the few things it needs of a document, and one refresh per step.

Panels never hold a plant of their own; after ``changed`` or ``opened`` they read the document again.
"""

from __future__ import annotations

from typing import Any, Protocol

from gui.panels.gauge_data import Judged
from model.changes import ChangeSet


class Source(Judged, Protocol):
    """A document as a panel sees it; ``changed`` and ``opened`` are its signals."""

    changed: Any
    opened: Any


class Follows:
    """Mixed into a panel: keeps the document and the place, and refreshes on every step."""

    _document: Source | None = None
    _site: str | None = None

    def _follow(self, document: Source) -> None:
        if self._document is not None:
            self._document.changed.disconnect(self._stepped)
            self._document.opened.disconnect(self._stepped)
        self._document = document
        document.changed.connect(self._stepped)
        document.opened.connect(self._stepped)
        self.refresh()

    def _stepped(self, changes: object = None) -> None:
        # A ticket says nothing of the glass, and is kept while the telephone rings: nobody waits for panels then.
        if not (isinstance(changes, ChangeSet) and changes.only("tickets")):
            self.refresh()

    def refresh(self) -> None:
        """Read the document again."""
        raise NotImplementedError
