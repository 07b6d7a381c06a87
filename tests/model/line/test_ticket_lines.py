"""What is said for a fault ticket, and lists that are pasted into it."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from model.line.heard import HeardList, read_list
from model.line.readback import read_line
from model.plant import Plant
from model.tickets import heard_of, ticket_in_hand
from tests.model.line.lines import chips, done, read, small


def test_the_first_word_of_who_is_down_opens_a_ticket_and_is_one_step() -> None:
    context = small()
    history, _ = done(context, "down TH-1 TH-3")
    ticket = ticket_in_hand(history.plant)
    assert ticket is not None
    assert ticket.number == "1"
    assert ticket.down == ("th-1", "th-3")
    assert history.undo_name == "TH-1 and TH-3 are down"
    history.undo()
    assert not history.plant.tickets


def test_down_up_and_clear_write_into_the_same_ticket() -> None:
    history, _ = done(small(), "down TH-1 TH-3", "up TH-1..TH-3", "clear TH-2", "down TH-3")
    assert len(history.plant.tickets) == 1
    ticket = ticket_in_hand(history.plant)
    assert [heard_of(ticket, key) for key in ("th-1", "th-2", "th-3")] == ["up", "unknown", "down"]


def test_two_steps_in_one_line_open_one_ticket() -> None:
    history, _ = done(small(), "down TH-1; up TH-2")
    assert [(t.down, t.up) for t in history.plant.tickets.values()] == [(("th-1",), ("th-2",))]


def test_a_reading_is_taken_from_one_piece_of_glass_with_the_settings_of_the_last() -> None:
    context = small()
    reading = read(context, "read TM-B1:17 3359")
    assert reading.answers[0].nodes == ("tm-b1:17@tm-b1.quill-lane>",)
    assert chips(reading)["at"] == "3359 m as shown"
    history, now = done(context, "read TM-B1:17 3359.5")
    shot = ticket_in_hand(history.plant).shots[0]  # type: ignore[union-attr]
    assert (shot.shown, shot.unit, shot.glass.stop) == (3359.5, "m", "tm-b1.quill-lane")  # type: ignore[union-attr]
    fault = read_line(now, "read TM-B1:15 3359", complete=False).error
    assert fault is not None
    assert "2 pieces of glass" in fault.message


def said(plant: Plant, text: str, heard: str = "down") -> tuple[str, str, str, str]:
    """A list read: who is down, up, not known, and the bad names."""
    found = read_list(plant, text, heard)  # type: ignore[arg-type]
    assert not found.refused
    return (
        " ".join(found.down),
        " ".join(found.up),
        " ".join(found.unknown),
        " ".join(f"{bad.row}:{bad.text}" for bad in found.bad),
    )


def test_lists_as_people_send_them() -> None:
    plant = small().plant
    assert said(plant, "TH-1\nTH-2\r\n\nth-3\n") == ("th-1 th-2 th-3", "", "", "")
    assert said(plant, "TH-1, TH-2; TH-3", "up") == ("", "th-1 th-2 th-3", "", "")
    assert said(plant, "TH-1 TH-2") == ("th-1 th-2", "", "", "")
    assert said(plant, "TH-1 down\nTH-2 UP\nTH-3 ?") == ("th-1", "th-2", "th-3", "")
    assert said(plant, "TH-1\tdown\nTH-2\tok\nTH-3\tnot known") == ("th-1", "th-2", "th-3", "")
    assert said(plant, "down: TH-1, TH-2\nup TH-3") == ("th-1 th-2", "th-3", "", "")
    assert said(plant, "Down\tUp\nTH-1\tTH-3\nTH-2\t") == ("th-1 th-2", "th-3", "", "")
    assert said(plant, "TH-1, TH-2 down\nTH-1 up") == ("th-2", "th-1", "", "")


def test_names_that_nobody_has_are_listed_with_their_row_and_the_nearest() -> None:
    plant = small().plant
    found = read_list(plant, "TH-1\nTH-33 TH-2\nnobody at all, TH-3", "down")
    assert found.down == ("th-1", "th-2", "th-3")
    assert [(bad.row, bad.text) for bad in found.bad] == [(2, "TH-33"), (3, "nobody"), (3, "at"), (3, "all")]
    assert found.bad[0].nearest[0] == "TH-3"
    assert str(found.bad[0]).startswith("row 2: nobody is called 'TH-33', nearest TH-3")


def test_of_hundreds_of_unknown_names_all_are_told_and_the_first_ones_have_a_nearest() -> None:
    found = read_list(small().plant, "\n".join(f"TH-{n}" for n in range(100, 400)), "down")
    assert [bad.row for bad in found.bad] == list(range(1, 301))
    assert [bool(bad.nearest) for bad in found.bad] == [True] * 20 + [False] * 280


def test_a_list_that_is_far_too_long_is_refused_with_the_number() -> None:
    found = read_list(small().plant, "TH-1\n" * 400_000, "down")
    assert "2000000 characters" in found.refused
    assert not found.down


@given(st.text(alphabet="TH-123 \n\t,;:downup?é\u2028", max_size=80), st.sampled_from(["down", "up", "unknown"]))
def test_any_text_gives_a_list_in_which_nobody_stands_twice(text: str, heard: str) -> None:
    found = read_list(PLANT, text, heard)  # type: ignore[arg-type]
    assert isinstance(found, HeardList)
    everybody = [*found.down, *found.up, *found.unknown]
    assert len(set(everybody)) == len(everybody)
    assert set(everybody) <= set(PLANT.services)


PLANT = small().plant
