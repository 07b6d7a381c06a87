"""Results of the command line as lines of text: findings, a traced path, a loss budget.

Numbers stand in columns under a heading with their unit: metres of fibre, dB by wavelength in nm. Columns are as wide
as what they hold, counted in places of a terminal. A ``width`` of 0 means a file or a pipe: every result keeps one
line there, so that it can be searched; a terminal gets long words folded under themselves.
"""

from __future__ import annotations

import math
import textwrap
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from model.optics.budget import ServiceBudget
    from model.rules.registry import Finding
    from render.hops import Hop, PathDescription
    from render.traced import Branch

NARROWEST = 24
"""Places that words keep on a terminal, however narrow it is."""
GAP = "  "
_UNSEEN = ("Cc", "Cs", "Zl", "Zp")
_TURNING = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
"""Marks that turn the direction of writing, and with it the order of columns."""


def clean(text: str) -> str:
    """A text on one line, without anything that steers a terminal."""
    plain = "".join(" " if unicodedata.category(c) in _UNSEEN else c for c in text if c not in _TURNING)
    return " ".join(plain.split())


def places(text: str) -> int:
    """How many places of a terminal a text takes; wide letters take two, combining marks none."""
    if text.isascii():
        return len(text)
    return sum(
        0 if unicodedata.category(c) in ("Mn", "Me", "Cf") else 2 if unicodedata.east_asian_width(c) in "WF" else 1
        for c in text
    )


def left(text: str, width: int) -> str:
    """A text filled up to a width."""
    return text + " " * (width - places(text))


def right(text: str, width: int) -> str:
    """A text moved to the right end of a width."""
    return " " * (width - places(text)) + text


def fold(text: str, width: int) -> list[str]:
    """A text in lines of at most ``width`` places (0: one line)."""
    text = clean(text)
    if not width or places(text) <= width:
        return [text]
    return textwrap.wrap(text, max(width, NARROWEST), break_on_hyphens=False) or [""]


def counted(number: int, noun: str) -> str:
    """A number with its noun: ``1 error``, ``2 errors``."""
    return f"{number} {noun}{'s' * (number != 1)}"


def count_by_severity(findings: Iterable[Finding]) -> dict[str, int]:
    """How many findings of each severity nobody has accepted."""
    counts = {"error": 0, "warning": 0, "note": 0}
    for finding in findings:
        if not finding.accepted:
            counts[finding.severity] += 1
    return counts


def check_lines(findings: Sequence[Finding], width: int = 0) -> list[str]:
    """One line for each finding, gravest first as they come, then how many there are."""
    lines: list[str] = []
    names = max((len(finding.rule) for finding in findings), default=0)
    for finding in findings:
        head = f"{finding.severity:<7}{GAP}{finding.rule:<{names}}{GAP}"
        message = f"{finding.message} (accepted)" if finding.accepted else finding.message
        first, *more = fold(message, max(width - len(head), NARROWEST) if width else 0)
        lines += [head + first, *(" " * len(head) + line for line in more)]
    counts = count_by_severity(findings)
    accepted = sum(finding.accepted for finding in findings)
    total = ", ".join(counted(number, kind) for kind, number in counts.items())
    return [*lines, f"{total}, {accepted} accepted" if accepted else total]


def table(rows: Sequence[Sequence[str]], sides: str, width: int = 0) -> list[str]:
    """Rows under a heading. ``sides`` says for every column whether it is words (``l``) or numbers (``r``).

    An empty column is left out. On a terminal too narrow for them all the widest column of words is folded.
    """
    cells = [[row[0].rstrip(), *map(clean, row[1:])] for row in rows]
    kept = [i for i in range(len(sides)) if any(row[i] for row in cells[1:])]
    wide = {i: max(places(row[i]) for row in cells) for i in kept}
    over = sum(wide.values()) + len(GAP) * (len(kept) - 1) - width if width else 0
    folded = max((i for i in kept if sides[i] == "l"), key=lambda i: wide[i])
    if over > 0:
        wide[folded] = max(min(NARROWEST, wide[folded]), wide[folded] - over)
    lines: list[str] = []
    for row in cells:
        more: list[str] = []
        first = dict(enumerate(row))
        if places(row[folded]) > wide[folded]:
            indent = " " * (len(row[folded]) - len(row[folded].lstrip()))
            head, *rest = fold(row[folded], wide[folded] - len(indent) - 2)
            first[folded] = indent + head
            before = sum(wide[i] + len(GAP) for i in kept if i < folded)
            more = [" " * before + indent + "  " + line for line in rest]
        line = GAP.join(left(first[i], wide[i]) if sides[i] == "l" else right(first[i], wide[i]) for i in kept)
        lines += [line.rstrip(), *more]
    return lines


