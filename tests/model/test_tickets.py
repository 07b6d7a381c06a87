"""Fault tickets: who is down, up or not known, and readings of an instrument; all of it undone like anything else."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from model.edits.parts import Remove
from model.edits.ticketing import DropShot, Hear, OpenTicket, SetTicket, TakeShot, hear_name
from model.entities import FibreEnd, Shot, Ticket
from model.errors import EditError, StorageError
from model.history import History
from model.ids import CableId, ServiceId, StopId, TicketId
from model.storage.document import decode, encode
from model.templates import TEMPLATES
from model.tickets import fresh_ticket, heard_of, in_order, shown_m, ticket_in_hand

ONE, TWO, THREE = ServiceId("th-1"), ServiceId("th-2"), ServiceId("th-3")
TICKET = TicketId("ticket-1")
GLASS = FibreEnd(CableId("tm-b1"), 15, StopId("tm-b1.quill-lane"), ">")


@pytest.fixture
def history() -> History:
    made = History(TEMPLATES["mid-span-small"]())
    made.do(OpenTicket(Ticket(TICKET, "0231", "01:52")))
    return made


def test_a_service_is_in_one_list_at_most_and_can_be_taken_back_to_not_known(history: History) -> None:
    history.do(Hear(TICKET, (ONE, TWO, THREE), "up"))
    history.do(Hear(TICKET, (TWO,), "down"))
    ticket = history.plant.tickets[TICKET]
    assert (ticket.down, ticket.up) == ((TWO,), (ONE, THREE))
    history.do(Hear(TICKET, (TWO, THREE), "unknown"))
    ticket = history.plant.tickets[TICKET]
    assert [heard_of(ticket, key) for key in (ONE, TWO, THREE)] == ["up", "unknown", "unknown"]


def test_undo_takes_what_was_heard_back_one_step_at_a_time(history: History) -> None:
    history.do(Hear(TICKET, (ONE,), "down"))
    history.do(Hear(TICKET, (ONE,), "up"))
    history.undo()
    assert heard_of(history.plant.tickets[TICKET], ONE) == "down"
    history.undo()
    assert heard_of(history.plant.tickets[TICKET], ONE) == "unknown"


def test_what_is_heard_of_nobody_is_refused_whole(history: History) -> None:
    with pytest.raises(EditError, match="no service 'nobody'"):
        history.do(Hear(TICKET, (ONE, ServiceId("nobody")), "down"))
    assert history.plant.tickets[TICKET].down == ()


def test_a_second_reading_of_the_same_glass_replaces_the_first(history: History) -> None:
    history.do(TakeShot(TICKET, Shot(GLASS, 3359.0)))
    history.do(TakeShot(TICKET, Shot(GLASS, 3361.0)))
    history.do(TakeShot(TICKET, Shot(GLASS, 3360.0, wavelength_nm=1625)))
    assert [shot.shown for shot in history.plant.tickets[TICKET].shots] == [3361.0, 3360.0]
    history.do(DropShot(TICKET, 0))
    assert [shot.shown for shot in history.plant.tickets[TICKET].shots] == [3360.0]


@pytest.mark.parametrize(
    ("shot", "words"),
    [
        (Shot(GLASS, math.nan), "no distance"),
        (Shot(GLASS, -1.0), "no distance"),
        (Shot(GLASS, 10.0, index=14.682), "no index"),
        (Shot(GLASS, 10.0, lead_m=-150.0), "launch lead"),
        (Shot(GLASS, 10.0, wavelength_nm=13), "no wavelength"),
        (Shot(replace(GLASS, fibre=49), 10.0), "has 48 fibres, not 49"),
    ],
)
def test_a_reading_that_cannot_be_is_refused_in_words(history: History, shot: Shot, words: str) -> None:
    with pytest.raises(EditError, match=words):
        history.do(TakeShot(TICKET, shot))
    assert history.plant.tickets[TICKET].shots == ()


def test_two_tickets_cannot_have_one_number(history: History) -> None:
    history.do(OpenTicket(Ticket(TicketId("b"), "0232")))
    with pytest.raises(EditError, match="a ticket 0231 already"):
        history.do(SetTicket(TicketId("b"), " 0231 "))
    with pytest.raises(EditError, match="no number of a ticket"):
        history.do(SetTicket(TicketId("b"), "  "))


def test_the_ticket_in_hand_is_the_one_chosen_else_the_last_by_number(history: History) -> None:
    history.do(OpenTicket(Ticket(TicketId("nine"), "9")), OpenTicket(Ticket(TicketId("ten"), "10")))
    assert [t.number for t in in_order(history.plant)] == ["9", "10", "0231"]
    assert ticket_in_hand(history.plant, "nine").number == "9"  # type: ignore[union-attr]
    assert ticket_in_hand(history.plant, "gone").number == "0231"  # type: ignore[union-attr]
    assert fresh_ticket(history.plant, "02:30") == Ticket(TicketId("ticket-232"), "232", "02:30")


def test_a_service_on_a_ticket_is_not_removed_under_it(history: History) -> None:
    history.do(Hear(TICKET, (ONE,), "down"))
    with pytest.raises(EditError, match="still used by ticket-1"):
        history.do(Remove("services", ONE, "remove"))
    history.do(Hear(TICKET, (ONE,), "unknown"))
    history.do(Remove("services", ONE, "remove"))


def test_a_ticket_goes_through_its_file_and_a_file_without_one_opens(history: History) -> None:
    history.do(Hear(TICKET, (ONE,), "down"), TakeShot(TICKET, Shot(GLASS, 3359.0, index=1.4682, lead_m=150.0)))
    assert decode(encode(history.plant)).tickets == history.plant.tickets
    assert b'"tickets"' not in encode(TEMPLATES["mid-span-small"]())


@pytest.mark.parametrize(
    ("was", "now", "where"),
    [
        ('"down":["th-1"]', '"down":["th-9"]', r"\$\.tickets\[0\]\.down\[0\]"),
        ('"up":["th-2"]', '"up":["th-1"]', r"\$\.tickets\[0\]\.up"),
        ('["fibre","tm-b1",15', '["fibre","tm-b9",15', r"\$\.tickets\[0\]\.shots\[0\]\.glass"),
    ],
)
def test_a_damaged_ticket_is_refused_with_its_place(history: History, was: str, now: str, where: str) -> None:
    history.do(Hear(TICKET, (ONE,), "down"), Hear(TICKET, (TWO,), "up"), TakeShot(TICKET, Shot(GLASS, 3359.0)))
    text = encode(history.plant).decode().replace(", ", ",").replace(": ", ":")
    assert was in text
    with pytest.raises(StorageError, match=where):
        decode(text.replace(was, now).encode())


def test_metres_of_what_was_shown_in_feet_and_kilometres() -> None:
    # One foot is 0.3048 m exactly (international foot, 1959).
    assert shown_m(Shot(GLASS, 10_000.0, "ft")) == pytest.approx(3048.0)
    assert shown_m(Shot(GLASS, 3.359, "km")) == pytest.approx(3359.0)


def test_the_step_says_who_is_what(history: History) -> None:
    plant = history.plant
    assert hear_name(plant, [ONE], "up") == "TH-1 is up"
    assert hear_name(plant, [ONE, TWO, THREE], "down") == "TH-1, TH-2 and TH-3 are down"
    assert hear_name(plant, [ONE, TWO], "unknown") == "TH-1 and TH-2 are not known"
    assert hear_name(plant, list(plant.services)[:4], "up") == "4 services are up"
