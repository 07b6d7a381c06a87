"""The steps that record what was done to joints: ``done``, ``measure``, ``estimate``, ``again``, ``seen`` and back.

Values belong to the joints in the order said, one for each. A and B are the ends of a joint as it is recorded; the
read-back names them. Losses in dB, wavelengths in nm.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Literal

from model.edits.record_checks import checked_by, checked_date, checked_reading, parse_db
from model.edits.recording import MarkDone, Measure, SetStatus, SpliceAgain, Vouch
from model.entities import Evidence, Reading, Splice
from model.errors import PlantError
from model.ids import SpliceId
from model.line.context import Bench, Chip, Made
from model.line.faults import Fix, LineError, Span
from model.line.said_joints import joints_said
from model.line.syntax import Step, Word
from model.line.wording import end_text, plural
from model.optics.readings import all_read, estimate_db, read_at, times_made

SHOWN = 3
"""Joints whose readings are read back one by one."""
MOST_TRIES = 3
"""Tries at a joint before the read-back asks to look twice (common practice, no source)."""


def _checked(word: Word | None, check: Callable[[str], str]) -> str:
    """Text of a word that passes a check. Raises LineError at its column."""
    try:
        return check(word.text) if word else ""
    except PlantError as fault:
        assert word is not None  # noqa: S101  # only a word is checked
        raise LineError(fault.message, word.span, hint=fault.hint) from None


def _signed(step: Step) -> tuple[str, str, list[Chip]]:
    """(initials, date, what is said of them)."""
    by, on = _checked(step.record.by, checked_by), _checked(step.record.on, checked_date)
    words = " ".join(part for part in (by, f"on {on}" if on else "") if part)
    span = next((word.span for word in (step.record.by, step.record.on) if word), step.span)
    return by, on, [Chip("by", words, span)] if words else []


def _keys(joints: Sequence[Splice]) -> tuple[SpliceId, ...]:
    return tuple(splice.id for splice in joints)


def _chips(bench: Bench, step: Step, do: str, what: str, site: str) -> list[Chip]:
    at = step.at.span if step.at else step.span
    return [
        Chip("do", do, step.verb.span),
        Chip("what", what, step.what_span),
        Chip("at", bench.plant.table("sites")[site].name, at),
    ]


def _row(bench: Bench, splice: Splice) -> str:
    return f"{end_text(bench.plant, splice.a)} to {end_text(bench.plant, splice.b)}"


def done(bench: Bench, step: Step) -> Made:
    """``done``: the joints are made, by whom and when."""
    site, joints, what = joints_said(bench, step)
    by, on, signed = _signed(step)
    made = Made(f"done {what}")
    bench.do(made, MarkDone(_keys(joints), by, on, made.name))
    made.chips = [*_chips(bench, step, f"mark {plural(len(joints), 'joint')} as done", what, site), *signed]
    unsigned = [s for s in (bench.plant.splices[key] for key in _keys(joints)) if not (s.done_by and s.done_on)]
    if unsigned:
        lacks = " and ".join(
            word
            for word, some in (
                ("initials", any(not s.done_by for s in unsigned)),
                ("a date", any(not s.done_on for s in unsigned)),
            )
            if some
        )
        made.chips.append(Chip("without", lacks, step.span, warns=True))
    return made


def undone(bench: Bench, step: Step) -> Made:
    """``undone``: the joints are planned and not made."""
    site, joints, what = joints_said(bench, step)
    made = Made(f"undone {what}")
    bench.do(made, SetStatus(_keys(joints), "planned", made.name))
    made.chips = [
        *_chips(bench, step, f"plan {plural(len(joints), 'joint')} again", what, site),
        Chip("then", "initials and date are taken out", step.span),
    ]
    return made


def _one_each(step: Step, joints: Sequence[Splice]) -> None:
    """Raises LineError unless there is one value for each joint."""
    values = step.record.values
    if len(values) != len(joints):
        span = values[0].span.to(values[-1].span)
        raise LineError(
            f"{plural(len(joints), 'joint')}, but {plural(len(values), 'value')}",
            span,
            hint="Give one for each joint, in the order of the joints",
            incomplete=len(values) < len(joints),
        )


def _reading(word: Word, text: str, nm: int, way: Literal["A-B", "B-A", "estimate"], sealed: bool) -> Reading:
    try:
        return checked_reading(Reading(nm, way, parse_db(text), sealed))
    except PlantError as fault:
        raise LineError(fault.message, word.span, hint=fault.hint) from None


def measure(bench: Bench, step: Step) -> Made:
    """``measure``: readings at one wavelength, pairs or one direction, a value for each joint."""
    site, joints, what = joints_said(bench, step)
    record = step.record
    _one_each(step, joints)
    nm = _wavelength(record.nm)
    sealed = record.sealed is not None
    found: list[tuple[SpliceId, tuple[Reading, ...]]] = []
    for splice, word in zip(joints, record.values, strict=True):
        first, stroke, second = word.text.partition("/")
        if record.way is not None:
            if stroke:
                raise LineError(
                    f"{record.way.text} takes one value for each joint",
                    word.span,
                    hint="Leave out the direction to give both",
                    fixes=(Fix(word.span, first),),
                )
            way: Literal["A-B", "B-A"] = "A-B" if record.way.text == "A-B" else "B-A"
            found.append((splice.id, (_reading(word, first, nm, way, sealed),)))
            continue
        if not stroke:
            raise LineError(
                "which direction?",
                word.span,
                hint="Write both, like 0.04/0.06, or A-B or B-A before the values",
                fixes=(Fix(Span(record.values[0].span.column, 0), "A-B "),),
                incomplete=word.span.end > len(bench.text.rstrip()),
            )
        pair = _reading(word, first, nm, "A-B", sealed), _reading(word, second, nm, "B-A", sealed)
        found.append((splice.id, pair))
    by, on, signed = _signed(step)
    made = Made(f"measure {what}")
    bench.do(made, Measure(tuple(found), by, on, made.name))
    when = ", enclosure sealed" if sealed else ""
    made.chips = _chips(bench, step, f"record {plural(len(joints), 'joint')} at {nm} nm{when}", what, site)
    span = record.values[0].span.to(record.values[-1].span)
    after = [bench.plant.splices[splice.id] for splice in joints]
    made.chips += [Chip("reads", f"{_row(bench, s)}: {_read_words(s, nm, sealed)}", span) for s in after[:SHOWN]]
    made.chips += [Chip("reads", f"{len(after) - SHOWN} more", span)] if len(after) > SHOWN else []
    gains = [s for s in after if any(at.wavelength_nm == nm and at.one_way and at.one_way[1] < 0 for at in read_at(s))]
    if gains:
        words = f"{plural(len(gains), 'apparent gain')}, the difference of the fibres: read the other direction too"
        made.chips.append(Chip("not real", words, span, warns=True))
    made.chips += signed
    return made


def _wavelength(word: Word | None) -> int:
    nm = int(word.text) if word else 0
    try:
        checked_reading(Reading(nm, "A-B", 0.0))
    except PlantError as fault:
        assert word is not None  # noqa: S101  # the reader asks for one
        raise LineError(fault.message, word.span, hint=fault.hint) from None
    return nm


def _read_words(splice: Splice, nm: int, sealed: bool) -> str:
    """``A-B 0.04, B-A 0.06, mean 0.05 dB``, as the joint stands after the line."""
    at = next(at for at in all_read(splice.measured) if (at.wavelength_nm, at.sealed) == (nm, sealed))
    ways = [f"{way} {db:.2f}" for way, db in (("A-B", at.ab_db), ("B-A", at.ba_db)) if db is not None]
    return ", ".join([*ways, *([f"mean {at.mean_db:.3f}"] if at.mean_db is not None else [])]) + " dB"


def estimate(bench: Bench, step: Step) -> Made:
    """``estimate``: what the splicer reckons, a value for each joint."""
    site, joints, what = joints_said(bench, step)
    _one_each(step, joints)
    by, on, signed = _signed(step)
    made = Made(f"estimate {what}")
    bench.do(made, Measure(_estimates(step, joints), by, on, made.name))
    span = step.record.values[0].span.to(step.record.values[-1].span)
    made.chips = [
        *_chips(bench, step, f"record the splicer's estimate of {plural(len(joints), 'joint')}", what, site),
        Chip("dB", ", ".join(word.text for word in step.record.values[:12]), span),
        *signed,
    ]
    return made


def _estimates(step: Step, joints: Sequence[Splice]) -> tuple[tuple[SpliceId, tuple[Reading, ...]], ...]:
    found = []
    for splice, word in zip(joints, step.record.values, strict=True):
        if "/" in word.text:
            raise LineError(
                "an estimate has no direction", word.span, hint="Give one value, like 0.02", fixes=_first_of(word)
            )
        found.append((splice.id, (_reading(word, word.text, 0, "estimate", False),)))
    return tuple(found)


def _first_of(word: Word) -> tuple[Fix, ...]:
    return (Fix(word.span, word.text.partition("/")[0]),)


def again(bench: Bench, step: Step) -> Made:
    """``again``: the joints were broken open and made again; what was recorded of them is kept as a try."""
    site, joints, what = joints_said(bench, step)
    by, on, signed = _signed(step)
    made = Made(f"again {what}")
    bench.do(made, SpliceAgain(_keys(joints), by, on, made.name))
    if step.record.values:
        _one_each(step, joints)
        bench.do(made, Measure(_estimates(step, joints), name=made.name))
    after = [bench.plant.splices[key] for key in _keys(joints)]
    most = max(times_made(splice) for splice in after)
    made.chips = [
        *_chips(bench, step, f"{plural(len(joints), 'joint')} made again", what, site),
        Chip("kept", _kept_words(after), step.span),
        Chip(
            "tries", f"{most}" + (f", at most {MOST_TRIES}" if most > MOST_TRIES else ""), step.span, most > MOST_TRIES
        ),
        *signed,
    ]
    return made


def _kept_words(after: Sequence[Splice]) -> str:
    """What is kept of the tries just broken open."""
    if len(after) > 1:
        return f"what was recorded of {len(after)} joints stays in the log"
    held = after[0].attempts[-1]
    db = estimate_db(held.readings)
    means = [f"mean {at.mean_db:.3f} dB" for at in all_read(held.readings) if at.mean_db is not None]
    words = [f"try {len(after[0].attempts)}", *means, *([f"estimate {db:.2f} dB"] if db is not None else [])]
    return ", ".join([*words, *(word for word in (held.by, held.on) if word)]) + " stays in the log"


def seen(bench: Bench, step: Step) -> Made:
    """``seen``: the joints were looked at on site; ``unseen``: they are assumed, or inherited from older records."""
    site, joints, what = joints_said(bench, step)
    by, on, signed = _signed(step)
    kind: Literal["verified", "inherited", "assumed"] = "verified"
    if step.verb.text == "unseen":
        kind = "inherited" if step.record.mark else "assumed"
    made = Made(f"{step.verb.text} {what}")
    bench.do(made, Vouch(_keys(joints), Evidence(kind, on, by), made.name))
    words = {"verified": "verified on site", "inherited": "inherited from older records", "assumed": "assumed only"}
    made.chips = [
        *_chips(bench, step, f"mark {plural(len(joints), 'joint')} as {words[kind]}", what, site),
        *signed,
    ]
    return made
