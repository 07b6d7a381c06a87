"""Which fault ticket is in hand, and what it says of each service: down, up or not known. Nothing is judged here."""

from __future__ import annotations

import re
from typing import Final, Literal

from model.entities import Shot, Ticket
from model.ids import TicketId
from model.plant import Plant

Heard = Literal["down", "up", "unknown"]
"""What was heard of a service; what was not asked is ``unknown``, and that is never taken as up."""

FEET_M: Final = 0.3048
UNIT_M: Final = {"m": 1.0, "km": 1000.0, "ft": FEET_M}
"""Metres in one of each unit an instrument shows."""


def in_order(plant: Plant) -> tuple[Ticket, ...]:
    """Every ticket by its number, ``9`` before ``10``."""

    def key(ticket: Ticket) -> tuple[list[tuple[int, int, str]], str]:
        found = re.findall(r"[0-9]+|[^0-9]+", ticket.number)
        return [(0, int(t), "") if t.isascii() and t.isdigit() else (1, 0, t.lower()) for t in found], ticket.id

    return tuple(sorted(plant.tickets.values(), key=key))


def ticket_in_hand(plant: Plant, chosen: str | None = None) -> Ticket | None:
    """The ticket chosen if it is there, else the last by number, None without any."""
    if chosen is not None and chosen in plant.tickets:
        return plant.tickets[chosen]
    tickets = in_order(plant)
    return tickets[-1] if tickets else None


def fresh_ticket(plant: Plant, since: str = "") -> Ticket:
    """An empty ticket with the next number and an id that is free; it is not in the plant yet."""
    numbers = [int(t.number) for t in plant.tickets.values() if t.number.isascii() and t.number.isdigit()]
    number = max(numbers, default=0) + 1
    while f"ticket-{number}" in plant.tickets:
        number += 1
    return Ticket(TicketId(f"ticket-{number}"), str(number), since)


def heard_of(ticket: Ticket | None, service: str) -> Heard:
    """What a ticket says of a service."""
    if ticket is None:
        return "unknown"
    return "down" if service in ticket.down else "up" if service in ticket.up else "unknown"


def shown_m(shot: Shot) -> float:
    """What the instrument showed, in metres of its own scale: not corrected for anything."""
    return shot.shown * UNIT_M[shot.unit]
