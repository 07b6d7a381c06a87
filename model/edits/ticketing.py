"""Keeping a fault ticket: opening it, hearing who is down and who is up, taking what an instrument shows."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from model.changes import Draft
from model.edits.parts import require_end
from model.entities import Shot, Ticket
from model.errors import EditError
from model.ids import ServiceId, TicketId
from model.plant import Plant
from model.tickets import Heard

LONGEST: Final = 80
"""Characters of a ticket's number and of the words for when it came in."""
SAID: Final = {"down": "down", "up": "up", "unknown": "not known"}


def _ticket(draft: Draft, key: str) -> Ticket:
    ticket: Ticket | None = draft.table("tickets").get(key)
    if ticket is None:
        raise EditError(f"there is no ticket {key!r}", hint="It may have been removed already")
    return ticket


@dataclass(frozen=True, slots=True)
class OpenTicket:
    """Open a ticket; raises EditError if its id or number is taken, or the number is none."""

    ticket: Ticket
    name: str = "open a ticket"

    def write(self, draft: Draft) -> None:
        """Write into the draft."""
        draft.add(self.ticket)
        SetTicket(self.ticket.id, self.ticket.number, self.ticket.since, self.ticket.note).write(draft)


@dataclass(frozen=True, slots=True)
class SetTicket:
    """Give a ticket its number, when it came in and a note. Raises EditError for a number that is empty or taken."""

    ticket: TicketId
    number: str
    since: str = ""
    note: str = ""
    name: str = "ticket"

    def write(self, draft: Draft) -> None:
        """Write into the draft."""
        ticket = _ticket(draft, self.ticket)
        number, since = " ".join(self.number.split()), " ".join(self.since.split())
        if not number or max(len(number), len(since)) > LONGEST or not (number + since).isprintable():
            raise EditError("this is no number of a ticket", hint=f"Use 1 to {LONGEST} letters, digits and marks")
        if any(t.number.lower() == number.lower() for t in draft.plant.tickets.values() if t.id != ticket.id):
            raise EditError(f"there is a ticket {number} already", hint="Choose another number")
        draft.put(replace(ticket, number=number, since=since, note=self.note))


@dataclass(frozen=True, slots=True)
class Hear:
    """Note services of a ticket as down, as up, or take them back to not known. Raises EditError for a strange one."""

    ticket: TicketId
    services: tuple[ServiceId, ...]
    heard: Heard
    name: str = "hear of services"

    def write(self, draft: Draft) -> None:
        """Write into the draft."""
        ticket = _ticket(draft, self.ticket)
        for service in self.services:
            if service not in draft.plant.services:
                raise EditError(f"there is no service {service!r}", hint="It may have been removed already")
        said = set(self.services)
        lists = {
            heard: tuple(dict.fromkeys([*old, *self.services]))
            if heard == self.heard
            else tuple(s for s in old if s not in said)
            for heard, old in (("down", ticket.down), ("up", ticket.up))
        }
        draft.put(replace(ticket, down=lists["down"], up=lists["up"]))


@dataclass(frozen=True, slots=True)
class TakeShot:
    """Take an OTDR reading into a ticket, in place of an earlier one of the same glass, end and wavelength.

    Raises EditError for a distance or an index that cannot be, and for glass that is not there.
    """

    ticket: TicketId
    shot: Shot
    name: str = "take a reading"

    def write(self, draft: Draft) -> None:
        """Write into the draft."""
        ticket, shot = _ticket(draft, self.ticket), self.shot
        require_end(draft, shot.glass)
        if not (math.isfinite(shot.shown) and 0 <= shot.shown <= 1e7):
            raise EditError("this is no distance", hint="Like 3359, from 0 up")
        if shot.index is not None and not 1.3 <= shot.index <= 1.7:
            raise EditError(f"{shot.index:g} is no index of glass", hint="A group index is near 1.468")
        if not (math.isfinite(shot.lead_m) and 0 <= shot.lead_m <= 1e5):
            raise EditError("this is no length of a launch lead", hint="Like 150 m, 0 without one")
        if not 200 <= shot.wavelength_nm <= 3000:
            raise EditError(f"{shot.wavelength_nm} nm is no wavelength of an instrument", hint="Like 1310")
        same = (shot.glass, shot.from_side, shot.wavelength_nm)
        kept = [s for s in ticket.shots if (s.glass, s.from_side, s.wavelength_nm) != same]
        draft.put(replace(ticket, shots=(*kept, shot)))


@dataclass(frozen=True, slots=True)
class DropShot:
    """Take a reading out of a ticket, by its place in the list from 0. Raises EditError for none there."""

    ticket: TicketId
    index: int
    name: str = "drop a reading"

    def write(self, draft: Draft) -> None:
        """Write into the draft."""
        ticket = _ticket(draft, self.ticket)
        if not 0 <= self.index < len(ticket.shots):
            raise EditError("there is no such reading", hint="It may have been dropped already")
        draft.put(replace(ticket, shots=ticket.shots[: self.index] + ticket.shots[self.index + 1 :]))


def hear_name(plant: Plant, services: Sequence[str], heard: Heard) -> str:
    """What the undo button says: ``C12 is up``, ``C5 and C6 are down``, ``7 services are up``."""
    names = [plant.services[ServiceId(key)].name for key in services if key in plant.services]
    if len(names) > 3:
        return f"{len(names)} services are {SAID[heard]}"
    said = " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)
    return f"{said} {'is' if len(names) == 1 else 'are'} {SAID[heard]}"
