"""Saying a typed line back: chips in plain words, rows and ghosts, what the trays hold then, who goes dark.

Reading never changes the plant and never raises: whatever is typed gives a ``Reading``. Losses are dB.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from model.changes import ChangeSet
from model.graph import end_node
from model.history import Edit
from model.ids import CableId, ServiceId, SpliceId, StopId
from model.line.alive import live_beside, node_before
from model.line.compile import compile_line
from model.line.complete import Completion, completions
from model.line.context import Answer, Bench, Chip, Context, FreshCut, Ghost, Made, Row
from model.line.faults import LineError
from model.line.gauges import Gauge, gauges
from model.line.grammar import parse
from model.line.opening import SetOutage
from model.line.picks import Joined
from model.line.questions import Planned
from model.line.syntax import Line
from model.line.wording import end_text, plural, undo_name
from model.lookup import service_name
from model.plant import Plant

MOST_MENDS = 6
"""Faults mended one after another before giving up on a repaired text."""
MOST_FIXES = 4
"""Ways tried to mend one fault."""


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong: 1-based ``column`` and ``length`` of the piece, the message, and what would work.

    ``repaired`` is the whole line mended; it reads without error, or it is empty. ``incomplete`` means that nothing is
    wrong so far and something must still follow.
    """

    column: int
    length: int
    message: str
    hint: str
    nearest: str = ""
    repaired: str = ""
    incomplete: bool = False

    def __str__(self) -> str:
        line = f"column {self.column}: {sentence(self.message, self.hint)}"
        return " ".join("".join(c if c.isprintable() else " " for c in line).split())


@dataclass(frozen=True, slots=True)
class Held:
    """A live service that the line darkens: its id, its name with the customer, and the glass it is on."""

    service: ServiceId
    name: str
    on: str


@dataclass(frozen=True, slots=True)
class Reading:
    """What a line means on the plant as it is.

    ``ok`` is false only where ``error`` says why. ``edits`` is one undo step called ``name``; ``changes`` is what it
    writes. ``holds`` are the live services that go dark, or lie in a tube that the planner would work on, with no
    outage named: the first Enter must stop there. ``dark`` are those that go dark.
    """

    text: str
    ok: bool
    name: str = ""
    chips: tuple[Chip, ...] = ()
    rows: tuple[Row, ...] = ()
    ghosts: tuple[Ghost, ...] = ()
    gauges: tuple[Gauge, ...] = ()
    edits: tuple[Edit, ...] = ()
    changes: ChangeSet | None = None
    holds: tuple[Held, ...] = ()
    dark: tuple[Held, ...] = ()
    cut_at: tuple[tuple[CableId, StopId], ...] = ()
    answers: tuple[Answer, ...] = ()
    joined: Joined | None = None
    """What its last join joined, for a ``next`` after it."""
    plan: Planned | None = None
    error: Fault | None = None
    completions: tuple[Completion, ...] = ()

    @property
    def hold_words(self) -> str:
        """``CLINIC goes dark``, ``C5, C6 are live in the tubes worked on``; empty where nothing is held."""
        dark = {held.service for held in self.dark}
        gone = [held.name for held in self.holds if held.service in dark]
        near = [held.name for held in self.holds if held.service not in dark]
        said = [f"{', '.join(gone[:4])} {'goes' if len(gone) == 1 else 'go'} dark"] if gone else []
        said += (
            [f"{', '.join(near[:4])} {'is' if len(near) == 1 else 'are'} live in the tubes worked on"] if near else []
        )
        return "; ".join(said)

    def confirmed_by(self, name: str) -> tuple[Edit, ...]:
        """The edits of a held line that somebody has confirmed: their name is written where live glass is cut."""
        extra = tuple(SetOutage(cable, stop, f"confirmed by {name}") for cable, stop in self.cut_at)
        return (*self.edits, *extra) if self.holds and name else self.edits


