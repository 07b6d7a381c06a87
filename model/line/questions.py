"""A question to the planner as plain texts, with the line that asks it, and the ranked ways that answer it."""

from __future__ import annotations

from dataclasses import dataclass

from model.line.names import quoted
from model.planning.proposal import Proposal


@dataclass(frozen=True, slots=True)
class Question:
    """``kind`` is drops, trays or stubs; the other fields are as typed, empty where they do not belong to it.

    ``keep`` is the reserve: dark fibres of a tube for drops, per cent of the slots for trays.
    """

    kind: str
    drops: str = ""
    cable: str = ""
    keep: int = 0
    ports: str = ""
    skip: str = ""
    by: str = "tube"
    at: str = ""
    outage: str = ""

    def text(self, take: int = 1) -> str:
        """The line that asks it and takes the way of that rank."""
        said = ["plan", self.kind]
        if self.kind == "drops":
            said += [self.drops, "from", quoted(self.cable)] if self.cable else [self.drops]
            said += ["keep", str(self.keep)] if self.keep else []
            said += ["ports", self.ports] if self.ports else []
            said += ["skip", self.skip] if self.skip else []
        elif self.kind == "trays":
            said += ["by", self.by, "keep", str(self.keep)]
        said += ["at", quoted(self.at)] if self.at else []
        said += ["take", str(take)] if take != 1 else []
        said += ["outage", self.outage] if self.outage and self.kind == "drops" else []
        return " ".join(word for word in said if word)


@dataclass(frozen=True, slots=True)
class Planned:
    """A question and its ways, best first; ``taken`` counts from 1, 0 where nothing is to be done."""

    question: Question
    ways: tuple[Proposal, ...]
    taken: int
