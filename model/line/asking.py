"""The steps that change nothing: ``trace``, ``who``, ``go``, and the find."""

from __future__ import annotations

import difflib
from itertools import pairwise
from typing import Final

from model.glass import mark_runs
from model.graph import end_node, port_node
from model.ids import SiteId
from model.line.context import Answer, Bench, Chip, Made
from model.line.faults import Fix, LineError, Span
from model.line.names import Kind, natural, nearest, quoted
from model.line.picks import LegPick
from model.line.places import tray_named, tray_site
from model.line.ports import ports_of
from model.line.resolve import glass, one_id
from model.line.said_joints import joints_in
from model.line.syntax import AtPort, Finding, Glass, OfService, OnTray, Piece, Step, Word
from model.line.verbs import TAILS
from model.line.wording import plain, plural
from model.lookup import service_name
from model.trace import service_node

SLIP: Final = 0.7
"""How alike a first word and a verb are at least for one to be a slip of the other, 0 to 1."""


def nodes_of(bench: Bench, step: Step) -> tuple[list[str], str]:
    """Nodes of the graph that pieces mean at this place, and the pieces in plain words."""
    nodes: list[str] = []
    words: list[str] = []
    for index, piece in enumerate(step.what):
        if isinstance(piece, OfService):
            key = one_id(bench, piece.name, "service")
            nodes.append(service_node(bench.context.continuity, key))
            words.append(service_name(bench.plant, key))
        elif isinstance(piece, AtPort):
            nodes += [port_node(port.id, "front") for port in ports_of(bench, piece, step.at)]
            words.append(f"port {piece.port.text}")
        elif isinstance(piece, OnTray):
            held = joints_in(bench, [piece], bench.context.place)
            nodes += [end_node(s.a) for _, _, group in held for s in group]
            words.append(plural(len(held), "joint"))
        elif isinstance(piece, Finding):
            raise LineError("a finding has no glass", piece.span, hint="Say go finding 2")
        else:
            nodes += _fibre_nodes(bench, step, piece, index, words)
    return list(dict.fromkeys(n for n in nodes if n in bench.context.continuity.graph)), ", ".join(words)


def _fibre_nodes(bench: Bench, step: Step, piece: Glass, index: int, words: list[str]) -> list[str]:
    """Pieces of glass at this place where the cable stops here, else everywhere; both sides of a cut unless said."""
    carry = None
    for earlier in step.what[:index]:
        if isinstance(earlier, Glass) and earlier.name is not None and earlier.last is None:
            ids = bench.context.names.ids(earlier.name.text, "cable")
            carry = ids[0] if len(ids) == 1 else carry
    picks = glass(bench, (piece,), carry if piece.name is None else None)  # type: ignore[arg-type]  # an id of a cable
    words.append(plain(bench.plant, picks))
    found: list[str] = []
    continuity = bench.context.continuity
    said = SiteId(one_id(bench, step.at, "site")) if step.at else None
    for pick in picks:
        if isinstance(pick, LegPick):
            found.append(end_node(pick.leg))
            continue
        cable = bench.plant.cables[pick.cable]
        starts = continuity.ends_of_fibre(cable, pick.fibre)
        site = pick.site or said or bench.context.place
        order: dict[str, int] = {stop.id: i for i, stop in enumerate(cable.stops)}
        here = [i for i, stop in enumerate(cable.stops) if stop.site == site]
        if not here:
            if pick.site or said:
                raise LineError(f"{cable.name} does not stop there", pick.span, hint="Name one of its stops")
            found += starts
            continue
        first = [order[_stop(node, cable.id, pick.fibre)] for node in starts]
        last = [*first[1:], len(cable.stops) - 1]
        for node, a, b in zip(starts, first, last, strict=True):
            for stop in here:
                if (a < stop <= b and pick.side != ">") or (a <= stop < b and pick.side != "<"):
                    found.append(node)
    return found


def _stop(node: str, cable: str, fibre: int) -> str:
    return node[len(f"{cable}:{fibre}@") : -1]


def trace(bench: Bench, step: Step) -> Made:
    """``trace``: the nodes whose light path is to be lit."""
    nodes, words = nodes_of(bench, step)
    made = Made("trace", answer=Answer("trace", nodes=tuple(nodes)))
    made.chips = [Chip("do", "light the path", step.verb.span), Chip("of", words, step.what_span)]
    return made


def who(bench: Bench, step: Step) -> Made:
    """``who``: every service on the pieces said, by name."""
    nodes, words = nodes_of(bench, step)
    carried = bench.context.carried
    plant = bench.plant
    keys = sorted(
        {key for node in nodes for key in carried.get(node, ())}, key=lambda k: natural(plant.services[k].name)
    )
    labels = tuple(f"{service_name(plant, key)}, {plant.services[key].status}" for key in keys)
    made = Made("who", answer=Answer("who", tuple(keys), labels, tuple(nodes)))
    made.chips = [
        Chip("do", "list who is on it", step.verb.span),
        Chip("of", words, step.what_span),
        Chip(
            "on it",
            ", ".join(labels[:4]) + (f" and {len(labels) - 4} more" if len(labels) > 4 else "") or "nobody",
            step.span,
        ),
    ]
    return made