def read_line(context: Context, text: str, *, complete: bool = True) -> Reading:
    """Read a line against the plant as it is. Never raises and never changes the plant."""
    found = _read(context, text)
    if isinstance(found, LineError):
        repaired = _repaired(context, text, found, 1 if found.incomplete else MOST_MENDS)
        error = Fault(
            found.column, found.span.length, found.message, found.hint, found.nearest, repaired, found.incomplete
        )
        chip = Chip(
            "wrong" if not found.incomplete else "then",
            sentence(found.message, found.hint),
            found.span,
            warns=not found.incomplete,
        )
        found = Reading(text, ok=False, error=error, chips=(chip,))
    if not complete:
        return found
    offered = tuple(completions(context, text, 3, lambda t: _fault(context, t)))
    return replace(found, completions=offered)


def all_completions(context: Context, text: str, most: int = 60) -> tuple[Completion, ...]:
    """Every ending that can follow, in grammar order, at most ``most``."""
    return tuple(completions(context, text, most, lambda t: _fault(context, t)))


def sentence(message: str, hint: str) -> str:
    """What is wrong and what to do, as one line."""
    if not hint:
        return message
    return f"{message}{'' if message.endswith('?') else '.'} {hint}"


def _fault(context: Context, text: str) -> LineError | None:
    """What is wrong with a line, None if it reads."""
    try:
        compile_line(Bench(context, text), parse(text, context.names))
    except LineError as fault:
        return fault
    return None


def _read(context: Context, text: str) -> Reading | LineError:
    bench = Bench(context, text)
    try:
        line = parse(text, context.names)
        made = compile_line(bench, line)
    except LineError as fault:
        return fault
    return _reading(bench, line if isinstance(line, Line) else None, text, made)


def _repaired(context: Context, text: str, fault: LineError, mends: int) -> str:
    """The text mended until it reads without error; empty where that does not come out."""
    seen = {text}

    def mend(line: str, why: LineError, left: int) -> str:
        for fix in why.fixes[:MOST_FIXES]:
            mended = fix.on(line)
            if mended in seen or len(mended) > 2 * len(text) + 512:
                continue
            seen.add(mended)
            again = _fault(context, mended)
            if again is None:
                return mended
            if left > 1 and len(seen) < 3 * MOST_MENDS:
                deeper = mend(mended, again, left - 1)
                if deeper:
                    return deeper
        return ""

    return mend(text, fault, mends)


def _reading(bench: Bench, line: Line | None, text: str, made: list[Made]) -> Reading:
    plant, after = bench.context.plant, bench.plant
    name = undo_name("; ".join(m.name for m in made if m.edits))
    edits = tuple(edit for m in made for edit in m.edits)
    changes = bench.draft.change_set(name) if edits else None
    dark = _dark(bench.context, [c for m in made for c in m.cuts], made)
    unnamed = _dark(
        bench.context,
        [c for m, s in zip(made, line.steps if line else (), strict=False) if not s.outage for c in m.cuts],
        [m for m, s in zip(made, line.steps if line else (), strict=False) if not s.outage],
    )
    steps = zip(made, line.steps if line else (), strict=False)
    beside = _dark(bench.context, [c for m, s in steps if not s.outage for c in m.beside], [])
    holds = [*unnamed, *(held for held in beside if held not in unnamed)]
    chips = [chip for m in made for chip in m.chips]
    chips += _first(made, line, dark, unnamed)
    gone = {held.service for held in (*dark, *beside)}
    near = [service_name(plant, key) for key in live_beside(bench.context, changes) if key not in gone]
    if near and line is not None and line.steps:
        words = ", ".join(near[:3]) + (f" and {len(near) - 3} more" if len(near) > 3 else "")
        chips.append(Chip("live beside the work", f"{words}: keep lit", line.steps[0].span, warns=True))
    return Reading(
        text=text,
        ok=True,
        name=name,
        chips=tuple(chips),
        rows=tuple(_rows(plant, after, made)),
        ghosts=tuple(_ghosts(after, made)),
        gauges=tuple(gauges(plant, after, changes)),
        edits=edits,
        changes=changes,
        holds=tuple(holds),
        dark=tuple(dark),
        cut_at=tuple(dict.fromkeys(at for m in made for at in m.outage_at)) if holds else (),
        joined=bench.joined,
        plan=next((m.plan for m in reversed(made) if m.plan), None),
        answers=tuple(m.answer for m in made if m.answer),
    )


