"""From typed text to a parsed line: verbs, pieces and tails with their columns; names of the plant longest first.

    line   := step { ";" step }
    step   := verb what { tail }              a text that starts with no verb is a find
    what   := piece { "," piece }
    piece  := [CABLE ":"] part [side] | NAME ".." NAME [":" part] | SITE "/" TRAY "/" SLOTS | tray NAME SLOTS
              | SITE "/port/" N | "service:" NAME | finding N
    part   := n | n-m | Tn | Tn-Tm | Tn.p | Tn.p-q | Rn | Rn-Rm | all | inN | outN | outN-M
    tail   := to what | on TRAY [from SLOT] | every N | skip what | both | singly | at SITE | outage WORDS

Letter case and extra spaces do not matter. It does not know what a name stands for.
"""

from __future__ import annotations

import re
from types import MappingProxyType
from typing import Any, Final

from model.entities import Side
from model.line.faults import Fix, LineError, Span
from model.line.names import Kind, Names, ends_name
from model.line.syntax import AtPort, Find, Finding, Glass, Line, OfService, OnTray, Piece, Slot, Step, Thin, What, Word
from model.refs import LONGEST

TAILS: Final = MappingProxyType(
    {
        "open": ("at",),
        "keep": ("at",),
        "cut": ("both", "on", "every", "skip", "at", "outage"),
        "join": ("to", "on", "from", "every", "skip", "singly", "at", "outage"),
        "part": ("every", "skip", "at", "outage"),
        "put": ("on", "from", "every", "skip", "at"),
        "trace": ("at",),
        "who": ("at",),
        "go": (),
        "down": (),
        "up": (),
        "read": ("at",),
    }
)
"""Tails each verb takes, in the order they are offered."""

_PART = re.compile(
    r"all|(?:in|out)\s*\d*(?:\s*-\s*\d+)?|[tr]\d+(?:\s*-\s*[tr]?\d+)?(?:\.\d+(?:\s*-\s*\d+)?)?|\d+(?:\s*-\s*\d+)?",
    re.IGNORECASE,
)
_WORD = re.compile(r"[^\W\d_]+")
_GLASS: Final[tuple[Kind, ...]] = ("cable", "site", "splitter")


def parse(text: str, names: Names) -> Line | Find:
    """The parsed line. Raises LineError with the column of what cannot be read; never changes or looks up anything."""
    if len(text.encode("utf-8", "replace")) > LONGEST:
        raise LineError(
            f"the line is {len(text)} characters long",
            Span(1, len(text)),
            hint=f"At most {LONGEST}: do it in several lines",
        )
    first = _WORD.match(text.lstrip())
    verb = first[0].lower() if first else ""
    if verb not in TAILS or not ends_name(text.lstrip(), len(verb)):
        start = len(text) - len(text.lstrip()) + 1
        return Find(Word(text.strip(), Span(start, len(text.strip()))))
    return _Reader(text, names).line()