def go(bench: Bench, step: Step) -> Made:
    """``go``: one site, cable, tray or finding."""
    if len(step.what) != 1:
        raise LineError("go to one thing", step.what[1].span, hint="Name one place")
    answer, words = _target(bench, step.what[0])
    made = Made("go", answer=answer)
    made.chips = [Chip("do", "go to", step.verb.span), Chip("what", words, step.what_span)]
    return made


def _target(bench: Bench, piece: Piece) -> tuple[Answer, str]:
    if isinstance(piece, Finding):
        return Answer("finding", (str(piece.number),), number=float(piece.number)), f"finding {piece.number}"
    if isinstance(piece, OnTray):
        tray = tray_named(bench, piece.tray, tray_site(bench, piece, bench.context.place))
        return Answer("tray", (tray.id,)), f"tray {tray.name}"
    if isinstance(piece, Glass) and piece.name is not None and piece.part is None and piece.last is None:
        names = bench.context.names
        if names.ids(piece.name.text, "cable") and not names.ids(piece.name.text, "site"):
            return Answer("cable", (one_id(bench, piece.name, "cable"),)), f"cable {piece.name.text}"
        key = one_id(bench, piece.name, "site", [*names.of["site"], *names.of["cable"]])
        return Answer("site", (key,)), bench.plant.sites[SiteId(key)].name
    raise LineError("go to a site, a cable, a tray or a finding", piece.span, hint="Like: go tray 2")


def find(bench: Bench, word: Word) -> Made:
    """A text without a verb: names that hold it, and the printed marks it could be. Raises LineError for nothing."""
    text = word.text.strip('"').lower()
    if not text:
        return Made("find", answer=Answer("find"))
    names = bench.context.names
    ids: list[str] = []
    labels: list[str] = []
    chips: list[Chip] = []
    kinds: tuple[Kind, ...] = ("site", "cable", "splitter", "tray", "service")
    for kind in kinds:
        hits = [name for name in names.of[kind] if text in name.lower()]
        if kind == "service":
            people = [s.name for s in bench.plant.services.values() if text in s.customer.lower()]
            hits = sorted(dict.fromkeys([*hits, *people]), key=natural)
        keys = [key for name in hits for key in names.ids(name, kind)]
        if keys:
            ids += keys
            labels += [kind] * len(keys)
            shown = ", ".join(hits[:3]) + (f" and {len(hits) - 3} more" if len(hits) > 3 else "")
            chips.append(Chip(plural(len(keys), kind), shown, word.span))
    for cable_id, label in _marks(bench, text):
        ids.append(cable_id)
        labels.append("mark")
        chips.append(Chip("mark", label, word.span))
    if not ids:
        _refuse_slip(word)
        known = [name for kind in kinds for name in names.of[kind]]
        close = nearest(word.text, known)
        raise LineError(
            f"nothing is called {word.text[:60]!r}",
            word.span,
            nearest=", ".join(quoted(n) for n in close),
            hint="" if close else "The plant has no names yet",
            fixes=tuple(Fix(word.span, quoted(n)) for n in close),
        )
    return Made("find", chips=chips, answer=Answer("find", tuple(ids), tuple(labels)))


def _refuse_slip(word: Word) -> None:
    """Raise LineError for a first word that is a verb but for a slip of the hand, with more behind it."""
    said, _, rest = word.text.partition(" ")
    close = difflib.get_close_matches(said.lower()[:16], TAILS, n=1, cutoff=SLIP) if rest.strip() else []
    if close:
        span = Span(word.span.column, len(said))
        raise LineError(f"{said[:60]!r} is no verb and no name", span, nearest=close[0], fixes=(Fix(span, close[0]),))


def _marks(bench: Bench, text: str) -> list[tuple[str, str]]:
    """Cables and spans whose printed marks, in the cable's own unit, run over a number."""
    if not (text.isascii() and text.replace(".", "", 1).isdigit()) or len(text) > 9:
        return []
    found: list[tuple[str, str]] = []
    for cable in sorted(bench.plant.cables.values(), key=lambda c: natural(c.name)):
        metres = float(text) * (0.3048 if cable.mark_unit == "ft" else 1.0)
        for index, (near, far) in enumerate(pairwise(cable.stops)):
            if any(min(run) <= metres <= max(run) for run in mark_runs(cable, index)):
                ends = [bench.plant.sites[s.site].name for s in (near, far) if s.site in bench.plant.sites]
                found.append((cable.id, f"{cable.name} {text} {cable.mark_unit}, {' to '.join(ends)}"))
    return found
