"""From typed text to a parsed line: verbs, pieces and tails with their columns; names of the plant longest first.

    line   := step { ";" step }
    step   := verb what { tail }              a text that starts with no verb is a find
    what   := piece { "," piece }
    piece  := [CABLE ":"] part [side] | NAME ".." NAME [":" part] | SITE "/" TRAY "/" SLOTS | tray NAME SLOTS
              | SITE "/port/" [PANEL "/"] N | port [PANEL "/"] N | "service:" NAME | finding N
    part   := n | n-m | Tn | Tn-Tm | Tn.p | Tn.p-q | Rn | Rn-Rm | all | inN | outN | outN-M
    step   := next [N] | plan, as ``ask`` reads it
    step   := add | name | mark | enter | plug | unplug | remove | serve, as ``build`` reads them
    step   := done | undone | measure | estimate | again | seen | unseen, as ``recording`` reads them
    tail   := to what | and what | on TRAY [from SLOT] | every N | skip what | both | singly | behind | front | turns N
              | long N [m | mm] | at SITE | outage WORDS

Letter case and extra spaces do not matter. It does not know what a name stands for.
"""

from __future__ import annotations

import re
from typing import Any, Final

from model.entities import Side
from model.line.ask import AskReader
from model.line.faults import LineError, Span
from model.line.names import Kind, Names, ends_name
from model.line.recording import RecordReader
from model.line.scan import WORD
from model.line.syntax import (
    Ask,
    AtPort,
    Build,
    Find,
    Finding,
    Glass,
    Line,
    OfService,
    OnTray,
    Piece,
    Slot,
    Step,
    Thin,
    What,
    Word,
)
from model.line.verbs import BUILDS, EXAMPLE, HEARS, RECORDS, TAILS
from model.refs import LONGEST

_GLASS: Final[tuple[Kind, ...]] = ("cable", "site", "splitter")


def parse(text: str, names: Names) -> Line | Find:
    """The parsed line. Raises LineError with the column of what cannot be read; never changes or looks up anything."""
    if len(text.encode("utf-8", "replace")) > LONGEST:
        raise LineError(
            f"the line is {len(text)} characters long",
            Span(1, len(text)),
            hint=f"At most {LONGEST}: do it in several lines",
        )
    first = WORD.match(text.lstrip())
    verb = first[0].lower() if first else ""
    if verb not in TAILS or not ends_name(text.lstrip(), len(verb)):
        start = len(text) - len(text.lstrip()) + 1
        return Find(Word(text.strip(), Span(start, len(text.strip()))))
    return _Reader(text, names).line()


