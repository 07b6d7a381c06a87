"""What Enter does: a line that darkens a live service is held once, and any change of the text arms the stop again."""

from __future__ import annotations

from typing import Literal

from model.line.readback import Reading

Verdict = Literal["do", "hold", "refuse", "nothing"]


class Entry:
    """The state between two presses of Enter. It knows no widget: the window asks it and acts."""

    def __init__(self) -> None:
        self._armed: tuple[str, tuple[str, ...]] | None = None

    def typed(self, text: str) -> None:
        """The text changed: a held line must be confirmed anew."""
        if self._armed is not None and self._armed[0] != text:
            self._armed = None

    def enter(self, reading: Reading) -> Verdict:
        """``do`` the edits or answers, ``hold`` (Enter again does it), ``refuse``, or ``nothing`` to do."""
        key = (reading.text, tuple(held.service for held in reading.holds))
        confirmed, self._armed = self._armed == key, None
        if not reading.ok:
            return "refuse"
        if not reading.changes and not reading.answers:
            return "nothing"
        if reading.holds and not confirmed:
            self._armed = key
            return "hold"
        return "do"
