"""A save leaves the old file or the new one, whole, whatever happens; a read refuses what it should not touch."""

from __future__ import annotations

import errno
import os
import random
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from model.errors import StorageError
from model.storage import files
from model.storage.document import encode
from model.storage.files import clear_leftovers, load, save
from tests.model.storage.builder import plant

ROOT = Path(__file__).parents[3]
OLD, NEW = plant(name="old"), plant(name="new")


def said(call: Callable[[], object]) -> str:
    """The one line of the StorageError that ``call`` raises."""
    with pytest.raises(StorageError) as caught:
        call()
    assert "\n" not in str(caught.value)
    return str(caught.value)


def test_a_saved_plant_is_loaded_equal(tmp_path: Path) -> None:
    file = tmp_path / "town.gwp"
    save(OLD, file)
    assert load(file) == OLD
    assert file.read_bytes() == encode(OLD)
    assert list(tmp_path.iterdir()) == [file]


def test_the_fault_names_the_file_and_the_place(tmp_path: Path) -> None:
    file = tmp_path / "town.gwp"
    file.write_bytes(encode(OLD).replace(b'"mark_in_m": 810', b'"mark_in_m": "810"'))
    assert f"{file} $.cables[0].stops[1].mark_in_m (old): Expected" in said(lambda: load(file))


def test_a_missing_file_a_folder_and_a_pipe_are_refused(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    assert "no such file" in said(lambda: load(tmp_path / "no.gwp"))
    assert "is a folder" in said(lambda: load(tmp_path))
    assert "no ordinary file" in said(lambda: load(tmp_path / "pipe"))
    assert "cannot be read" in said(lambda: load("a\0b"))


def test_a_huge_file_is_refused_unread(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "huge.gwp"
    with file.open("wb") as handle:
        handle.truncate(1_000_000_000)
    monkeypatch.setattr(Path, "open", lambda *_: pytest.fail("the file was opened"))
    assert "is 1000 MB" in said(lambda: load(file))


def test_the_file_keeps_its_rights_and_a_link_stays_a_link(tmp_path: Path) -> None:
    file, link = tmp_path / "town.gwp", tmp_path / "link.gwp"
    save(OLD, file)
    file.chmod(0o640)
    link.symlink_to(file)
    save(NEW, link)
    assert link.is_symlink()
    assert file.stat().st_mode & 0o777 == 0o640
    assert load(file) == NEW


def test_a_folder_or_a_missing_folder_is_no_place_to_save(tmp_path: Path) -> None:
    (tmp_path / "folder").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "folder")
    (tmp_path / "loop").symlink_to(tmp_path / "loop")
    for name in ("folder", "link"):
        assert "is a folder" in said(lambda name=name: save(OLD, tmp_path / name))  # type: ignore[misc]
    assert "no path" in said(lambda: save(OLD, tmp_path / "loop"))
    assert "Make the folder first" in said(lambda: save(OLD, tmp_path / "no" / "town.gwp"))
    assert "Make the folder first" in said(lambda: save(OLD, tmp_path / "no" / ".." / "no" / "town.gwp"))
    assert list((tmp_path / "folder").iterdir()) == []


STEPS = [
    ("open", errno.EACCES, "the right to write there"),
    ("open", errno.EROFS, "read-only"),
    ("chmod", errno.EPERM, "the right to write there"),
    ("fsync", errno.ENOSPC, "Make room"),
    ("fsync", errno.EIO, "another disk"),
    ("replace", errno.EXDEV, "another disk"),
]


@pytest.mark.parametrize(("step", "number", "hint"), STEPS)
def test_a_failing_step_leaves_the_old_file_and_nothing_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str, number: int, hint: str
) -> None:
    file = tmp_path / "town.gwp"
    save(OLD, file)

    def fail(*_: Any, **__: Any) -> None:
        raise OSError(number, os.strerror(number))

    with monkeypatch.context() as patch:
        patch.setattr(os, step, fail)
        line = said(lambda: save(NEW, file))
    assert hint in line
    assert "The file on disk is as it was" in line
    assert file.read_bytes() == encode(OLD)
    assert list(tmp_path.iterdir()) == [file]


