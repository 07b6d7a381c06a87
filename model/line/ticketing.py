"""The steps of a fault ticket: ``down``, ``up`` and ``clear`` note services in it, ``read`` takes an OTDR reading.

They write into the ticket in hand; where there is none yet, the line opens one.
"""

from __future__ import annotations

import math
from dataclasses import replace

from model.edits.ticketing import SAID, Hear, OpenTicket, TakeShot, hear_name
from model.entities import Shot, Ticket
from model.graph import node_end
from model.ids import ServiceId
from model.line.asking import nodes_of
from model.line.context import Answer, Bench, Chip, Made
from model.line.faults import LineError
from model.line.resolve import service_ids
from model.line.syntax import Step
from model.line.wording import plural
from model.tickets import Heard, fresh_ticket, ticket_in_hand


def _in_hand(bench: Bench, made: Made) -> Ticket:
    """The ticket the line writes into, opened by it where the plant has none."""
    ticket = ticket_in_hand(bench.plant, bench.context.ticket)
    if ticket is None:
        ticket = fresh_ticket(bench.plant, bench.context.now)
        bench.do(made, OpenTicket(ticket))
    return ticket


def hear(bench: Bench, step: Step) -> Made:
    """``down``, ``up`` and ``clear``: services for the ticket's lists, or out of them."""
    keys = tuple(ServiceId(key) for key in service_ids(bench, step.what))
    verb = step.verb.text
    heard: Heard = "down" if verb == "down" else "up" if verb == "up" else "unknown"
    made = Made(hear_name(bench.plant, keys, heard))
    ticket = _in_hand(bench, made)
    bench.do(made, Hear(ticket.id, keys, heard, made.name))
    made.answer = Answer("ticket", (ticket.id,))
    said = ", ".join(bench.plant.services[key].name for key in keys[:6])
    made.chips = [
        Chip("do", f"mark {plural(len(keys), 'service')} {SAID[heard]}", step.verb.span),
        Chip("what", said + (f" and {len(keys) - 6} more" if len(keys) > 6 else ""), step.what_span),
        Chip("in", f"ticket {ticket.number}", step.verb.span),
    ]
    return made


def read(bench: Bench, step: Step) -> Made:
    """``read``: a distance measured from one fibre, in the ticket's own unit, with its settings of the instrument."""
    nodes, words = nodes_of(bench, step)
    word = step.number
    text = word.text if word else ""
    try:
        number = float(text.replace(",", ".")) if text.isascii() and "_" not in text else math.nan
    except ValueError:
        number = math.nan
    span = word.span if word else step.span
    if not math.isfinite(number) or number < 0:
        raise LineError(f"{text!r} is no distance", span, hint="Like 3359 or 3359.5, no thousands separator")
    glass = node_end(nodes[0]) if len(nodes) == 1 else None
    if glass is None:
        raise LineError(
            f"{words} is {plural(len(nodes), 'piece')} of glass",
            step.what_span,
            hint="Name one fibre, with < or > at a cut",
        )
    made = Made(f"read {words} at {number:g}")
    ticket = _in_hand(bench, made)
    before = next((shot for shot in reversed(ticket.shots) if shot.glass == glass), None)
    before = before or (ticket.shots[-1] if ticket.shots else Shot(glass, 0.0))
    shot = replace(before, glass=glass, shown=number, file="", taken=bench.context.now)
    bench.do(made, TakeShot(ticket.id, shot, made.name))
    made.answer = Answer("ticket", (ticket.id,), nodes=tuple(nodes))
    made.chips = [
        Chip("do", "take an OTDR reading", step.verb.span),
        Chip("from", words, step.what_span),
        Chip("at", f"{number:g} {shot.unit} as shown", span),
        Chip("in", f"ticket {ticket.number}", step.verb.span),
    ]
    return made
