"""Reading the steps that record what was done to joints: values, wavelength and direction, initials and dates.

    done WHAT { by INITIALS | on DATE }
    undone WHAT
    measure WHAT NM VALUE/VALUE { VALUE/VALUE }          from A to B and from B to A, a pair for each joint
    measure WHAT NM (A-B | B-A) VALUE { VALUE }          one direction, a value for each joint
    measure ... sealed                                   read after the enclosure was closed
    estimate WHAT VALUE { VALUE }
    again WHAT [VALUE { VALUE }]                          broken and made again, with the new estimates
    seen WHAT { by INITIALS | on DATE }
    unseen WHAT [inherited]

All take ``by``, ``on``, ``every``, ``skip`` and ``at`` where they make sense. It does not know what exists.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from typing import Any, Final

from model.line.build import BuildReader
from model.line.faults import LineError, Span
from model.line.syntax import OnTray, Record, Word
from model.line.verbs import EXAMPLE, TAILS

VALUED: Final = frozenset({"measure", "estimate", "again"})
_NUMBER: Final = r"[-+]?(?:\d+(?:[.,]\d*)?|[.,]\d+)"
_VALUE: Final = re.compile(rf"{_NUMBER}(?:\s*/\s*{_NUMBER})?(?=[\s;]|$)", re.ASCII)
_NM: Final = re.compile(r"(\d{3,4})\s*(?:nm)?(?=[\s;]|$)", re.ASCII | re.IGNORECASE)
_WAY: Final = re.compile(r"(a-b|b-a)(?=[\s;]|$)", re.IGNORECASE)
LEAST_NM: Final = 800
"""From here on a number after a tray is a wavelength: no tray has as many slots."""


class RecordReader(BuildReader):
    """The part of the reader for steps that record something."""

    def record(self, verb: str, found: dict[str, Any], tail: Callable[[str, dict[str, Any]], None]) -> Record:
        """The rest of a step whose joints have been read. Raises LineError; ``tail`` reads what all steps share."""
        held: dict[str, Any] = {}
        values: list[Word] = []
        last = found["what"][-1]
        if verb == "measure" and isinstance(last, OnTray) and last.site is None and _is_nm(last.slots):
            found["what"] = (*found["what"][:-1], replace(last, slots=None))
            held["nm"] = last.slots
        while not self.done():
            word = self.keyword()
            if verb in VALUED and self._takes_value(verb, held, values):
                continue
            if word in ("by", "on", "sealed", "inherited") and word in TAILS[verb]:
                self._record_tail(word, held)
            else:
                tail(verb, found)
        if verb == "measure" and "nm" not in held:
            raise self.missing("the wavelength is missing here", EXAMPLE[verb])
        if verb in ("measure", "estimate") and not values:
            raise self.missing("the loss is missing here", EXAMPLE[verb])
        return Record(values=tuple(values), **held)

    def _takes_value(self, verb: str, held: dict[str, Any], values: list[Word]) -> bool:
        """Step over a wavelength, a direction or a value if one stands here."""
        start = self.at
        if verb == "measure":
            if match := _WAY.match(self.text, start):
                self._once("way", held, start, match.end())
                return True
            if "nm" not in held and (match := _NM.match(self.text, start)):
                held["nm"] = Word(match[1], Span(start + 1, len(match[0])))
                self.at = match.end()
                return True
        if match := _VALUE.match(self.text, start):
            self.at = match.end()
            values.append(Word("".join(match[0].split()), Span(start + 1, len(match[0]))))
            return True
        if self.text[start] in "-+.0123456789":
            span = self.here()
            raise LineError(f"{self.said(span)} is no loss", span, hint="Write decibels, like 0.04 or 0.04/0.06")
        return False

    def _once(self, key: str, held: dict[str, Any], start: int, end: int) -> None:
        span = Span(start + 1, end - start)
        if key in held:
            raise LineError(f"{self.said(span)} is said twice", span, hint="Say it once")
        held[key] = Word(self.text[start:end].upper(), span)
        self.at = end

    def _record_tail(self, word: str, held: dict[str, Any]) -> None:
        start = self.at
        key = "mark" if word == "inherited" else word
        if key in held:
            raise LineError(f"{word} is said twice", Span(start + 1, len(word)), hint="Say it once")
        self.at += len(word)
        if word == "by":
            held[key] = self.fresh("who did it", "Write initials: by AB")
        elif word == "on":
            held[key] = self.fresh("the date", "Write year-month-day: on 2026-03-01")
        else:
            held[key] = Word(word, Span(start + 1, len(word)))


def _is_nm(word: Word | None) -> bool:
    return word is not None and word.text.isdigit() and int(word.text) >= LEAST_NM
