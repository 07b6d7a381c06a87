"""Ports as they are said: ``port PANEL/N-M`` here, ``SITE/port/PANEL/N-M`` there; one panel needs no name."""

from __future__ import annotations

from collections.abc import Sequence

from model.entities import Port
from model.errors import PlantError
from model.ids import SiteId
from model.line.context import Bench
from model.line.faults import Fix, LineError, Span
from model.line.resolve import one_id
from model.line.syntax import AtPort, What, Word
from model.line.wording import runs
from model.numbers import from_text


def ports_of(bench: Bench, piece: AtPort, at: Word | None = None) -> list[Port]:
    """The ports a piece names, in the order said, at its own site, else at one said, else here.

    Raises LineError with what the panel has.
    """
    plant = bench.plant
    said = piece.site or at
    site = SiteId(one_id(bench, said, "site")) if said else bench.context.place
    panel, slash, text = piece.port.text.rpartition("/")
    here = [p for p in plant.ports.values() if site in (None, p.site)]
    where = piece.port.span
    if slash:
        held = sorted({p.panel for p in here})
        here = [p for p in here if p.panel.lower() == panel.lower()]
        if not here:
            span = Span(where.column, len(panel))
            raise LineError(
                f"there is no panel {panel!r} here",
                span,
                nearest=", ".join(held[:4]),
                hint="" if held else "Add one first: add panel NAME with 12 ports",
                fixes=tuple(Fix(span, name) for name in held[:4]),
                incomplete=any(name.lower().startswith(panel.lower()) for name in held) and not text,
            )
    panels = sorted({(p.site, p.panel) for p in here})
    if len(panels) != 1:
        fixes = tuple(Fix(Span(where.column, 0), f"{name}/") for _, name in panels[:4]) if not slash else ()
        raise LineError(
            "which panel?" if panels else "there are no ports here",
            where,
            nearest=", ".join(f"port {name}/{text}" for _, name in panels[:4]) if fixes else "",
            hint="" if fixes else "Say at which site: SITE/port/PANEL/N" if panels else "Add a panel first",
            fixes=fixes,
        )
    return _numbered(here, text, Span(where.end - len(text), len(text)))


def _numbered(here: Sequence[Port], text: str, span: Span) -> list[Port]:
    """Ports of one panel by their numbers."""
    by_number = {port.number: port for port in here}
    have = runs(sorted(by_number))
    if not text:
        raise LineError("which ports?", span, hint=f"It has {have}", incomplete=True)
    try:
        numbers = tuple(by_number) if text.lower() == "all" else from_text(text)
    except PlantError as fault:
        raise LineError(fault.message, span, hint=f"It has {have}") from None
    beyond = [n for n in numbers if n not in by_number]
    if beyond:
        last = max(by_number)
        first = max(min(by_number), last - len(numbers) + 1)
        near = str(last) if first == last else f"{first}-{last}"
        raise LineError(
            f"panel {here[0].panel} has ports {have}, not {runs(beyond)}", span, nearest=near, fixes=(Fix(span, near),)
        )
    return [by_number[n] for n in numbers]


def all_ports(bench: Bench, what: What, at: Word | None) -> list[Port]:
    """Ports of pieces if all are ports, none if none is. Raises LineError for a mixture."""
    pieces = [piece for piece in what if isinstance(piece, AtPort)]
    if pieces and len(pieces) != len(what):
        odd = next(piece for piece in what if not isinstance(piece, AtPort))
        raise LineError("ports and glass in one list", odd.span, hint="Say them in two steps")
    return [port for piece in pieces for port in ports_of(bench, piece, at)]


def said_ports(ports: Sequence[Port]) -> str:
    """``DP 1-4``, or ``DP 1-4, FD 9``."""
    found: dict[str, list[int]] = {}
    for port in ports:
        found.setdefault(port.panel, []).append(port.number)
    return ", ".join(f"{panel} {runs(numbers)}" for panel, numbers in found.items())
