"""Several typed lines done one after another on a plant, as the command line does; the first that cannot be ends it.

Each line is one step of the history given; it sees what the lines before it did. A line that darkens a live service
is refused unless an outage is given.
"""

from __future__ import annotations

from collections.abc import Iterable

from model.errors import PlantError
from model.graph import Continuity
from model.history import History
from model.ids import SiteId
from model.line.context import Context
from model.line.opening import SetOutage
from model.line.picks import Joined
from model.line.readback import Reading, read_line
from model.line.wording import plural


class Sayer:
    """Lines said to one history; ``place`` is where they are said, None for the whole plant."""

    def __init__(self, history: History, place: SiteId | None = None, outage: str = "", now: str = "") -> None:
        self.history = history
        self.continuity = Continuity(history.plant)
        history.listen(self.continuity.update)
        self.place = place
        self.outage = outage
        self.now = now
        self._last: Joined | None = None

    @property
    def context(self) -> Context:
        """The plant as the lines so far leave it."""
        return Context(self.history.plant, self.continuity, self.place, last=self._last, now=self.now)

    def read(self, text: str, where: str = "") -> Reading:
        """A line read back and not done. Raises PlantError with the column."""
        reading = read_line(self.context, text, complete=False)
        if reading.error is not None:
            fault = reading.error
            at = f"{where}, column {fault.column}" if where else f"column {fault.column}"
            raise PlantError(fault.message, where=at, hint=fault.hint, column=fault.column)
        return reading

    def say(self, text: str, where: str = "") -> Reading:
        """Do one line; its reading. Raises PlantError with the column, or naming the services that would go dark."""
        reading = self.read(text, where)
        edits = reading.edits
        if reading.holds:
            if not self.outage:
                raise PlantError(
                    f"{plural(len(reading.holds), 'live service')} would be touched: {reading.hold_words}",
                    where=where,
                    hint="Name the planned outage, or confirm it",
                )
            edits = (*edits, *(SetOutage(cable, stop, self.outage) for cable, stop in reading.cut_at))
        if edits:
            self.history.do(*edits, name=reading.name)
        self._last = reading.joined or self._last
        return reading

    def say_all(self, lines: Iterable[str]) -> list[Reading]:
        """Do all lines in their order; faults name the line by its number where there are several."""
        said = list(lines)
        return [self.say(line, f"line {n}" if len(said) > 1 else "") for n, line in enumerate(said, start=1)]
