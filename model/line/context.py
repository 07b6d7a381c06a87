"""What a line is read against: the plant and its graph, the place and the picks; and what one step makes of it.

Names and services are worked out once per state of the plant and shared by every reading of it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

from model.changes import Draft
from model.entities import Mating, Splice, Tray
from model.graph import Continuity
from model.history import Edit
from model.ids import CableId, ServiceId, SiteId, StopId, TrayId
from model.line.faults import Fix, LineError, Span
from model.line.names import Names, nearest, quoted
from model.line.picks import Joined
from model.line.questions import Planned
from model.lookup import trays_of
from model.plant import Plant
from model.trace import services_by_node


class Context:
    """The plant as it is, and where the person is: place (None for the whole plant), picked cable and tray.

    ``ticket`` is the fault ticket in hand, the last one if it is None; ``now`` what a new one says of its time.
    ``continuity`` must be in step with the plant. A new one is made after every change of the plant.
    """

    def __init__(
        self,
        plant: Plant,
        continuity: Continuity,
        place: SiteId | None = None,
        cable: CableId | None = None,
        tray: TrayId | None = None,
        ticket: str | None = None,
        now: str = "",
        last: Joined | None = None,
    ) -> None:
        self.plant = plant
        self.continuity = continuity
        self.place = place if place in plant.sites else None
        self.cable = cable if cable in plant.cables else None
        self.tray = tray if tray in plant.trays else None
        self.ticket = ticket
        self.now = now
        self.last = last
        """What the line before has joined."""
        self.kept: dict[object, object] = {}
        """Answers that were costly to work out on this plant, by what was asked."""

    @cached_property
    def names(self) -> Names:
        """Every name of the plant."""
        return Names(self.plant)

    @cached_property
    def carried(self) -> dict[str, tuple[ServiceId, ...]]:
        """Services by node of the graph as it is."""
        found = services_by_node(self.continuity)
        return {node: tuple(ServiceId(key) for key in keys) for node, keys in found.items()}

    def at(
        self,
        place: SiteId | None,
        cable: CableId | None = None,
        tray: TrayId | None = None,
        ticket: str | None = None,
        now: str = "",
    ) -> Context:
        """The same plant from another place or with other picks; what is worked out already is kept."""
        other = Context(self.plant, self.continuity, place, cable, tray, ticket, now, self.last)
        for key in ("names", "carried", "kept"):
            if key in self.__dict__:
                other.__dict__[key] = self.__dict__[key]
        return other


@dataclass(frozen=True, slots=True)
class Chip:
    """One piece of the read-back: a label and plain words; ``warns`` where a person should look twice."""

    label: str
    text: str
    span: Span
    warns: bool = False


@dataclass(frozen=True, slots=True)
class Row:
    """One joint the line makes or moves, as the table shows it."""

    tray: str
    slot: int | None
    a: str
    b: str
    planned_db: float
    state: Literal["new", "existing", "parted"] = "new"


@dataclass(frozen=True, slots=True)
class Ghost:
    """A joint drawn before it is there: the two nodes of the graph, the tray and the slot."""

    a: str
    b: str
    tray: TrayId | None
    slot: int | None


@dataclass(frozen=True, slots=True)
class FreshCut:
    """A fibre that is cut by the line: cable, stop, running number."""

    cable: CableId
    stop: StopId
    fibre: int


@dataclass(frozen=True, slots=True)
class Answer:
    """What a line says without changing the plant.

    trace: ``nodes`` of the graph. who: ``ids`` of services. go: ``ids`` holds the site, cable or tray, or the finding's
    number. find: ``ids`` by ``labels``. ticket: the ticket written into, and the node a reading was taken at.
    """

    kind: Literal["trace", "who", "site", "cable", "tray", "finding", "find", "ticket"]
    ids: tuple[str, ...] = ()
    labels: tuple[str, ...] = ()
    nodes: tuple[str, ...] = ()
    number: float | None = None


@dataclass(slots=True)
class Made:
    """What one step comes to."""

    name: str
    edits: list[Edit] = field(default_factory=list)
    chips: list[Chip] = field(default_factory=list)
    cuts: list[FreshCut] = field(default_factory=list)
    apart: list[Splice] = field(default_factory=list)
    pulled: list[Mating] = field(default_factory=list)
    """Plugs taken out."""
    joints: list[str] = field(default_factory=list)
    """Ids of splices made or moved, in order."""
    beside: list[FreshCut] = field(default_factory=list)
    """Fibres that stay uncut in the tubes worked on; a live one among them is held like one that goes dark."""
    outage_at: list[tuple[CableId, StopId]] = field(default_factory=list)
    answer: Answer | None = None
    joined: Joined | None = None
    plan: Planned | None = None


class Bench:
    """Where the steps of one line are tried, each seeing what the earlier ones did."""

    def __init__(self, context: Context, text: str) -> None:
        self.context = context
        self.text = text
        self.draft = Draft(context.plant)
        self.joined: Joined | None = None
        """What an earlier step of this line has joined."""
        self.touched = False
        """True when an earlier edit of this line was tried."""

    @property
    def plant(self) -> Plant:
        """The plant as the steps so far would leave it."""
        return self.draft.plant

    def do(self, made: Made, edit: Edit) -> None:
        """Try an edit and keep it as part of a step. Raises EditError."""
        edit.write(self.draft)
        self.touched = True
        made.edits.append(edit)

    def trays_at(self, site: str) -> list[Tray]:
        """Trays of a site, enclosure by enclosure, by position."""
        boxes = sorted((e for e in self.plant.enclosures.values() if e.site == site), key=lambda e: (e.name, e.id))
        return [tray for box in boxes for tray in trays_of(self.plant, box.id)]

    def fault_name(self, text: str, span: Span, what: str, known: list[str], *, open_end: bool = True) -> LineError:
        """Nothing of a kind is called so: the nearest names that are."""
        close = nearest(text, known)
        starts = [name for name in known if name.lower().startswith(text.lower())]
        at_end = span.end > len(self.text.rstrip())
        return LineError(
            f"no {what} is called {text!r}" if text else f"{what} is missing here",
            span,
            nearest=", ".join(quoted(name) for name in close),
            hint="" if close else "The plant has none yet",
            fixes=tuple(Fix(span, quoted(name)) for name in [*starts[:1], *close]),
            incomplete=open_end and at_end and bool(starts),
        )
