"""One process writes a plant file, the others are told who; what was not saved is there after a crash."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from model.changes import ChangeSet, Draft
from model.errors import StorageError
from model.plant import Plant
from model.storage.files import load, save
from model.storage.lock import Holder, LockedError, PlantLock
from model.storage.store import FileStore, Store
from tests.model.storage.builder import plant

ROOT = Path(__file__).parents[3]
ADA = Holder("ada", "desk", 41, "2031-02-03 10:15")
BO = Holder("bo", "van", 42, "2031-02-03 10:20")


def rename(made: Plant, name: str) -> ChangeSet:
    """One step: the exchange gets another name."""
    draft = Draft(made)
    draft.put(replace(made.sites["co"], name=name))
    return draft.change_set(f"rename to {name}")


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """A saved plant."""
    path = tmp_path / "town.gwp"
    save(plant(), path)
    return path


def opened(file: Path, holder: Holder | None = ADA) -> FileStore:
    """A store with its log beside the plant."""
    return FileStore(file, holder, file.parent / "logs")


def other_process(file: Path) -> subprocess.Popen[str]:
    """A process that has the plant open until its input is closed."""
    code = (
        "import sys\n"
        "from model.storage.lock import Holder, PlantLock\n"
        "lock = PlantLock(sys.argv[1])\n"
        "lock.acquire(Holder('bo', 'van', 42, '2031-02-03 10:20'))\n"
        "print('locked', flush=True)\n"
        "sys.stdin.read()\n"
    )
    child = subprocess.Popen(
        [sys.executable, "-B", "-c", code, str(file)],
        cwd=ROOT,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert child.stdout is not None
    assert child.stdout.readline() == "locked\n"
    return child


def end(child: subprocess.Popen[str]) -> None:
    """Kill the process and wait for it."""
    child.kill()
    child.communicate()


def test_a_second_opener_is_told_who_has_it_and_may_read(file: Path) -> None:
    child = other_process(file)
    try:
        store = opened(file)
        assert store.read_only
        assert "is open already: bo on van (process 42) since 2031-02-03 10:20" in str(store.refusal)
        assert store.load() == plant()
        with pytest.raises(LockedError, match="read-only"):
            store.save(plant(name="new"))
        with pytest.raises(LockedError):
            store.append(rename(plant(), "x"))
    finally:
        end(child)
    assert load(file) == plant()


def test_the_lock_of_a_killed_process_is_taken_over(file: Path) -> None:
    end(other_process(file))
    lock = PlantLock(file)
    lock.acquire(ADA)
    assert lock.holder() == ADA
    lock.release()
    assert lock.holder() is None


def test_a_released_lock_can_be_taken_by_another(file: Path) -> None:
    first, second = PlantLock(file), PlantLock(file)
    first.acquire(ADA)
    with pytest.raises(LockedError, match="ada on desk"):
        second.acquire(BO)
    first.release()
    second.acquire(BO)
    assert second.holder() == BO
    second.release()


@pytest.mark.parametrize("note", [b"", b"[]", b"\xff", b'{"user": 1}', b"[" * 9999])
def test_an_unreadable_note_is_no_holder(file: Path, note: bytes) -> None:
    file.with_name("town.gwp.lock.who").write_bytes(note)
    assert PlantLock(file).holder() is None


def test_a_place_where_nothing_can_be_locked_is_one_line(tmp_path: Path) -> None:
    (tmp_path / "town.gwp.lock").mkdir()
    with pytest.raises(StorageError, match="cannot be locked"):
        PlantLock(tmp_path / "town.gwp").acquire(ADA)


def test_a_store_without_holder_is_read_only(file: Path) -> None:
    store = opened(file, None)
    assert store.load() == plant()
    with pytest.raises(StorageError, match="read-only"):
        store.save(plant())


def test_steps_are_kept_counted_and_gone_after_a_save(file: Path) -> None:
    store = opened(file)
    made = store.load()
    steps = []
    for name in ("one", "two"):
        steps.append(rename(made, name))
        made._tables["sites"]["co"] = replace(made.sites["co"], name=name)
        assert store.append(steps[-1]) == len(steps)
    assert store.since(0) == tuple(steps)
    assert store.since(1) == (steps[1],)
    store.save(made)
    assert load(file).sites["co"].name == "two"
    store.close()
    again = opened(file)
    again.load()
    assert again.recovered is None
    again.close()


def test_what_was_not_saved_is_offered_after_a_crash_and_can_be_taken_over(file: Path) -> None:
    store = opened(file)
    made = store.load()
    store.append(rename(made, "unsaved"))
    store.close()
    for _ in range(2):  # a second crash before the save loses nothing either
        store = opened(file)
        made = store.load()
        assert store.recovered is not None
        with pytest.raises(StorageError, match="left steps behind"):
            store.append(rename(made, "other"))
        with pytest.raises(StorageError, match="left steps behind"):
            store.save(made)
        made = store.take_over(made)
        assert made.sites["co"].name == "unsaved"
        store.close()
    store = opened(file)
    made = store.take_over(store.load())
    store.append(rename(made, "later"))
    store.close()
    store = opened(file)
    assert store.take_over(store.load()).sites["co"].name == "later"
    store.forget()
    store.close()
    store = opened(file)
    assert store.load() == plant()
    assert store.recovered is None
    store.close()


def test_a_log_that_does_not_work_keeps_nobody_from_saving(file: Path) -> None:
    (file.parent / "logs").write_text("no folder")
    store = opened(file)
    made = store.load()
    with pytest.raises(StorageError):
        store.append(rename(made, "x"))
    store.save(plant(name="new"))
    store.close()
    assert load(file) == plant(name="new")


def test_a_log_of_a_file_that_was_changed_elsewhere_stays_until_it_is_dropped(file: Path) -> None:
    store = opened(file)
    store.append(rename(store.load(), "unsaved"))
    store.close()
    save(plant(name="elsewhere"), file)
    store = opened(file)
    made = store.load()
    with pytest.raises(StorageError, match="another content"):
        store.append(rename(made, "x"))
    store.save(made)
    assert len(list((file.parent / "logs").iterdir())) == 1
    store.forget()
    assert store.append(rename(made, "x")) == 1
    store.close()


def test_leftovers_of_a_killed_save_are_cleared_when_the_plant_is_opened(file: Path) -> None:
    left = file.with_name(".town.gwp.99999.saving")
    left.write_text("half")
    store = opened(file)
    store.load()
    store.close()
    assert not left.exists()


def test_a_file_store_is_a_store(file: Path) -> None:
    store: Store = opened(file, None)
    assert store.since(0) == ()
