"""What tests of the fault ticket do at the window: paste lists, type into the reading, look up widgets."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit, QWidget

from tests.gui.hands import CTRL, Hands

DOWN_LIST = "C5\nC6\nC9, C10, C11"
UP_LIST = "C1 up\nC2 up\nC3 up\nC4 up\nC7\tup\nC8 up\nC12 ok"


def child(hands: Hands, name: str) -> QWidget:
    """A widget of the window by its object name."""
    found = hands.window.findChild(QWidget, name)
    assert found is not None, name
    return found


def paste(hands: Hands, text: str) -> None:
    """Ctrl+D, the list as if from a message, Ctrl+Enter."""
    hands.press(Qt.Key.Key_D, CTRL)
    assert hands.focus().objectName() == "pasteField"
    QApplication.clipboard().setText(text)
    hands.press(Qt.Key.Key_V, CTRL)
    hands.press(Qt.Key.Key_Return, CTRL)


def type_into(hands: Hands, name: str, text: str) -> None:
    """Go into a field, type over it, Enter."""
    field = child(hands, f"field {name}")
    assert isinstance(field, QLineEdit)
    field.setFocus(Qt.FocusReason.TabFocusReason)
    field.selectAll()
    QTest.keyClicks(field, text)
    QTest.keyClick(field, Qt.Key.Key_Return)
    hands.settle()


def whole_ticket(hands: Hands) -> None:
    """The ticket of the scenario by hand."""
    paste(hands, DOWN_LIST)
    paste(hands, UP_LIST)
    type_into(hands, "index set", "1.4682")
    type_into(hands, "launch lead", "150")
    type_into(hands, "shown end", "3359")


def counts(hands: Hands) -> str:
    """What the panel counts."""
    panel = hands.window.boards.trace.ticket
    return f"{panel.down.text()}, {panel.up.text()}, {panel.unknown.text()}"
