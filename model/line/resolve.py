"""From the pieces of a parsed line to the glass they mean: fibres of cables, legs of splitters, places and trays."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from model.entities import Cable, LegEnd
from model.errors import PlantError
from model.ids import CableId, SiteId, SplitterId
from model.line.context import Bench
from model.line.faults import Fix, LineError, Span
from model.line.names import in_series, natural, quoted, split_number
from model.line.picks import LegPick, Pick, Picked
from model.line.syntax import AtPort, Finding, Glass, OfService, OnTray, Thin, What, Word
from model.refs import parse_part

MOST_JOINTS = 4096
"""Joints or fibres in one line; more is refused with the number."""


def one_id(bench: Bench, word: Word, kind: str, known: Sequence[str] | None = None) -> str:
    """The one id that a name of a kind stands for. Raises LineError with the nearest names."""
    names = bench.context.names
    ids = names.ids(word.text, kind)  # type: ignore[arg-type]  # callers pass a kind
    if len(ids) == 1:
        return ids[0]
    if ids:
        raise LineError(
            f"{word.text!r} names {len(ids)} {kind}s", word.span, hint="Say which by its id: " + ", ".join(ids[:4])
        )
    raise bench.fault_name(word.text, word.span, kind, list(known if known is not None else names.of[kind]))  # type: ignore[index]


def cables_here(bench: Bench, site: SiteId | None) -> list[str]:
    """Names of the cables that stop at a site, in natural order; all of them for no site."""
    plant = bench.plant
    found = {c.name for c in plant.cables.values() if site is None or any(s.site == site for s in c.stops)}
    return sorted(found, key=natural)


def _series(bench: Bench, piece: Glass, kind: str) -> list[str]:
    """Ids of the things of ``NAME..NAME``: same text, numbers between the two, in the order said."""
    first, last = piece.name, piece.last
    if first is None or last is None:
        return []
    known = bench.context.names.of[kind]  # type: ignore[index]
    one_id(bench, first, kind, cables_here(bench, bench.context.place) if kind == "cable" else None)
    one_id(
        bench,
        last,
        kind,
        [n for n in known if split_number(n)[0].lower() == split_number(first.text)[0].lower()] or None,
    )
    chosen = in_series(known, first.text, last.text)
    if chosen is None:
        raise LineError(
            f"{first.text}..{last.text} is no series",
            first.span.to(last.span),
            hint="Both names must be alike but for the number they end in",
        )
    return [bench.context.names.ids(name, kind)[0] for name in chosen]  # type: ignore[arg-type]


def service_ids(bench: Bench, what: What) -> list[str]:
    """Services of ``down`` and ``up``."""
    found: list[str] = []
    for piece in what:
        if isinstance(piece, OfService):
            found.append(one_id(bench, piece.name, "service"))
        elif isinstance(piece, Glass) and piece.name is not None and piece.part is None:
            if piece.last is not None:
                found += _series(bench, piece, "service")
            else:
                found.append(one_id(bench, piece.name, "service"))
        else:
            raise LineError("services are named here", piece.span, hint="Like: down C5 C6")
    return list(dict.fromkeys(found))


def glass(bench: Bench, what: What, cable: CableId | None = None) -> list[Picked]:
    """The fibres and legs of pieces, in the order said.

    A piece without a cable takes the one before it, else ``cable``, else the picked one. Raises LineError.
    """
    picks: list[Picked] = []
    carried: list[tuple[str, str]] = [("cable", cable)] if cable else []
    for piece in what:
        if not isinstance(piece, Glass):
            raise LineError(_not_glass(piece), piece.span, hint="Name a cable and its fibres, like CABLE:13-16")
        if piece.name is not None:
            carried = _owners(bench, piece)
        elif not carried:
            carried = [("cable", _picked_cable(bench, piece))]
        if piece.part is None:
            if any(key == "splitter" for key, _ in carried):
                raise _more(bench, piece, "which legs?", ":in", ":out")
            raise _more(bench, piece, "which fibres?", ":all")
        for kind, key in carried:
            picks += (
                _legs(bench, key, piece)
                if kind == "splitter"
                else _fibres(bench, bench.plant.cables[CableId(key)], piece)
            )
            if len(picks) > MOST_JOINTS:
                raise LineError(
                    f"the line names more than {MOST_JOINTS} fibres", piece.span, hint="Do it in several lines"
                )
    return picks


def _not_glass(piece: OnTray | AtPort | OfService | Finding) -> str:
    return {
        "OnTray": "a tray has no glass of its own",
        "AtPort": "a port is no glass",
        "OfService": "a service is no glass",
        "Finding": "a finding is no glass",
    }[type(piece).__name__]


def _more(bench: Bench, piece: Glass, message: str, *endings: str) -> LineError:
    at = Span(piece.span.end, 0)
    return LineError(
        message,
        at,
        hint="Like :13-16, :T2 or :all" if endings == (":all",) else "Like :in1 or :out1-8",
        fixes=tuple(Fix(at, ending) for ending in endings if ending != ":all"),
        incomplete=piece.span.end > len(bench.text.rstrip()),
    )


def _picked_cable(bench: Bench, piece: Glass) -> str:
    if bench.context.cable is not None:
        return bench.context.cable
    here = cables_here(bench, bench.context.place)
    at = Span(piece.span.column, 0)
    raise LineError(
        "which cable? None is picked",
        piece.span,
        nearest=", ".join(f"{quoted(name)}:{piece.part.text if piece.part else ''}" for name in here[:3]),
        hint="" if here else "Write CABLE:13-16",
        fixes=tuple(Fix(at, f"{quoted(name)}:") for name in here[:4]),
    )


def _owners(bench: Bench, piece: Glass) -> list[tuple[str, str]]:
    """(kind, id) of what a piece's name stands for: cables, or one splitter."""
    word = piece.name
    assert word is not None  # noqa: S101  # the caller asked  # pragma: no cover
    if piece.last is not None:
        return [("cable", key) for key in _series(bench, piece, "cable")]
    names = bench.context.names
    if not names.ids(word.text, "cable"):
        if names.ids(word.text, "splitter"):
            return [("splitter", one_id(bench, word, "splitter"))]
        if names.ids(word.text, "site"):
            here = cables_here(bench, SiteId(one_id(bench, word, "site")))
            raise LineError(
                f"{word.text} is a site",
                word.span,
                nearest=", ".join(quoted(name) for name in here[:3]),
                hint="" if here else "Name a cable",
                fixes=tuple(Fix(word.span, quoted(name)) for name in here[:3]),
            )
    here = cables_here(bench, bench.context.place)
    return [("cable", one_id(bench, word, "cable", [*here, *names.of["cable"], *names.of["splitter"]]))]