def trace_lines(path: PathDescription, width: int = 0, below: Sequence[Branch] = ()) -> list[str]:
    """A path from its field end to its exchange end: what it goes through, how well that is known, metres of fibre and
    dB of each, and both summed up from the exchange; then the legs ``below`` the splitter that it branches at.
    """
    from render.hops import evidence_words
    from render.hopwords import tray_words

    waves = sorted({nm for hop in path.hops for nm in hop.loss_db} | set(path.loss_db))
    gone = ["", "", *[""] * len(waves)]
    rows = [["", "record", "from exch. m", *(f"sum {nm}" for nm in waves), "fibre m", *(f"dB {nm}" for nm in waves)]]
    for hop in path.hops:
        metres = ("not known" if hop.length_m is None else f"{hop.length_m:.1f}") if hop.kind == "glass" else ""
        at_m = "not known" if hop.at_m is None else f"{hop.at_m:.1f}"
        sums = [at_m, *_decibels(hop.at_db, waves)]
        record = clean(evidence_words(hop.evidence))
        rows.append([f"  {clean(_hop_text(hop))}", record, *sums, metres, *_decibels(hop.loss_db, waves)])
        for passed in hop.passes:
            tray = f", stored on {tray_words(clean(passed.tray))}" if passed.tray else ""
            how = "sheath closed" if passed.state == "closed" else f"tube {passed.state}"
            rows.append([f"    uncut through {clean(passed.site)}, {how}{tray}", *gone, *[""] * (len(waves) + 1)])
    total = "not known" if path.length_m is None else f"{path.length_m:.1f}"
    rows.append(["Sum of what is known" if path.unknown else "Sum", *gone, total, *_decibels(path.loss_db, waves)])
    heading, *body, last = table(rows, "ll" + "r" * (2 * len(waves) + 2), width)
    lines = [
        f"Traced        {clean(path.start)}",
        heading,
        f"Field end     {clean(path.ends[0])}",
        *body,
        f"Exchange end  {clean(path.ends[1])}",
        last,
    ]
    for what in path.unknown:
        lines += noted("Not known", what, width)
    lines += noted("Known by", _evidence(path), width)
    return lines + (branch_lines(below, width) if below else [])


def branch_lines(found: Sequence[Branch], width: int = 0) -> list[str]:
    """The legs below a splitter, those of a cascade indented: where each leads, who is on it, the loss to its end."""
    waves = sorted({nm for branch in found for nm in branch.at_db})
    rows = [["", "to", "services", "from exch. m", *(f"sum {nm}" for nm in waves)]]
    for branch in found:
        name = "  " * (branch.depth + 1) + clean(branch.leg)
        if not branch.joined:
            rows.append([name, "nothing joined", "", "", *[""] * len(waves)])
            continue
        at_m = "not known" if branch.at_m is None else f"{branch.at_m:.1f}"
        # Who is on a leg that feeds a cascade stands at the cascade's own legs.
        services = "" if branch.kind == "branches" else ", ".join(branch.services)
        rows.append([name, branch.end, services, at_m, *_decibels(branch.at_db, waves)])
    return ["Below", *table(rows, "lllr" + "r" * len(waves), width)]


def noted(head: str, words: str, width: int) -> list[str]:
    """Words after a head in a column of its own, folded under themselves; nothing for no words."""
    first, *more = fold(words, max(width - 14, NARROWEST) if width else 0)
    return [f"{head:<14}{first}", *(" " * 14 + line for line in more)] if words else []


