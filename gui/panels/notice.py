"""The notice row: one sentence at a time, with its mark and at most two buttons; it pushes, never covers.

Errors stay until answered; others go after a while and stay readable in ``told``. A notice never takes focus, and if
focus stands in it when it goes, that is given back to where it came from.
"""

from __future__ import annotations

from collections import deque

from PySide6.QtCore import QRectF, Qt, QTimer, Signal
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QSizePolicy, QWidget

from gui.document import Notice
from gui.marks import WORDS, paint_mark
from gui.panels.skin import BODY, LABEL, Painted, Skin, Words, button
from gui.theme import DAY, Tokens

STAY_MS = 8000
HISTORY = 200


class NoticeBar(QWidget):
    """Shows notices one after the other, the gravest first."""

    left = Signal()
    """Focus leaves the row by Esc; the window puts it back where it was."""
    shown = Signal(object)
    """A notice came into sight, for the screen reader."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._skin = Skin()
        self._waiting: list[Notice] = []
        self.current: Notice | None = None
        self.told: deque[Notice] = deque(maxlen=HISTORY)
        self.setObjectName("notice")
        self.setAccessibleName("Notice")
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(STAY_MS)
        self._timer.timeout.connect(self._time_up)
        self._mark = Painted(22, 22, self._paint_mark)
        self.words = Words("", BODY)
        self.words.setWordWrap(True)
        self.words.setObjectName("noticeWords")
        self.count = Words("", LABEL, tone="ink2")
        self.buttons = [button("", name=f"noticeAction{n}") for n in (1, 2)]
        for number, made in enumerate(self.buttons):
            made.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            made.clicked.connect(lambda _=False, number=number: self._act(number))
        self.close_button = button("Close", name="noticeClose")
        self.close_button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.close_button.clicked.connect(self.dismiss)
        row = QHBoxLayout(self)
        row.setContentsMargins(16, 6, 16, 6)
        row.setSpacing(10)
        row.addWidget(self._mark)
        row.addWidget(self.words, 1)
        row.addWidget(self.count)
        for made in (*self.buttons, self.close_button):
            row.addWidget(made)
        self.hide()

    def _paint_mark(self, painter: QPainter, rect: QRectF, skin: Skin) -> None:
        if self.current is not None:
            paint_mark(painter, rect, self.current.severity, skin.tokens)

    def set_tokens(self, tokens: Tokens = DAY, large: bool = False) -> None:
        """Take colours and size."""
        self._skin = Skin(tokens, large)
        self.words.set_skin(self._skin)
        self.count.set_skin(self._skin)
        self._mark.set_skin(self._skin)
        for made in (*self.buttons, self.close_button):
            made.setMinimumHeight(self._skin.target)
        self.update()

    # -- the queue -----------------------------------------------------------------------------------------------

    def tell(self, notice: Notice) -> None:
        """Show a notice now or, while another is in sight, after it; an error goes before what may wait.

        The same sentence twice in a row is shown once.
        """
        if self.current is not None and self.current.text == notice.text:
            self._show(notice)
            return
        self._waiting = [waiting for waiting in self._waiting if waiting.text != notice.text]
        self.told.append(notice)
        if self.current is None or (notice.severity == "error" and self.current.severity != "error"):
            self._show(notice)
        else:
            self._waiting.append(notice)
            self._waiting.sort(key=lambda waiting: waiting.severity != "error")
            self._count()

    def _show(self, notice: Notice) -> None:
        self._timer.stop()
        self.current = notice
        self.words.setText(notice.text)
        self.words.setToolTip(notice.text)
        for made, action in zip(self.buttons, (*notice.actions[:2], None, None), strict=False):
            self._set_action(made, action.text if action is not None else "")
        self.setAccessibleDescription(f"{WORDS[notice.severity]}: {notice.text}")
        self._count()
        self._mark.update()
        self.update()
        self.show()
        if notice.severity != "error":
            self._timer.start()
        self.shown.emit(notice)

    @staticmethod
    def _set_action(made: QPushButton, text: str) -> None:
        made.setText(text)
        made.setAccessibleName(text)
        made.setVisible(bool(text))

    def _count(self) -> None:
        self.count.setText(f"{len(self._waiting)} more" if self._waiting else "")

    def _time_up(self) -> None:
        # Somebody who has gone to the row to answer is not robbed of the buttons under the hand.
        if self._holds_focus():
            self._timer.start()
        else:
            self.dismiss()

    def _holds_focus(self) -> bool:
        return any(made.hasFocus() for made in (*self.buttons, self.close_button))

    def dismiss(self) -> None:
        """Put the notice in sight away and show the next."""
        held = self._holds_focus()
        self._timer.stop()
        self.current = None
        if self._waiting:
            self._show(self._waiting.pop(0))
        else:
            if held:
                self.left.emit()
            self.hide()

    def clear(self) -> None:
        """Put all away, as when another plant is opened."""
        self._waiting.clear()
        self.dismiss()

    def _act(self, number: int) -> None:
        notice = self.current
        if notice is None or number >= len(notice.actions):
            return
        self.dismiss()
        notice.actions[number].run()

    # -- keys ----------------------------------------------------------------------------------------------------

    def go(self) -> bool:
        """Focus the row's first button, as F9 does; False when nothing is in sight."""
        if self.current is None:
            return False
        first = next((made for made in self.buttons if made.isVisibleTo(self)), self.close_button)
        first.setFocus(Qt.FocusReason.ShortcutFocusReason)
        return True

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802  # Qt's name
        """Esc gives the focus back and leaves the notice."""
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
            return
        super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802  # Qt's name
        """The ground by gravity, a bar at the left for an error."""
        painter = QPainter(self)
        tokens = self._skin.tokens
        error = self.current is not None and self.current.severity == "error"
        painter.fillRect(self.rect(), QColor(tokens.error_tint if error else tokens.raised))
        if error:
            painter.fillRect(QRectF(0, 0, 5, self.height()), QColor(tokens.error))
        painter.fillRect(QRectF(0, self.height() - 1, self.width(), 1), QColor(tokens.line))