class _Reader:
    """Reads one text from left to right."""

    def __init__(self, text: str, names: Names) -> None:
        self.text = text
        self.names = names
        self.at = 0

    # Moving over the text

    def _space(self) -> None:
        while self.at < len(self.text) and self.text[self.at].isspace():
            self.at += 1

    def _done(self) -> bool:
        self._space()
        return self.at >= len(self.text) or self.text[self.at] == ";"

    def _span(self, start: int) -> Span:
        end = self.at
        while end > start and self.text[end - 1].isspace():
            end -= 1
        return Span(start + 1, end - start)

    def _here(self) -> Span:
        """What stands here up to the next blank or mark, for a message; length 0 at the end."""
        end = self.at
        while end < len(self.text) and not (self.text[end].isspace() or self.text[end] in ",;"):
            end += 1
        return Span(self.at + 1, end - self.at)

    def _take(self, mark: str) -> bool:
        """Step over a mark, blanks before it too."""
        held = self.at
        self._space()
        if self.text.startswith(mark, self.at):
            self.at += len(mark)
            return True
        self.at = held
        return False

    def _keyword(self) -> str:
        """The word here in lower case if it stands alone, else nothing."""
        match = _WORD.match(self.text, self.at)
        return match[0].lower() if match and ends_name(self.text, match.end()) else ""

    def _missing(self, what: str, hint: str = "") -> LineError:
        span = self._here()
        return LineError(what, Span(span.column, 0), hint=hint, incomplete=self._done() and span.length == 0)

    # Words

    def _name(self, kinds: tuple[Kind, ...], what: str) -> Word:
        """A quoted name, the longest known one, or what stands up to the next blank or mark."""
        self._space()
        start = self.at
        if self.text.startswith('"', start):
            close = self.text.find('"', start + 1)
            if close < 0:
                raise LineError(
                    "the quotation mark is not closed",
                    Span(start + 1, len(self.text) - start),
                    hint='Write "NAME"',
                    fixes=(Fix(Span(len(self.text.rstrip()) + 1, 0), '"'),),
                    incomplete=True,
                )
            self.at = close + 1
            return Word(self.text[start + 1 : close], Span(start + 1, close + 1 - start))
        length = self.names.longest(self.text, start, kinds)
        if not length:
            while not ends_name(self.text, start + length):
                length += 1
        if not length:
            raise self._missing(f"{what} is missing here")
        self.at = start + length
        return Word(self.text[start : self.at], Span(start + 1, length))

    def _number(self, what: str) -> Word:
        self._space()
        match = re.compile(r"\d+").match(self.text, self.at)
        if not match or not match[0].isascii() or len(match[0]) > 6 or not ends_name(self.text, match.end()):
            span = self._here()
            if span.length == 0:
                raise self._missing(f"{what} is missing here", "Write a number")
            raise LineError(f"{self._said(span)} is no number", span, hint=f"Write {what} as a whole number")
        self.at = match.end()
        return Word(match[0], Span(match.start() + 1, len(match[0])))

    def _said(self, span: Span) -> str:
        return repr(self.text[span.column - 1 : span.end - 1][:40])

    def _part_length(self) -> int:
        match = _PART.match(self.text, self.at)
        return len(match[0]) if match and ends_name(self.text, match.end()) else 0

    def _part(self) -> Word:
        """A range of fibres or slots; a text that is none is kept whole, for the message."""
        self._space()
        start = self.at
        length = self._part_length() or self._here().length
        if not self._part_length():
            while length and self.text[start + length - 1] in "<>":
                length -= 1
        if not length:
            raise self._missing("a fibre, tube or range is missing here", "Write 13, 13-16, T2 or all")
        self.at = start + length
        return Word("".join(self.text[start : self.at].split()), Span(start + 1, length))

    # Pieces

    def _piece(self, verb: str) -> Piece:
        self._space()
        start = self.at
        word = self._keyword()
        kinds: tuple[Kind, ...] = (*_GLASS, "service") if verb in ("down", "up") else _GLASS
        known = self.names.longest(self.text, start, kinds)
        if self.text[start : start + 8].lower() == "service:" and known <= 8:
            self.at += 8
            name = self._name(("service",), "a service")
            return OfService(name, self._span(start))
        if word == "tray" and known <= 4:
            self.at += 4
            return self._tray(start, None)
        if word == "finding" and verb == "go" and known <= 7:
            self.at += 7
            number = int(self._number("the finding").text)
            return Finding(number, self._span(start))
        part = self._part_length()
        bare_name = known > part or (known == part and known and self.text[start + known : start + known + 1] in ":/")
        if part and not bare_name and self.text[start + part : start + part + 1] not in (":", "/"):
            return self._glass(start, None, None, self._part())
        name = self._name(kinds, "a cable or a name")
        if self._take(".."):
            last = self._name(kinds, "the last name of the range")
            return self._glass(start, name, last, self._part() if self._take(":") else None)
        if self._take("/"):
            if self._keyword_before("/") == "port":
                self._space()
                self.at += 4
                self._take("/")
                port_start = self.at
                self.at += self._here().length
                if self.at == port_start:
                    raise self._missing("the number of the port is missing here", "Write SITE/port/N")
                return AtPort(name, Word(self.text[port_start : self.at], self._span(port_start)), self._span(start))
            return self._tray(start, name)
        return self._glass(start, name, None, self._part() if self._take(":") else None)

    def _keyword_before(self, mark: str) -> str:
        self._space()
        match = _WORD.match(self.text, self.at)
        return match[0].lower() if match and self.text.startswith(mark, match.end()) else ""

    def _glass(self, start: int, name: Word | None, last: Word | None, part: Word | None) -> Glass:
        at: Word | None = None
        side: Side | None = None
        if self._take("@"):
            at = self._name(("site",), "a site")
        if self._take("<"):
            side = "<"
        elif self._take(">"):
            side = ">"
        return Glass(name, last, part, at, side, self._span(start))

    def _tray(self, start: int, site: Word | None, *, slots: bool = True) -> OnTray:
        name = self._name(("tray",), "the tray")
        found: Word | None = None
        if site is not None and self._take("/"):
            found = self._part()
        elif site is None and slots:
            held = self.at
            self._space()
            found = self._part() if self._part_length() else None
            if found is None:
                self.at = held
        return OnTray(site, name, found, self._span(start))

    def _what(self, verb: str) -> What:
        pieces = [self._piece(verb)]
        while True:
            if self._take(",") or (verb in ("down", "up") and not self._done()):
                pieces.append(self._piece(verb))
            else:
                return tuple(pieces)

    # Steps

    def line(self) -> Line:
        """All steps up to the end of the text."""
        steps: list[Step] = []
        while True:
            if self._done():
                if self.at >= len(self.text):
                    return Line(tuple(steps))
                self.at += 1
                continue
            steps.append(self._step())

    def _step(self) -> Step:
        start = self.at
        verb = self._keyword()
        if verb not in TAILS:
            span = self._here()
            raise LineError(
                f"{self._said(span)} is no verb",
                span,
                hint=f"A step starts with {', '.join(TAILS)}",
                incomplete=any(v.startswith(self.text[start:].lower()) for v in TAILS),
            )
        self.at += len(verb)
        if self._done():
            raise LineError(f"{verb} what?", Span(self.at + 1, 0), hint=_EXAMPLE[verb], incomplete=True)
        found: dict[str, Any] = {"what": self._what(verb), "thin": [], "to_thin": []}
        if verb == "read":
            found["number"] = self._reading()
        while not self._done():
            self._tail(verb, found)
        if verb == "join" and "to" not in found:
            raise self._missing("join to what?", _EXAMPLE["join"])
        for key in ("thin", "to_thin"):
            found[key] = tuple(found[key])
        return Step(Word(verb, Span(start + 1, len(verb))), span=self._span(start), **found)

    def _reading(self) -> Word:
        self._space()
        span = self._here()
        if not span.length:
            raise self._missing("the reading is missing here", _EXAMPLE["read"])
        self.at += span.length
        return Word(self.text[span.column - 1 : self.at], span)

    def _tail(self, verb: str, found: dict[str, Any]) -> None:
        self._space()
        start = self.at
        word = self._keyword()
        allowed = TAILS[verb]
        if word not in allowed:
            span = self._here() if self._here().length else Span(start + 1, 1)
            typed = self.text[start:].lower()
            raise LineError(
                f"{self._said(span)} is not understood after {verb}",
                span,
                hint=f"It may be followed by {', '.join(allowed)}" if allowed else "Nothing may follow",
                incomplete=bool(typed.strip()) and any(tail.startswith(typed) for tail in allowed),
            )
        self.at += len(word)
        name = {"from": "first"}.get(word, word)
        if word not in ("every", "skip") and name in found:
            raise LineError(f"{word} is said twice", Span(start + 1, len(word)), hint="Say it once")
        if word == "to":
            found["to"] = self._what(verb)
            found["to_span"] = found["to"][0].span.to(found["to"][-1].span)
        elif word in ("every", "skip"):
            every = int(self._number("how many").text) if word == "every" else 0
            skip = self._what(verb) if word == "skip" else ()
            if word == "every" and every < 1:
                raise LineError("every 0 takes nothing", self._span(start), hint="Say every 2 for each second one")
            found["to_thin" if "to" in found else "thin"].append(Thin(every, skip, self._span(start)))
        elif word == "on":
            found["on"] = self._on(start)
        elif word == "from":
            found["first"] = self._number("the first slot")
        elif word == "at":
            found["at"] = self._name(("site",), "a site")
        elif word == "outage":
            self._space()
            words = self.at
            while self.at < len(self.text) and self.text[self.at] != ";":
                self.at += 1
            text = " ".join(self.text[words : self.at].replace('"', " ").split())
            if not text:
                raise self._missing("which outage?", "Write its number: outage CHG-12")
            found["outage"] = Word(text, self._span(words))
        else:
            found[word] = Word(word, Span(start + 1, len(word)))

    def _on(self, start: int) -> Slot:
        self._space()
        begin = self.at
        if self._keyword() == "tray":
            self.at += 4
            return Slot(self._tray(begin, None, slots=False), self._span(start))
        if self._keyword() == "bay" and not self.names.longest(self.text, begin, ("tray",)):
            self.at += 3
            return Slot(None, self._span(start))
        site = self.names.longest(self.text, begin, ("site",))
        if self.text.startswith('"', begin) or (site and self.text[begin + site : begin + site + 1] == "/"):
            name = self._name(("site",), "a tray")
            if self._take("/"):
                return Slot(self._tray(begin, name, slots=False), self._span(start))
            return Slot(OnTray(None, name, None, name.span), self._span(start))
        return Slot(self._tray(begin, None, slots=False), self._span(start))


_EXAMPLE: Final = MappingProxyType(
    {
        "open": "Like: open CABLE:T2",
        "keep": "Like: keep CABLE:T1,T3",
        "cut": "Like: cut CABLE:13-16",
        "join": "Like: join CABLE:13-16 to DROP:1-4 on tray 1",
        "part": "Like: part CABLE:13-16",
        "put": "Like: put CABLE:17-24 on tray 1",
        "trace": "Like: trace CABLE:3",
        "who": "Like: who CABLE:T2",
        "go": "Like: go SITE, go finding 2, go tray 2",
        "down": "Like: down SERVICE SERVICE",
        "up": "Like: up SERVICE..SERVICE",
        "read": "Like: read CABLE:17 3359",
    }
)
