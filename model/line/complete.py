"""Endings that can follow a half-typed line, in grammar order; each is tried, and only those that read are offered.

An ending is offered when the line with it reads without error, or when only something more must follow. The same line
on the same plant always gets the same endings in the same order.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Final

from model.changes import Draft
from model.edits.joining import free_slots
from model.ids import SplitterId
from model.line.complete_asking import asking_endings
from model.line.complete_building import building_endings
from model.line.complete_records import record_endings, signatures
from model.line.context import Bench, Context
from model.line.faults import LineError
from model.line.names import Kind, natural, quoted
from model.line.resolve import cables_here
from model.line.verbs import BUILDS, HEARS, RECORDS, TAILS
from model.line.worthwhile import cable_parts
from model.lookup import passes

MOST_TRIED: Final = 24
"""Endings tried for the three beside the read-back, so that a key never waits for a long list of poor ones."""


@dataclass(frozen=True, slots=True)
class Completion:
    """An ending: what to show, and the whole line with it."""

    ending: str
    text: str


Reader = Callable[[str], object]


def completions(context: Context, text: str, most: int, read: Reader) -> Iterator[Completion]:
    """At most ``most`` endings of a text; ``read`` gives a LineError for a line that does not read."""
    given, tried, seen = 0, 0, {text}
    for start, ending in _endings(context, text, read):
        whole = text[:start] + ending
        if whole.strip() == text.strip() or whole in seen:
            continue
        seen.add(whole)
        tried += 1
        if tried > max(MOST_TRIED, 2 * most) or given >= most:
            return
        result = read(whole)
        if not isinstance(result, LineError) or (result.incomplete and result.column >= len(whole.rstrip())):
            given += 1
            yield Completion(ending.strip(), whole)


def _endings(context: Context, text: str, read: Reader) -> Iterator[tuple[int, str]]:
    """(index in the text where it starts, ending), in grammar order."""
    start = _step_start(text)
    step = text[start:]
    lead = len(step) - len(step.lstrip())
    verb_match = re.match(r"[^\W\d_]+(?=\s)", step[lead:])
    verb = verb_match[0].lower() if verb_match else ""
    if step.strip().lower() in BUILDS:
        yield from ((len(text), f" {ending}") for ending in building_endings(context, step, step.strip().lower(), ""))
    if verb not in TAILS:
        typed = step.strip().lower()
        # With no cable yet there is nothing to open or join: what makes things comes first.
        for word in sorted(TAILS, key=lambda v: v not in BUILDS) if not context.plant.cables else TAILS:
            if word.startswith(typed):
                yield start + lead, word + " "
        if start == 0 and typed:
            kinds: tuple[Kind, ...] = ("site", "cable", "splitter", "service")
            for kind in kinds:
                for name in context.names.of[kind]:
                    if name.lower().startswith(typed):
                        yield lead, quoted(name)
        return
    if verb in BUILDS:
        yield from _buildings(context, text, start, verb)
        return
    if verb == "plan":
        at = _word_start(text, start)
        yield from ((at, ending) for ending in asking_endings(context, text[start:at], text[at:]))
        if text[at:]:
            yield from ((len(text), f" {ending}") for ending in asking_endings(context, text[start:], ""))
        return
    if verb == "next":
        yield from _tails(context, text, start, verb, _word_start(text, start), text[_word_start(text, start) :])
        return
    # A name half typed, a part half typed, then a tail: whichever of them reads.
    word_at = _word_start(text, start)
    word = text[word_at:]
    before = text[:word_at].rstrip().lower()
    opens = before.endswith((verb, " to", " and", ",", " skip"))
    if verb in RECORDS and before.endswith((" by", " on")):
        yield from ((word_at, text) for text in _matching(signatures(context, before[-2:]), word))
        return
    if before.endswith(" port"):
        yield from _ports(context, text, start, word_at, word)
        return
    if before.endswith((" tray", " on")):
        yield from _trays(context, text, word_at, word, verb, before)
        return
    if before.endswith(" at"):
        for name in _matching(context.names.of["site"], word):
            yield word_at, quoted(name)
        return
    if before.endswith(" from"):
        yield from _slots(context, text, word_at)
        return
    if opens and _finished(context, word):
        yield from _tails(context, text, start, verb, word_at, word)
    if ":" in word or ".." in word:
        yield from _parts(context, text, word_at, word, verb)
        if ".." in word and ":" not in word:
            yield from _series_ends(context, word_at, word)
    elif opens:
        yield from _names(context, word_at, word, verb)
        known = context.names.ids(word.strip('"'), "cable") if word else []
        if known and verb != "go":
            yield from ((len(text), ":" + part) for part in cable_parts(context, known[0], verb))
    result = read(text) if word else None
    if isinstance(result, LineError) and result.incomplete:
        at_end = len(text.rstrip()) + 1
        yield from ((len(text), fix.text) for fix in result.fixes if fix.span.length == 0 and fix.span.column >= at_end)
    if not opens:
        yield from _tails(context, text, start, verb, word_at, word)


def _buildings(context: Context, text: str, start: int, verb: str) -> Iterator[tuple[int, str]]:
    """Endings of a step that makes or names something; a whole word is followed by a blank first."""
    at = _word_start(text, start)
    word = text[at:]
    yield from ((at, ending) for ending in building_endings(context, text[start:at], verb, word))
    if word and not word.endswith(","):
        yield from ((len(text), f" {ending}") for ending in building_endings(context, text[start:], verb, ""))


_WHOLE_PART = re.compile(
    r"[0-9]+(-[0-9]+)?|[tr][0-9]+(-[tr]?[0-9]+)?([.][0-9]+(-[0-9]+)?)?|all|in[0-9]*|out[0-9]*(-[0-9]+)?", re.IGNORECASE
)


def _finished(context: Context, word: str) -> bool:
    """True for a word that is a whole piece, so that a tail can follow it."""
    head, colon, part = word.rpartition(":")
    if not colon:
        return _WHOLE_PART.fullmatch(word) is not None
    names = [name.strip('"') for name in head.split("..")]
    known = all(context.names.ids(name, "cable") or context.names.ids(name, "splitter") for name in names)
    return (_WHOLE_PART.fullmatch(part.rstrip("<>")) is not None and known) or (
        head.lower() == "service" and bool(part)
    )


def _step_start(text: str) -> int:
    start, inside = 0, False
    for i, c in enumerate(text):
        if c == '"':
            inside = not inside
        elif c == ";" and not inside:
            start = i + 1
    return start


def _word_start(text: str, start: int) -> int:
    """Index where the word being typed starts; a quoted name is one word, a comma starts another."""
    at, inside = start, False
    for i in range(start, len(text)):
        if text[i] == '"':
            if not inside and (i == start or text[i - 1].isspace() or text[i - 1] == ","):
                at = i
            inside = not inside
        elif not inside and (text[i].isspace() or text[i] == ","):
            at = i + 1
    return at


def _matching(names: Iterable[str], word: str) -> list[str]:
    typed = word.strip('"').lower()
    return [name for name in names if name.lower().startswith(typed)]


def _names(context: Context, at: int, word: str, verb: str) -> Iterator[tuple[int, str]]:
    """Names that make sense after a verb, those at the place first."""
    if verb in HEARS:
        yield from ((at, quoted(name)) for name in _matching(context.names.of["service"], word))
        return
    if verb == "go":
        for name in _matching(context.names.of["site"], word):
            yield at, quoted(name)
        for extra in ("tray ", "finding "):
            if extra.startswith(word.lower()):
                yield at, extra
        yield from ((at, quoted(name)) for name in _matching(context.names.of["cable"], word))
        return
    if verb in ("swap", "set"):
        trays = (f"tray {quoted(name)}" for name in _trays_with_room(context))
        yield from ((at, tray) for tray in trays if tray.startswith(word.lower()))
        return
    if verb == "draft" and "all".startswith(word.lower()):
        yield at, "all"
    here = cables_here(Bench(context, ""), context.place)
    if verb in ("open", "keep", "cut"):
        plant = context.plant
        through = {
            c.name
            for c in plant.cables.values()
            for i, stop in enumerate(c.stops)
            if passes(c, i) and context.place in (None, stop.site)
        }
        here = [name for name in here if name in through]
    ported = verb in ("patch", "part", "who", "trace") and context.plant.ports and "port ".startswith(word.lower())
    if ported and verb == "patch":
        yield at, "port "
    if verb != "park":
        yield from ((at, quoted(name) + ":") for name in _matching(here, word))
    if verb in ("join", "trace", "who", "part", "patch", "park") or verb in RECORDS:
        plant = context.plant
        near = [s.name for s in plant.splitters.values() if context.place in (None, s.site)]
        yield from ((at, quoted(name) + ":") for name in sorted(_matching(near, word), key=natural))
    if (verb in ("part", "put", "who", "trace") or verb in RECORDS) and "tray ".startswith(word.lower()):
        yield at, "tray "
    if ported and verb != "patch":
        yield at, "port "
    if verb in ("trace", "who") and word:
        names = _matching(context.names.of["service"], word.removeprefix("service:"))
        yield from ((at, f"service:{quoted(name)}") for name in names)


def _series_ends(context: Context, at: int, word: str) -> Iterator[tuple[int, str]]:
    """The last of the names that are alike but for their number."""
    first, _, last = word.partition("..")
    stem = re.sub(r"[0-9]+$", "", first.strip('"')).lower()
    kinds: tuple[Kind, ...] = ("cable", "service")
    for kind in kinds:
        alike = [n for n in context.names.of[kind] if re.sub(r"[0-9]+$", "", n).lower() == stem]
        for name in reversed(_matching(alike, last)):
            yield at, f"{first}..{quoted(name)}"


def _parts(context: Context, text: str, at: int, word: str, verb: str) -> Iterator[tuple[int, str]]:
    """Parts that carry on what is typed after the colon."""
    head, colon, typed = word.rpartition(":")
    if not colon:
        return
    name = head.partition("..")[0].strip('"')
    start = at + len(head) + 1
    for key in context.names.ids(name, "cable")[:1]:
        for part in cable_parts(context, key, verb):
            if part.lower().startswith(typed.lower()) and part.lower() != typed.lower():
                yield start, part
    for key in context.names.ids(name, "splitter")[:1]:
        splitter = context.plant.splitters[SplitterId(key)]
        kind = context.plant.splitter_types[splitter.type]
        legs = [*(f"in{n}" for n in range(1, kind.inputs + 1)), f"out1-{len(kind.legs_db)}"]
        legs += [f"out{n}" for n in range(1, len(kind.legs_db) + 1)]
        yield from ((start, leg) for leg in legs if leg.startswith(typed.lower()) and leg != typed.lower())


def _ports(context: Context, text: str, start: int, at: int, word: str) -> Iterator[tuple[int, str]]:
    """Panels of the place, then ports whose front is free: as many as there are ends before, else each stretch."""
    plant = context.plant
    said = re.search(r"\bat\s+(\S+)", text[start:])
    site = next(iter(context.names.ids(said[1], "site")), None) if said else context.place
    here = [p for p in plant.ports.values() if site in (None, p.site)]
    typed, slash, numbers = word.partition("/")
    if not slash:
        panels = sorted({p.panel for p in here}, key=natural)
        yield from ((at, f"{panel}/") for panel in panels if panel.lower().startswith(typed.lower()))
        return
    taken = {m.port for m in plant.matings.values() if m.face == "front"}
    free = sorted(p.number for p in here if p.panel.lower() == typed.lower() and p.id not in taken)
    before = re.search(r":(?:in|out)?(\d+)-(\d+)", text[start:at])
    count = abs(int(before[2]) - int(before[1])) + 1 if before else 1
    for first in free:
        ending = str(first) if count == 1 else f"{first}-{first + count - 1}"
        if ending.startswith(numbers) and set(range(first, first + count)) <= set(free):
            yield at + len(typed) + 1, ending


def _trays_with_room(context: Context) -> list[str]:
    """Trays of the place, those with free slots before full ones."""
    bench = Bench(context, "")
    sites = [context.place] if context.place else sorted({e.site for e in context.plant.enclosures.values()})
    trays = [tray for site in sites for tray in bench.trays_at(site)]
    held = Counter(splice.tray for splice in context.plant.splices.values())
    kinds = context.plant.tray_types
    trays.sort(key=lambda t: held[t.id] >= kinds[t.type].slots * kinds[t.type].per_slot)
    return list(dict.fromkeys(t.name for t in trays))


def _trays(context: Context, text: str, at: int, word: str, verb: str, before: str) -> Iterator[tuple[int, str]]:
    lead = "" if before.endswith(" tray") else "tray "
    typed = word if not lead or not "tray".startswith(word.lower()) else ""
    for name in _matching(_trays_with_room(context), typed):
        yield at, lead + quoted(name)
    if before.endswith(" on") and verb == "put" and "bay".startswith(word.lower()):
        yield at, "bay"


def _slots(context: Context, text: str, at: int) -> Iterator[tuple[int, str]]:
    """First slots: the first free one, then the start of each later free stretch."""
    match = re.search(r'\bon\s+(?:tray\s+)?("[^"]*"|\S+)\s+from\s*\S*$', text, re.IGNORECASE)
    name = match[1].strip('"') if match else ""
    draft = Draft(context.plant)
    bench = Bench(context, "")
    sites = [context.place] if context.place else sorted({e.site for e in context.plant.enclosures.values()})
    for site in sites:
        for tray in bench.trays_at(site):
            if not name or name.lower() in (tray.name.lower(), str(tray.position)):
                free = free_slots(draft, tray.id)
                starts = [n for n in free if n - 1 not in free or n % 12 == 1]
                typed = text[at:].strip()
                yield from ((at, str(n)) for n in starts if str(n).startswith(typed))


def _tails(context: Context, text: str, start: int, verb: str, at: int, word: str) -> Iterator[tuple[int, str]]:
    """Tails in grammar order: carrying on a half-typed one, else after a blank."""
    said = set(re.findall(r"[^\W\d_]+", text[start:].lower()))
    whole = len(text) if not text or text[-1].isspace() else at
    # A word of letters may be half typed; a number or a name with digits is there.
    before = text[start:at] if word.isalpha() else text[start:]
    options = list(record_endings(context, before, verb)) if verb in RECORDS and word.lower() not in TAILS[verb] else []
    for tail in TAILS[verb] if verb not in RECORDS else ():
        if tail in said and tail != word.lower():
            continue
        if tail == "on":
            options += [f"on tray {quoted(name)}" for name in _trays_with_room(context)]
        else:
            options.append(tail if tail in ("both", "singly", "behind", "front") else f"{tail} ")
    for option in options:
        if word and option.startswith(word.lower()) and not (verb in RECORDS and len(word) < 2 and word.isdigit()):
            yield whole, option
        elif not word:
            yield len(text), option
        else:
            yield len(text), f" {option}"
