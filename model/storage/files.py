"""Plant files: reading one whole, and replacing one so that either the old or the new is there, whole.

Saving writes beside the file, flushes it to the disk, and only then puts it in the old one's place; success is said
after the folder is on the disk too. Nothing here knows what a plant is.
"""

from __future__ import annotations

import os
import stat
from contextlib import suppress
from pathlib import Path
from typing import Final, NoReturn

from model.errors import StorageError
from model.plant import Plant
from model.storage.document import decode, encode

MOST_BYTES: Final = 256 * 1024 * 1024
"""Largest file that is read."""

_SAME: Final = "The file on disk is as it was"


def read_bytes(path: Path, most: int | None = None, what: str = "a plant", ending: str = "gwp") -> bytes:
    """The content of a regular file of at most ``most`` bytes (``MOST_BYTES``); raises StorageError.

    ``what`` is the kind of file meant, and ``ending`` what its name ends in, for the message.
    """
    most = MOST_BYTES if most is None else most
    try:
        status = path.stat()
        if stat.S_ISDIR(status.st_mode):
            raise StorageError("is a folder", where=str(path), hint="Choose a file in it")
        if not stat.S_ISREG(status.st_mode):
            raise StorageError("is no ordinary file", where=str(path), hint=f"Choose {what} file (*.{ending})")
        if status.st_size > most:
            size = status.st_size // 1_000_000
            raise StorageError(
                f"is {size} MB, more than the {most // 1_000_000} MB {what} may have",
                where=str(path),
                hint="Check that it is the right file",
            )
        with path.open("rb") as file:
            data = file.read(most + 1)
    except FileNotFoundError:
        raise StorageError("there is no such file", where=str(path), hint="Check the name and the folder") from None
    except (OSError, ValueError) as error:
        raise StorageError(
            f"cannot be read: {_reason(error)}", where=str(path), hint="Check the file's rights"
        ) from error
    if len(data) > most:
        raise StorageError(
            "grew while it was read", where=str(path), hint="Wait until it is written, then open it again"
        )
    return data


def load(path: Path | str) -> Plant:
    """The plant in a file; raises StorageError, one line with file, place and remedy."""
    return understand(read_bytes(Path(path)), Path(path))


def understand(data: bytes, path: Path) -> Plant:
    """The plant in the content of the file at ``path``; raises StorageError that names the file."""
    try:
        return decode(data)
    except StorageError as error:
        where = f"{path} {error.where}".strip()
        raise StorageError(error.message, where=where, hint=error.hint, column=error.column) from error


def save(plant: Plant, path: Path | str) -> None:
    """Put the plant in place of the file at ``path``; when this returns it is on the disk. Raises StorageError."""
    replace(Path(path), content(plant, Path(path)))


def content(plant: Plant, path: Path) -> bytes:
    """What the file at ``path`` has to hold; read back once, so that no file is replaced by one nobody can open."""
    try:
        data = encode(plant)
        decode(data)
    except StorageError as error:
        where = f"{path} {error.where}".strip()
        raise StorageError(
            f"not saved, the plant is not whole: {error.message}", where=where, hint=f"{_SAME}. {error.hint}"
        ) from error
    return data


def resolved(path: Path) -> Path:
    """The file a path means in the end, links followed; raises StorageError for a path that cannot be one."""
    try:
        return path.resolve()
    except (OSError, RuntimeError, ValueError) as error:
        raise StorageError(f"is no path: {_reason(error)}", where=str(path), hint="Check the name") from error


def replace(path: Path, data: bytes) -> None:
    """Put ``data`` in place of the file at ``path``, whole or not at all; a link is followed to its file."""
    target = resolved(path)
    try:
        if target.exists() and not target.is_file():
            raise StorageError("is a folder or no ordinary file", where=str(path), hint="Choose a file name")
        if len(data) > MOST_BYTES:
            raise StorageError("the plant is larger than a file may be", where=str(path), hint="Divide the plant")
    except OSError as error:
        _refuse(path, error)
    beside = target.with_name(f".{target.name}.{os.getpid()}.saving")
    try:
        _write_beside(beside, target, data)
        os.replace(beside, target)
    except OSError as error:
        _refuse(path, error)
    finally:
        with suppress(OSError):
            beside.unlink()
    try:
        _sync_folder(target.parent)
    except OSError as error:
        raise StorageError(
            f"written, but the disk did not confirm it: {_reason(error)}",
            where=str(path),
            hint="Save again before switching off",
        ) from error


def _write_beside(beside: Path, target: Path, data: bytes) -> None:
    with suppress(FileNotFoundError):
        beside.unlink()  # left by a process that was killed and had our number
    handle = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666)
    with os.fdopen(handle, "wb") as file:
        with suppress(FileNotFoundError):
            os.chmod(beside, stat.S_IMODE(target.stat().st_mode))
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def _sync_folder(folder: Path) -> None:
    if os.name == "nt":
        return  # folders cannot be opened there; the replacement itself is journalled
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def clear_leftovers(path: Path) -> None:
    """Remove unfinished saves of processes that were killed; call it only while holding the plant's lock."""
    target = resolved(path)
    for left in target.parent.glob(f".{_escaped(target.name)}.*.saving"):
        with suppress(OSError):
            left.unlink()


def _escaped(name: str) -> str:
    return "".join(f"[{c}]" if c in "*?[" else c for c in name)


def _refuse(path: Path, error: Exception) -> NoReturn:
    if isinstance(error, FileNotFoundError | NotADirectoryError):
        hint = "Make the folder first, or choose another"
    elif isinstance(error, PermissionError):
        hint = "Choose another folder, or ask for the right to write there"
    else:
        hint = "Make room or choose another disk"
    raise StorageError(f"not saved: {_reason(error)}", where=str(path), hint=f"{_SAME}. {hint}") from error


def _reason(error: Exception) -> str:
    """What the system says, without its numbers and without the path that stands before it anyway."""
    text = getattr(error, "strerror", None) or str(error) or type(error).__name__
    return f"{text[0].lower()}{text[1:]}"
