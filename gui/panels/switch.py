"""The switch over a picture that chooses how it is shown: the word Show and a button for each way, one of them down."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from PySide6.QtWidgets import QButtonGroup, QHBoxLayout, QPushButton

from gui.panels.skin import Skin, Words, button
from gui.theme import LABEL


class Switch(QHBoxLayout):
    """Buttons of ``ways`` by key: (words, name, about). A press calls ``asked`` with the key."""

    def __init__(self, ways: Mapping[str, tuple[str, str, str]], chosen: str, asked: Callable[[str], None]) -> None:
        super().__init__()
        self.setContentsMargins(12, 6, 12, 6)
        self.setSpacing(0)
        self.title = Words("Show", LABEL, tone="ink2")
        self.title.setContentsMargins(0, 0, 10, 0)
        self.addWidget(self.title)
        self.group = QButtonGroup(self)
        self.buttons: dict[str, QPushButton] = {}
        for key, (words, name, about) in ways.items():
            made = button(words, name=name, about=about)
            made.setCheckable(True)
            made.setChecked(key == chosen)
            made.clicked.connect(lambda _=False, key=key: asked(key))
            self.group.addButton(made)
            self.buttons[key] = made
            self.addWidget(made)
        self.addStretch(1)

    def choose(self, key: str) -> None:
        """Put the button of a way down."""
        self.buttons[key].setChecked(True)

    def set_skin(self, skin: Skin) -> None:
        """Take colours and size."""
        self.title.set_skin(skin)
