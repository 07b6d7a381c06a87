# mypy: disable-error-code="arg-type"
"""The recovery log gives back every whole step, and says what it could not."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from model.changes import ChangeSet, Draft, apply
from model.entities import Site
from model.errors import StorageError
from model.plant import Plant
from model.storage.document import encode
from model.storage.recovery import Recovered, RecoveryLog, digest_of, replay
from tests.model.storage.builder import plant

DIGEST = digest_of(encode(plant()))


def three_steps() -> tuple[list[ChangeSet], Plant]:
    """Rename, add, remove; and the plant after them."""
    made = plant()
    steps = []
    for number in range(3):
        draft = Draft(made)
        if number == 0:
            draft.put(replace(made.sites["co"], name="Exchange Ø"))
            draft.put(replace(made.cables["c"], name="TM-B2"))
        elif number == 1:
            draft.add(Site("new", "New", "cabinet", chainage_m=1.5))
        else:
            draft.remove(type(made.services["sv"]), "sv")
        steps.append(draft.change_set(f"step {number}"))
        apply(made, steps[-1])
    return steps, made


def logged(folder: Path) -> RecoveryLog:
    """A closed log with the three steps."""
    log = RecoveryLog(folder / "town.gwp", folder / "logs")
    log.start(DIGEST)
    for step in three_steps()[0]:
        log.append(step)
    log.close()
    return log


def test_replayed_steps_give_the_plant_as_it_was(tmp_path: Path) -> None:
    found = logged(tmp_path).read(DIGEST)
    steps, after = three_steps()
    assert found == Recovered(tuple(steps))
    assert replay(plant(), found) == after


def test_the_log_survives_being_cut_at_every_byte(tmp_path: Path) -> None:
    log = logged(tmp_path)
    whole = log.path.read_bytes()
    steps = three_steps()[0]
    ends = [index + 1 for index, byte in enumerate(whole) if byte == 10]
    for length in range(len(whole) + 1):
        log.path.write_bytes(whole[:length])
        found = log.read(DIGEST)
        lines = sum(end <= length for end in ends)
        kept = max(lines - 1, 0)
        if length in (0, ends[0]):
            assert found is None
            continue
        assert found is not None
        assert list(found.steps) == steps[:kept]
        assert bool(found.note) == (length not in ends)


def test_a_flipped_byte_ends_the_log_there_and_says_so(tmp_path: Path) -> None:
    log = logged(tmp_path)
    whole = bytearray(log.path.read_bytes())
    second = whole.index(b"\n") + 40
    whole[second] ^= 1
    log.path.write_bytes(whole)
    found = log.read(DIGEST)
    assert found is not None
    assert found.steps == ()
    assert found.note == "the log is damaged at line 2; it and the 2 lines after it are left out"


def test_a_line_taken_out_of_the_middle_is_noticed(tmp_path: Path) -> None:
    log = logged(tmp_path)
    lines = log.path.read_bytes().splitlines(keepends=True)
    log.path.write_bytes(b"".join([*lines[:2], *lines[3:]]))
    found = log.read(DIGEST)
    assert found is not None
    assert len(found.steps) == 1
    assert found.note


def test_a_log_of_another_content_is_refused(tmp_path: Path) -> None:
    with pytest.raises(StorageError, match="another content"):
        logged(tmp_path).read(digest_of(b"other"))


def test_a_log_of_another_path_is_not_found(tmp_path: Path) -> None:
    logged(tmp_path)
    assert RecoveryLog(tmp_path / "other.gwp", tmp_path / "logs").read(DIGEST) is None


def test_a_crash_between_replacing_the_file_and_dropping_the_log_recovers_nothing_twice(tmp_path: Path) -> None:
    log = RecoveryLog(tmp_path / "town.gwp", tmp_path / "logs")
    steps = three_steps()[0]
    log.start(DIGEST)
    log.append(steps[0])
    log.saving("d2")
    log.append(steps[1])
    log.close()
    assert log.read(DIGEST) == Recovered((steps[0], steps[1]))
    assert log.read("d2") == Recovered((steps[1],))


def test_a_discarded_log_is_gone(tmp_path: Path) -> None:
    log = logged(tmp_path)
    log.discard()
    log.discard()
    assert log.read(DIGEST) is None
    with pytest.raises(StorageError, match="not open"):
        log.append(three_steps()[0][0])


def test_steps_that_do_not_fit_leave_the_plant_alone(tmp_path: Path) -> None:
    found = logged(tmp_path).read(DIGEST)
    assert found is not None
    other = plant(name="other")
    with pytest.raises(StorageError, match="does not fit the plant"):
        replay(other, found)
    assert other == plant(name="other")


def test_a_folder_that_cannot_be_made_is_one_line(tmp_path: Path) -> None:
    (tmp_path / "logs").write_text("a file")
    with pytest.raises(StorageError, match="recovery log"):
        RecoveryLog(tmp_path / "town.gwp", tmp_path / "logs").start(DIGEST)