def test_a_full_disk_in_the_middle_of_writing_leaves_the_old_file(tmp_path: Path) -> None:
    file = tmp_path / "town.gwp"
    save(OLD, file)
    code = (
        "import resource, signal, sys\n"
        "from model.errors import StorageError\n"
        "from model.storage.files import save\n"
        "from tests.model.storage.builder import plant\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))\n"
        "try: save(plant(name='new'), sys.argv[1])\n"
        "except StorageError as error: print(error)\n"
    )
    done = subprocess.run(
        [sys.executable, "-B", "-c", code, str(file)], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert "not saved: file too large" in done.stdout
    assert done.stdout.count("\n") == 1
    assert file.read_bytes() == encode(OLD)
    assert list(tmp_path.iterdir()) == [file]


def test_an_interrupt_while_writing_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "town.gwp"
    save(OLD, file)

    def interrupt(_: int) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", interrupt)
        with pytest.raises(KeyboardInterrupt):
            save(NEW, file)
    assert file.read_bytes() == encode(OLD)
    assert list(tmp_path.iterdir()) == [file]


def test_when_the_folder_is_not_confirmed_the_new_file_is_whole_and_that_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "town.gwp"
    save(OLD, file)

    def fail(_: Path) -> None:
        raise OSError(errno.EIO, "Input/output error")

    monkeypatch.setattr(files, "_sync_folder", fail)
    assert "the disk did not confirm it" in said(lambda: save(NEW, file))
    assert file.read_bytes() == encode(NEW)


def test_the_disk_is_told_before_and_after_the_replacement(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    order: list[str] = []
    fsync, move = os.fsync, os.replace

    def noted_fsync(handle: int) -> None:
        order.append("fsync")
        fsync(handle)

    def noted_move(source: Path, target: Path) -> None:
        order.append("replace")
        move(source, target)

    monkeypatch.setattr(os, "fsync", noted_fsync)
    monkeypatch.setattr(os, "replace", noted_move)
    save(OLD, tmp_path / "town.gwp")
    assert order == ["fsync", "replace", "fsync"]


def test_a_broken_plant_does_not_replace_a_whole_one(tmp_path: Path) -> None:
    file = tmp_path / "town.gwp"
    save(OLD, file)
    line = said(lambda: save(plant(name=""), file))
    assert "not saved, the plant is not whole: is empty" in line
    assert f"{file} $.cables[0].name" in line
    assert load(file) == OLD


def test_killed_at_any_moment_the_file_is_the_old_or_the_new_one(tmp_path: Path) -> None:
    file = tmp_path / "town.gwp"
    save(OLD, file)
    code = (
        "import sys\n"
        "from model.storage.document import encode\n"
        "from model.storage.files import replace\n"
        "from pathlib import Path\n"
        "from tests.model.storage.builder import plant\n"
        "both = [encode(plant(name='old')), encode(plant(name='new'))]\n"
        "print('ready', flush=True)\n"
        "while True:\n"
        "    for data in both: replace(Path(sys.argv[1]), data)\n"
    )
    whole = {encode(OLD), encode(NEW)}
    chance = random.Random(7)
    for _ in range(12):
        child = subprocess.Popen(
            [sys.executable, "-B", "-c", code, str(file)], cwd=ROOT, stdout=subprocess.PIPE, text=True
        )
        assert child.stdout is not None
        assert child.stdout.readline() == "ready\n"
        # Read until killed: nobody who looks in between may see half a file either.
        for _ in range(chance.randrange(1, 300)):
            assert file.read_bytes() in whole
        child.send_signal(signal.SIGKILL)
        child.wait()
        child.stdout.close()
        assert file.read_bytes() in whole
    clear_leftovers(file)
    assert list(tmp_path.iterdir()) == [file]