class _Reader(RecordReader, AskReader):
    """Reads one text from left to right."""

    # Pieces

    def _piece(self, verb: str) -> Piece:
        self.space()
        start = self.at
        word = self.keyword()
        kinds: tuple[Kind, ...] = (*_GLASS, "service") if verb in HEARS else _GLASS
        known = self.names.longest(self.text, start, kinds)
        if self.text[start : start + 8].lower() == "service:" and known <= 8:
            self.at += 8
            name = self.name(("service",), "a service")
            return OfService(name, self.span(start))
        if word == "tray" and known <= 4:
            self.at += 4
            return self._tray(start, None)
        if word == "port" and known <= 4 and self.text[start + 4 : start + 5].isspace():
            self.at += 4
            return self._port(start, None)
        if word == "finding" and verb == "go" and known <= 7:
            self.at += 7
            number = int(self.number("the finding").text)
            return Finding(number, self.span(start))
        part = self.part_length()
        bare_name = known > part or (known == part and known and self.text[start + known : start + known + 1] in ":/")
        if part and not bare_name and self.text[start + part : start + part + 1] not in (":", "/"):
            return self._glass(start, None, None, self.part())
        name = self.name(kinds, "a cable or a name")
        if self.take(".."):
            last = self.name(kinds, "the last name of the range")
            return self._glass(start, name, last, self.part() if self.take(":") else None)
        if self.take("/"):
            if self._keyword_before("/") == "port":
                self.space()
                self.at += 4
                self.take("/")
                return self._port(start, name)
            return self._tray(start, name)
        return self._glass(start, name, None, self.part() if self.take(":") else None)

    def _port(self, start: int, site: Word | None) -> AtPort:
        self.space()
        port_start = self.at
        self.at += self.here().length
        if self.at == port_start:
            raise self.missing("the number of the port is missing here", "Write port PANEL/N or SITE/port/PANEL/N")
        return AtPort(site, Word(self.text[port_start : self.at], self.span(port_start)), self.span(start))

    def _keyword_before(self, mark: str) -> str:
        self.space()
        match = WORD.match(self.text, self.at)
        return match[0].lower() if match and self.text.startswith(mark, match.end()) else ""

    def _glass(self, start: int, name: Word | None, last: Word | None, part: Word | None) -> Glass:
        at: Word | None = None
        side: Side | None = None
        if self.take("@"):
            at = self.name(("site",), "a site")
        if self.take("<"):
            side = "<"
        elif self.take(">"):
            side = ">"
        return Glass(name, last, part, at, side, self.span(start))

    def _tray(self, start: int, site: Word | None, *, slots: bool = True) -> OnTray:
        name = self.name(("tray",), "the tray")
        found: Word | None = None
        if site is not None and self.take("/"):
            found = self.part()
        elif site is None and slots:
            held = self.at
            self.space()
            found = self.part() if self.part_length() else None
            if found is None:
                self.at = held
        return OnTray(site, name, found, self.span(start))

    def _what(self, verb: str) -> What:
        pieces = [self._piece(verb)]
        while True:
            if self.take(",") or (verb in HEARS and not self.done()):
                pieces.append(self._piece(verb))
            else:
                return tuple(pieces)

    # Steps

    def line(self) -> Line:
        """All steps up to the end of the text."""
        steps: list[Step | Build | Ask] = []
        while True:
            if self.done():
                if self.at >= len(self.text):
                    return Line(tuple(steps))
                self.at += 1
                continue
            steps.append(self._step())

    def _step(self) -> Step | Build | Ask:
        start = self.at
        verb = self.keyword()
        if verb not in TAILS:
            span = self.here()
            raise LineError(
                f"{self.said(span)} is no verb",
                span,
                hint=f"A step starts with {', '.join(TAILS)}",
                incomplete=any(v.startswith(self.text[start:].lower()) for v in TAILS),
            )
        self.at += len(verb)
        if self.done() and verb != "next":
            raise LineError(f"{verb} what?", Span(self.at + 1, 0), hint=EXAMPLE[verb], incomplete=True)
        if verb == "plan":
            return self.ask(Word(verb, Span(start + 1, len(verb))), start)
        if verb in BUILDS:
            return self.build(Word(verb, Span(start + 1, len(verb))), start)
        what = self._what(verb) if verb != "next" else ()
        found: dict[str, Any] = {"what": what, "thin": [], "to_thin": []}
        if verb == "next" and self.text[self.at :].lstrip()[:1].isdigit():
            found["number"] = self.number("how many")
        if verb == "read":
            found["number"] = self._reading()
        if verb in RECORDS:
            found["record"] = self.record(verb, found, self._tail)
        while not self.done():
            self._tail(verb, found)
        if verb in ("join", "patch", "swap") and "to" not in found:
            raise self.missing(f"{verb} {'with' if verb == 'swap' else 'to'} what?", EXAMPLE[verb])
        for key in ("thin", "to_thin"):
            found[key] = tuple(found[key])
        return Step(Word(verb, Span(start + 1, len(verb))), span=self.span(start), **found)

    def _reading(self) -> Word:
        self.space()
        match = re.compile(r"[^\s;]+").match(self.text, self.at)
        if match is None:
            raise self.missing("the reading is missing here", EXAMPLE["read"])
        span = Span(match.start() + 1, len(match[0]))
        self.at = match.end()
        return Word(self.text[span.column - 1 : self.at], span)

    def _tail(self, verb: str, found: dict[str, Any]) -> None:
        self.space()
        start = self.at
        word = self.keyword()
        allowed = TAILS[verb]
        if word not in allowed:
            span = self.here() if self.here().length else Span(start + 1, 1)
            typed = self.text[start:].lower()
            raise LineError(
                f"{self.said(span)} is not understood after {verb}",
                span,
                hint=f"It may be followed by {', '.join(allowed)}" if allowed else "Nothing may follow",
                incomplete=bool(typed.strip()) and any(tail.startswith(typed) for tail in allowed),
            )
        self.at += len(word)
        name = {"from": "first", "and": "to"}.get(word, word)
        if word not in ("every", "skip") and name in found:
            raise LineError(f"{word} is said twice", Span(start + 1, len(word)), hint="Say it once")
        if word in ("to", "and"):
            found["to"] = self._what(verb)
            found["to_span"] = found["to"][0].span.to(found["to"][-1].span)
        elif word in ("every", "skip"):
            every = int(self.number("how many").text) if word == "every" else 0
            skip = self._what(verb) if word == "skip" else ()
            if word == "every" and every < 1:
                raise LineError("every 0 takes nothing", self.span(start), hint="Say every 2 for each second one")
            found["to_thin" if "to" in found else "thin"].append(Thin(every, skip, self.span(start)))
        elif word == "on":
            found["on"] = self._on(start)
        elif word in ("reserve", "sleeves"):
            found[word] = self.number("how many slots" if word == "reserve" else "the length")
        elif word == "from":
            found["first"] = self.number("the first slot")
        elif word == "turns":
            found["turns"] = self.measure("how many turns", "Like turns 3")
        elif word == "long":
            found["long"] = self._length()
        elif word == "at":
            found["at"] = self.name(("site",), "a site")
        elif word == "outage":
            found["outage"] = self.outage()
        else:
            found[word] = Word(word, Span(start + 1, len(word)))

    def _length(self) -> Word:
        """A number with its unit where one is said."""
        word = self.measure("the length", "Like long 2.5 m or long 940 mm")
        held = self.at
        self.space()
        unit = self.keyword()
        if unit not in ("m", "mm"):
            self.at = held
            return word
        self.at += len(unit)
        return Word(f"{word.text} {unit}", self.span(word.span.column - 1))

    def _on(self, start: int) -> Slot:
        self.space()
        begin = self.at
        if self.keyword() == "tray":
            self.at += 4
            return Slot(self._tray(begin, None, slots=False), self.span(start))
        if self.keyword() == "bay" and not self.names.longest(self.text, begin, ("tray",)):
            self.at += 3
            return Slot(None, self.span(start))
        site = self.names.longest(self.text, begin, ("site",))
        if self.text.startswith('"', begin) or (site and self.text[begin + site : begin + site + 1] == "/"):
            name = self.name(("site",), "a tray")
            if self.take("/"):
                return Slot(self._tray(begin, name, slots=False), self.span(start))
            return Slot(OnTray(None, name, None, name.span), self.span(start))
        return Slot(self._tray(begin, None, slots=False), self.span(start))
