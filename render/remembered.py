"""Answers about courses, remembered from picture to picture: after an edit most courses are the very same objects.

Courses are asked for by identity, since hashing a long one costs as much as many an answer; each answer holds on to
the courses it is about, so that no other object can take their identity.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, TypeVar

from model.geometry.course import Course

T = TypeVar("T")


class Remembered(Generic[T]):
    """A pure function of some courses and a number, with its last ``most`` answers, which none may alter."""

    def __init__(self, work: Callable[[tuple[Course, ...], float], T], most: int = 8192) -> None:
        self._work = work
        self._most = most
        self._known: dict[tuple[float, tuple[int, ...]], tuple[tuple[Course, ...], T]] = {}

    def __call__(self, courses: tuple[Course, ...], number: float = 0.0) -> T:
        """``work`` of these courses, done or remembered."""
        key = (number, tuple(map(id, courses)))
        found = self._known.get(key)
        if found is None:
            if len(self._known) >= self._most:
                # The oldest half goes; what is still in use comes back at its next turn.
                for old in list(self._known)[: self._most // 2]:
                    del self._known[old]
            found = self._known[key] = (courses, self._work(courses, number))
        return found[1]
