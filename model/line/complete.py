"""Endings that can follow a half-typed line, in grammar order; each is tried, and only those that read are offered."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Completion:
    """An ending: what to show, and the whole line with it."""

    ending: str
    text: str


Reader = Callable[[str], object]


def completions(context: object, text: str, most: int, read: Reader) -> Iterator[Completion]:
    """At most ``most`` endings of a text."""
    yield from ()
