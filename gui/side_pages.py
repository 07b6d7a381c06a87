"""Pages that stand in place of the canvas until Esc or another view: help with the Line, the lists of a place."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtWidgets import QStackedWidget

from gui.document import Document
from gui.panels.line_help import LineHelp
from gui.panels.lists_page import ListsPage
from gui.session import Session
from model.changes import ChangeSet
from render.table_lists import all_tables


class SidePages:
    """The two pages in a window's stack; ``back`` shows what was there before, ``tell`` says a sentence."""

    def __init__(
        self,
        stack: QStackedWidget,
        document: Document,
        session: Session,
        back: Callable[[], None],
        tell: Callable[[str], None],
    ) -> None:
        self.stack, self.document, self.session, self._back = stack, document, session, back
        self.help, self.lists = LineHelp(), ListsPage()
        for page in (self.help, self.lists):
            page.left.connect(back)
            stack.addWidget(page)
        self.lists.told.connect(tell)
        session.view_changed.connect(lambda _index: self.leave())
        session.place_changed.connect(self._fill)
        document.changed.connect(self._changed)

    def show_help(self) -> None:
        """What the Line understands."""
        self.stack.setCurrentWidget(self.help)
        self.help.setFocus()

    def show_lists(self) -> None:
        """The lists of the place, or of the whole plant."""
        if not self.document.is_open:
            return
        self.stack.setCurrentWidget(self.lists)
        self._fill()
        self.lists.setFocus()

    def leave(self) -> None:
        """Back to what was there before, if one of these pages is in sight."""
        if self.stack.currentWidget() in (self.help, self.lists):
            self._back()

    def _changed(self, changes: ChangeSet) -> None:
        self._fill()

    def _fill(self) -> None:
        """The rows as the plant is now; made only while they are in sight."""
        if self.stack.currentWidget() is not self.lists:
            return
        site = self.document.plant.sites.get(self.session.place) if self.session.place else None
        name = site.name if site else "the whole plant"
        self.lists.show_tables(name, all_tables(self.document.continuity, site.id if site else None))