def _fibres(bench: Bench, cable: Cable, piece: Glass) -> list[Pick]:
    part = piece.part
    if part is None:
        return []
    kind = bench.plant.cable_types[cable.type]
    try:
        numbers, tubes = parse_part(cable, kind, part.text, part.span.column)
    except PlantError as fault:
        raise _part_fault(fault, part, len(kind.tubes), kind.fibre_count) from None
    site: SiteId | None = None
    if piece.at is not None:
        site = SiteId(one_id(bench, piece.at, "site"))
    ribbon = kind.ribbon if part.text[:1] in "rR" and "." not in part.text else 0
    by_tube: dict[int, int] = {}
    if tubes:
        starts = [sum(kind.tubes[:n]) for n in range(len(kind.tubes))]
        by_tube = {starts[t - 1] + k: t for t in tubes for k in range(1, kind.tubes[t - 1] + 1)}
    return [
        Pick(cable.id, n, piece.side, site, part.span, by_tube.get(n), (n - 1) // ribbon + 1 if ribbon else None)
        for n in numbers
    ]


def _part_fault(fault: PlantError, part: Word, tubes: int, fibres: int) -> LineError:
    """A fault of a range with a range that would do, of the same kind and count where there is one."""
    near, fix = "", ""
    if fault.hint.startswith("Nearest: "):
        near = fault.hint.removeprefix("Nearest: ")
        fix = near.rpartition(":")[2]
    elif match := re.fullmatch(r"They count from 1 to (\d+)", fault.hint):
        fix = f"{part.text[0].upper()}{match[1]}"
    elif match := re.fullmatch(r"Write ([TR]\d+\.1-\d+)", fault.hint):
        fix = match[1]
    elif part.text[:1] in "rR" and fault.message.endswith("has no ribbons"):
        fix = "T1" if tubes == 1 else f"T1-T{tubes}"
    fixes = tuple(Fix(part.span, text) for text in dict.fromkeys((fix, f"1-{fibres}" if fix else "")) if text)
    return LineError(fault.message, part.span, hint=fault.hint, nearest=near or fix, fixes=fixes)


def _legs(bench: Bench, key: str, piece: Glass) -> list[LegPick]:
    part = piece.part
    splitter = bench.plant.splitters[SplitterId(key)]
    kind = bench.plant.splitter_types[splitter.type]
    match = re.fullmatch(r"(in|out)(\d{1,6})?(?:-(\d{1,6}))?", part.text.lower()) if part else None
    if part is None or match is None:
        span = part.span if part else piece.span
        raise LineError(
            f"{splitter.name} is a splitter: it has legs",
            span,
            hint=f"Write in1 or out1-{len(kind.legs_db)}",
            fixes=(Fix(span, f"out1-{len(kind.legs_db)}"), Fix(span, "in1")) if part else (),
        )
    role = "in" if match[1] == "in" else "out"
    count = kind.inputs if role == "in" else len(kind.legs_db)
    a = int(match[2]) if match[2] else 1
    b = int(match[3]) if match[3] else (a if match[2] or role == "in" else count)
    if not (1 <= a <= count and 1 <= b <= count):
        near = role + "1" + (f"-{count}" if count > 1 else "")
        raise LineError(
            f"{splitter.name} has {count} {role}put{'s' * (count != 1)}, not {part.text}",
            part.span,
            nearest=near,
            fixes=(Fix(part.span, near), Fix(part.span, f"{role}{count}")),
        )
    numbers = range(a, b + 1) if a <= b else range(a, b - 1, -1)
    return [LegPick(LegEnd(splitter.id, role, n), part.span) for n in numbers]  # type: ignore[arg-type]


def thinned(bench: Bench, picks: list[Picked], thin: Iterable[Thin]) -> list[Picked]:
    """Picks after ``every`` and ``skip``, in the order those were said."""
    for tail in thin:
        if tail.every:
            picks = picks[:: tail.every]
            continue
        last = picks[-1] if picks else None
        gone = {_key(pick) for pick in glass(bench, tail.skip, last.cable if isinstance(last, Pick) else None)}
        kept = [pick for pick in picks if _key(pick) not in gone]
        if len(kept) == len(picks):
            raise LineError("none of these is in the range before", tail.span, hint="Skip some that are")
        picks = kept
    return picks


def _key(pick: Picked) -> tuple[str, object]:
    return (pick.cable, pick.fibre) if isinstance(pick, Pick) else ("leg", pick.leg)
