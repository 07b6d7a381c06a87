"""Reading ``plan``: a question to the planner, its words in the order they are said, each with its columns.

    plan drops WHAT from CABLE { keep N | ports N-M | skip FIBRES | at SITE | take N | outage WORDS }
    plan trays { by GROUPS | keep N [%] | at SITE | take N }
    plan stubs { at SITE | take N }
    GROUPS := tube | service | side | crossings

A drop named alone means all its ends that are not joined yet. ``take`` says which of the ranked ways is taken.
"""

from __future__ import annotations

from typing import Any, Final

from model.line.build import BuildReader
from model.line.faults import Fix, LineError, Span
from model.line.names import nearest
from model.line.syntax import Ask, What, Word

QUESTIONS: Final = {
    "drops": ("from", "keep", "ports", "skip", "at", "take", "outage"),
    "trays": ("by", "keep", "at", "take"),
    "stubs": ("at", "take"),
}
"""What can be asked, and the words that may follow."""
GROUPS: Final = ("tube", "service", "side", "crossings")
"""What a tray should hold one of; by crossings: no groups, only the fewest crossings."""


class AskReader(BuildReader):
    """The part of the reader for questions to the planner."""

    def _what(self, verb: str) -> What:
        raise NotImplementedError

    def _one_of(self, words: tuple[str, ...], what: str) -> Word:
        self.space()
        span = self.here()
        word = self.keyword()
        if word not in words:
            typed = self.text[self.at :].lower()
            close = nearest(self.text[self.at : span.end - 1], words)[: len(words)]
            raise LineError(
                f"{self.said(span)} is {what}" if span.length else f"{what.removeprefix('no ')} is missing here",
                span,
                hint=f"Say {', '.join(words)}",
                fixes=tuple(Fix(span, name) for name in close) if span.length else (),
                incomplete=any(name.startswith(typed) for name in words),
            )
        self.at += len(word)
        return Word(word, Span(span.column, len(word)))

    def ask(self, verb: Word, start: int) -> Ask:
        """The rest of a step whose verb has been read. Raises LineError."""
        kind = self._one_of(tuple(QUESTIONS), "no question of plan")
        found: dict[str, Any] = {"kind": kind}
        if kind.text == "drops":
            if self.done():
                raise self.missing("which drops?", "Like: plan drops D-1 from CABLE")
            found["drops"] = self._what("join")
        allowed = QUESTIONS[kind.text]
        while not self.done():
            begin = self.at
            tail = self.keyword()
            if tail not in allowed:
                span = self.here() if self.here().length else Span(begin + 1, 1)
                typed = self.text[begin:].lower()
                raise LineError(
                    f"{self.said(span)} is not understood after plan {kind.text}",
                    span,
                    hint=f"It may be followed by {', '.join(allowed)}",
                    incomplete=bool(typed.strip()) and any(word.startswith(typed) for word in allowed),
                )
            self.at += len(tail)
            if {"from": "cable"}.get(tail, tail) in found:
                raise LineError(f"{tail} is said twice", Span(begin + 1, len(tail)), hint="Say it once")
            self._asked(tail, found)
        if kind.text == "drops" and "cable" not in found:
            raise self.missing("from which cable?", "Like: plan drops D-1 from CABLE")
        return Ask(verb, span=self.span(start), **found)

    def _asked(self, tail: str, found: dict[str, Any]) -> None:
        if tail == "from":
            found["cable"] = self.name(("cable",), "a cable")
        elif tail == "keep":
            found["keep"] = self.number("how much is kept")
            if found["kind"].text == "trays":
                self.take("%")
        elif tail == "ports":
            begin = self.at
            found["ports"] = self._list("ports")
            if not found["ports"].text:
                raise LineError("which ports?", Span(begin + 1, 0), hint="Write numbers, like 1-24")
        elif tail == "skip":
            found["skip"] = self._what("join")
        elif tail == "by":
            found["by"] = self._one_of(GROUPS, "no group")
        elif tail == "outage":
            found["outage"] = self.outage()
        elif tail == "at":
            found["at"] = self.name(("site",), "a site")
        else:
            found["take"] = self.number("which way")

    def _list(self, what: str) -> Word:
        """Numbers and ranges with commas, as one word."""
        first = self.part()
        words = [first.text]
        last = first
        while self.take(","):
            last = self.part()
            words.append(last.text)
        return Word(",".join(words), first.span.to(last.span))
