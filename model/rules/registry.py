"""What a rule is: a dotted name, a severity, a physical reason, a limit with its source, and two examples.

A rule is a function from the facts of one site to what it found; ``rule`` only ties the two together, and each file of
rules lists its own in a tuple. A name is a promise: it stands in profiles, acceptances and drawings, so it never comes
to mean something else. Limits are plain numbers in the rule's unit.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from model.history import Edit
from model.ids import SiteId
from model.numbers import natural
from model.plant import Plant

if TYPE_CHECKING:
    from model.rules.context import Context

Severity = Literal["error", "warning", "note"]
ORDER: dict[str, int] = {"error": 0, "warning": 1, "note": 2}
"""Severities, the gravest first."""

PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Found:
    """What a rule's function found: the ids it is about, a sentence, the value and limit if numbers are compared.

    ``cures`` are proposals, each a list of edits done as one step; the first is the most usual.
    """

    refs: tuple[str, ...]
    message: str
    measured: float | None = None
    limit: float | None = None
    cures: tuple[tuple[Edit, ...], ...] = ()


@dataclass(frozen=True, slots=True)
class Finding:
    """A found fault as the rest of the program sees it; ``accepted`` when somebody has taken it as it is."""

    rule: str
    severity: Severity
    refs: tuple[str, ...]
    message: str
    measured: float | None
    limit: float | None
    unit: str
    basis: str
    accepted: bool
    site: SiteId
    cures: tuple[tuple[Edit, ...], ...] = ()

    @property
    def key(self) -> tuple[object, ...]:
        """What findings are sorted by: gravity, place, rule, what it is about, D-2 before D-10."""
        about = tuple(map(natural, self.refs))
        return ORDER[self.severity], natural(self.site), self.rule, about, self.refs, self.message

    def __lt__(self, other: Finding) -> bool:
        return self.key < other.key


Check = Callable[["Context", float], Iterable[Found]]
Example = Callable[[], Plant]


@dataclass(frozen=True, slots=True)
class Rule:
    """A registered rule. ``limit`` None with a unit means that the part's own value counts unless a profile says more.

    ``worse`` tells which way a measured value gets worse. The function gets the limit in force, 0 for none.
    """

    name: str
    severity: Severity
    title: str
    reason: str
    basis: str
    limit: float | None
    unit: str
    profile_unit: str
    worse: Literal["more", "less"]
    check: Check
    good: Example
    bad: Example

    def finding(self, found: Found, severity: Severity, site: SiteId) -> Finding:
        """The finding of what the rule's function found."""
        return Finding(
            self.name,
            severity,
            found.refs,
            found.message,
            found.measured,
            found.limit,
            self.unit,
            self.basis,
            False,
            site,
            found.cures,
        )

    def is_worse(self, measured: float, accepted: float) -> bool:
        """True when ``measured`` is worse than the value that was accepted."""
        slop = 1e-9 * max(1.0, abs(accepted))
        return measured > accepted + slop if self.worse == "more" else measured < accepted - slop


def rule(
    name: str,
    severity: Severity,
    *,
    title: str,
    reason: str,
    basis: str,
    good: Example,
    bad: Example,
    limit: float | None = None,
    unit: str = "",
    profile_unit: str = "",
    worse: Literal["more", "less"] = "more",
) -> Callable[[Check], Rule]:
    """Make a rule of a function. ``profile_unit`` is the unit a profile's limit has where it is not ``unit``."""

    def made(check: Check) -> Rule:
        return Rule(name, severity, title, reason, basis, limit, unit, profile_unit or unit, worse, check, good, bad)

    return made