def _hop_text(hop: Hop) -> str:
    from render.hops import hop_words

    words = hop_words(hop)
    if hop.kind == "glass":
        tube = f", tube {hop.tube} {hop.tube_colour}, position {hop.position} {hop.fibre_colour}"
        return f"{words}{tube}, {hop.site} to {hop.to}"
    marks = ["planned"] * (not hop.done)
    if hop.measured and hop.splice is not None:
        some = "" if hop.measured >= set(hop.loss_db) else f" at {', '.join(map(str, sorted(hop.measured)))}"
        marks.append(f"measured{some}, planned {hop.splice.planned_db:.2f}")
    return f"{words} ({', '.join(marks)})" if marks else words


def _evidence(path: PathDescription) -> str:
    """The record a path rests on least surely."""
    from render.hops import hop_words, weakest

    found = weakest(path)
    if not found:
        return ""
    hop, evidence = found[0]
    who = "".join(f", {word}" for word in (evidence.by, evidence.date) if word)
    if len(found) == len(path.hops):
        return f"all {len(found)} records {evidence.kind}{who}"
    others = f" and {len(found) - 1} more" if len(found) > 1 else ""
    return f"weakest: {evidence.kind}{who}, {hop_words(hop)}{others}"


def _decibels(values: Mapping[int, float] | None, waves: Sequence[int], form: str = ".3f") -> list[str]:
    return ["" if values is None or nm not in values else format(values[nm], form) for nm in waves]


def budget_lines(found: Sequence[tuple[ServiceBudget, Mapping[str, Any]]], width: int = 0) -> list[str]:
    """A row for each service, given with its machine-readable row: loss, bends, and the margins on both sides."""
    if not found:
        return ["no service is live or planned"]
    waves = sorted({nm for item, _ in found for nm in item.loss_db})
    heads = [f"{what} {nm}" for what in ("planned", "loss", "bends", "room", "over") for nm in waves]
    rows = [["service", "port", "class", *heads, ""]]
    for item, row in found:
        bends = {nm: db for nm, db in item.bend_db.items() if db}
        planned = {nm: db for nm, db in item.planned_db.items() if item.measured.get(nm)}
        numbers = [*_decibels(planned, waves), *_decibels(item.loss_db, waves), *_decibels(bends, waves)]
        margins = [*_decibels(item.margin_max_db, waves, "+.2f"), *_decibels(item.margin_min_db, waves, "+.2f")]
        rows.append([clean(row["service"]), row["port"], row["class"], *numbers, *margins, _verdict(item)])
    lines = table(rows, f"lll{'r' * len(heads)}l", width)
    without = sum(item.complete and item.power_class is None for item, _ in found)
    tail = f"; {without} without a power class, so without margins" if without else ""
    if any(any(item.measured.values()) for item, _ in found):
        lines += noted("planned", "with every splice as planned; loss counts those read both ways as measured", width)
    if any(item.margin_max_db for item, _ in found):
        lines += noted("room", "up to the most loss the class allows", width)
        lines += noted("over", "above the least loss the class needs", width)
    return [*lines, f"{counted(len(found), 'service')}, dB at the wavelength in nm{tail}"]


def _verdict(item: ServiceBudget) -> str:
    if not item.complete:
        return f"not complete: {item.why}"
    dim = [str(nm) for nm, db in (item.margin_max_db or {}).items() if db < 0]
    bright = [str(nm) for nm, db in (item.margin_min_db or {}).items() if db < 0]
    said = [f"too little light at {', '.join(dim)}"] * bool(dim) + [f"too much light at {', '.join(bright)}"] * bool(
        bright
    )
    return "; ".join([*said, *([item.why] if item.why else [])])


def finite(value: Any) -> Any:
    """The same value with null in place of numbers JSON cannot say."""
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if isinstance(value, Mapping):
        return {key: finite(inner) for key, inner in value.items()}
    return [finite(inner) for inner in value] if isinstance(value, list | tuple) else value
