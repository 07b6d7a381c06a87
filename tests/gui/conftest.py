"""Every test of the window runs without a screen, with the shipped lettering, and leaves no window behind."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from typing import Any

import pytest

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from gui.theme import BODY, DAY, font, load_fonts, palette, style_sheet
from model.changes import ChangeSet
from model.graph import Continuity
from model.history import History
from model.ids import SiteId
from model.plant import Plant
from model.rules.registry import Finding, Severity
from model.templates import TEMPLATES


@pytest.fixture(scope="session", autouse=True)
def dressed(qapp: QApplication) -> QApplication:
    """The application with its lettering and day colours."""
    load_fonts()
    qapp.setStyle("Fusion")
    qapp.setFont(font(BODY))
    qapp.setPalette(palette(DAY))
    qapp.setStyleSheet(style_sheet(DAY))
    return qapp


@pytest.fixture(autouse=True)
def nothing_left_open(dressed: QApplication, request: pytest.FixtureRequest) -> Iterator[None]:
    """A test that leaves a visible top-level widget fails: the next test would get its focus and its events."""
    if "qtbot" in request.fixturenames:
        request.getfixturevalue("qtbot")
    yield
    left = [widget for widget in dressed.topLevelWidgets() if widget.isVisible()]
    known = {id(ref()) for ref, _ in getattr(request.node, "qt_widgets", [])}
    leaked = [f"{type(widget).__name__} {widget.objectName()!r}" for widget in left if id(widget) not in known]
    for widget in left:
        if id(widget) not in known:
            widget.close()
            widget.deleteLater()
    assert not leaked, f"left open: {', '.join(leaked)}"


class Plain(QObject):
    """What panels need of the window's document: a plant with its graph and findings, and two signals."""

    changed = Signal(object)
    opened = Signal()

    def __init__(self, plant: Plant) -> None:
        super().__init__()
        self.findings: tuple[Finding, ...] = ()
        self.take(plant)

    def take(self, plant: Plant) -> None:
        """Put another plant in place of the one shown."""
        self.history = History(plant)
        self.continuity = Continuity(plant)
        self.history.listen(self._written)
        self.opened.emit()

    @property
    def plant(self) -> Plant:
        """The plant shown."""
        return self.history.plant

    def _written(self, changes: ChangeSet) -> None:
        self.continuity.update(changes)
        self.changed.emit(changes)


@pytest.fixture
def front(qtbot: QtBot) -> Callable[[QWidget], None]:
    """Shows a widget as the active window, without which nothing in it can have focus."""

    def bring(widget: QWidget) -> None:
        qtbot.addWidget(widget)
        widget.show()
        widget.activateWindow()
        qtbot.waitUntil(widget.isActiveWindow, timeout=3000)

    return bring


@pytest.fixture
def document(dressed: QApplication) -> Plain:
    """The mid-span tap of the small wall box."""
    return Plain(TEMPLATES["mid-span-small"]())


@pytest.fixture
def plain(dressed: QApplication) -> type[Plain]:
    """For a document of another plant."""
    return Plain


def _finding(
    rule: str, severity: Severity, message: str, *, site: str = "wb-07", refs: tuple[str, ...] = (), **more: Any
) -> Finding:
    values: dict[str, Any] = {"measured": None, "limit": None, "unit": "", "accepted": False, "cures": ()} | more
    return Finding(rule=rule, severity=severity, refs=refs, message=message, basis="", site=SiteId(site), **values)


@pytest.fixture
def finding() -> Callable[..., Finding]:
    """Makes a finding: rule, severity, message, and what else differs from nothing."""
    return _finding