def _first(made: list[Made], line: Line | None, dark: list[Held], unnamed: list[Held]) -> list[Chip]:
    """The last chips: what is cut first, who goes dark, under which outage."""
    if line is None or not line.steps:
        return []
    chips = []
    joins = [(m, s) for m, s in zip(made, line.steps, strict=False) if s.verb.text == "join" and m.cuts]
    count = sum(len(m.cuts) for m, _ in joins)
    live = len({held.on for held in dark})
    span = (joins[-1][1] if joins else line.steps[-1]).span
    if count:
        words = f"cut {count} here" + (f", {live} {'is' if live == 1 else 'are'} live" if live else "")
        chips.append(Chip("first", words, span, warns=bool(unnamed)))
    if dark:
        names = ", ".join(h.name for h in dark[:3]) + (f" and {len(dark) - 3} more" if len(dark) > 3 else "")
        verb = "goes" if len(dark) == 1 else "go"
        chips.append(Chip(f"{plural(len(dark), 'live service')} {verb} dark", names, span, warns=bool(unnamed)))
    outage = next((s.outage for s in reversed(line.steps) if s.outage), None)
    if outage:
        chips.append(Chip("outage", outage.text, outage.span))
    return chips


def _dark(context: Context, cuts: list[FreshCut], made: list[Made]) -> list[Held]:
    """Live services on glass that is cut or on joints that are taken apart, by name, each once."""
    plant = context.plant
    found: dict[ServiceId, str] = {}
    nodes: list[tuple[str, str]] = []
    for cut in cuts:
        node = node_before(context, cut)
        if node is not None:
            nodes.append((node, f"{plant.cables[cut.cable].name}:{cut.fibre}"))
    for m in made:
        nodes += [(end_node(end), end_text(plant, end)) for s in m.apart for end in (s.a, s.b)]
        nodes += [(end_node(mating.end), end_text(plant, mating.end)) for mating in m.pulled]
    if not nodes:
        return []
    carried = context.carried
    for node, on in nodes:
        for key in carried.get(node, ()):
            if plant.services[key].status == "live":
                found.setdefault(key, on)
    return [
        Held(key, service_name(plant, key), on)
        for key, on in sorted(found.items(), key=lambda item: plant.services[item[0]].name)
    ]


def _rows(plant: Plant, after: Plant, made: list[Made]) -> list[Row]:
    rows = []
    apart: set[str] = set()
    for m in made:
        apart.update(splice.id for splice in m.apart)
        for splice in m.apart:
            tray = plant.trays[splice.tray].name if splice.tray in plant.trays else ""  # type: ignore[index]
            a, b = end_text(plant, splice.a), end_text(plant, splice.b)
            rows.append(Row(tray, splice.slot, a, b, splice.planned_db, "parted"))
        for key in m.joints:
            new = after.splices.get(SpliceId(key))
            if new is None:
                continue  # a later step of the same line takes it apart again
            tray = after.trays[new.tray].name if new.tray else ""
            state = "existing" if key in plant.splices and key not in apart else "new"
            a, b = end_text(after, new.a), end_text(after, new.b)
            rows.append(Row(tray, new.slot, a, b, new.planned_db, state))  # type: ignore[arg-type]
    return rows


def _ghosts(after: Plant, made: list[Made]) -> list[Ghost]:
    keys = dict.fromkeys(SpliceId(key) for m in made for key in m.joints)
    splices = [after.splices[key] for key in keys if key in after.splices]
    return [Ghost(end_node(s.a), end_node(s.b), s.tray, s.slot) for s in splices]
