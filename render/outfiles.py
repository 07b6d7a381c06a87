"""Putting drawings and lists on the disk: a whole set of files or none, never over something of another kind.

Every file is first written beside its place; only when all of them are on the disk are they moved there. Names come
from a person's command and from names in the plant, and neither is trusted.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Final

from model.errors import StorageError

ENDING: Final = ".svg"
LONGEST_BYTES: Final = 100
"""Of a file name made from a name in the plant; file systems take 255 with everything that is added."""
_RESERVED: Final = re.compile(r"(?i)(con|prn|aux|nul|com\d|lpt\d)(\.|$)")


def file_name(text: str) -> str:
    """A name from the plant as part of a file name: letters, digits and ``.-_`` stay, all else becomes ``_``."""
    plain = "".join(c if c.isalnum() or c in ".-_" else "_" for c in text).strip("._") or "_"
    short = plain.encode("utf-8", "replace")[:LONGEST_BYTES].decode("utf-8", "ignore")
    return f"_{short}" if _RESERVED.match(short) else short


def unique(names: Iterable[str]) -> list[str]:
    """The names, numbered from the second of a kind on; letter case does not tell files apart everywhere."""
    taken: set[str] = set()
    found: list[str] = []
    for name in names:
        one, count = name, 1
        while one.casefold() in taken:
            count += 1
            one = f"{name}-{count}"
        taken.add(one.casefold())
        found.append(one)
    return found


def check_target(path: Path, source: Path, ending: str = ENDING) -> None:
    """Refuse a place of another ending, or that the plant itself stands in; raises StorageError."""
    what = "drawing" if ending == ENDING else "list"
    if path.suffix.lower() != ending:
        or_print = ", or say - to print it" if ending == ENDING else ""
        raise StorageError(f"is no name for a {what}", where=str(path), hint=f"Let it end in {ending}{or_print}")
    try:
        real = path.resolve()
        if real.is_dir():
            raise StorageError("is a folder", where=str(path), hint="Choose another name, or another folder")
        if real.exists() and not real.is_file():
            raise StorageError("is no ordinary file", where=str(path), hint="Choose another name")
        same = real.exists() and os.path.samefile(real, source)
    except (OSError, RuntimeError, ValueError) as fault:
        raise refusal(path, fault) from fault
    if same or real.suffix.lower() != ending:
        why = "is the plant itself" if same else f"is a link to {real.name}"
        raise StorageError(why, where=str(path), hint=f"Choose another name for the {what}")


def put(files: Sequence[tuple[Path, str | bytes]]) -> None:
    """Write bytes, and texts as UTF-8, to their places: all, or none and a StorageError that names the place."""
    beside: list[tuple[Path, Path, Path]] = []
    path = Path()
    try:
        for index, (path, text) in enumerate(files):
            target = path.resolve()
            part = target.with_name(f".{os.getpid()}-{index}.part")
            beside.append((part, target, path))
            with part.open("wb") as file:
                file.write(text if isinstance(text, bytes) else text.encode("utf-8"))
                file.flush()
                os.fsync(file.fileno())
        for part, target, path in beside:  # noqa: B007  # named in the refusal
            part.replace(target)
    except (OSError, RuntimeError, ValueError) as fault:
        raise refusal(path, fault) from fault
    finally:
        for part, _, _ in beside:
            with suppress(OSError):
                part.unlink()


def put_in_folder(folder: Path, files: Sequence[tuple[str, str]], source: Path, ending: str = ENDING) -> list[Path]:
    """Write (name, text) into a folder, made if there is none; the places. On failure nothing new stays behind."""
    made: list[Path] = []
    try:
        if folder.exists() and not folder.is_dir():
            what = "sheets" if ending == ENDING else "lists"
            raise StorageError(f"is a file, and all {what} need a folder", where=str(folder), hint="Name a folder")
        for one in reversed([folder, *folder.parents]):
            if not one.exists():
                one.mkdir()
                made.append(one)
    except (OSError, RuntimeError, ValueError) as fault:
        _remove(made)
        raise refusal(folder, fault) from fault
    places = [folder / f"{name}{ending}" for name, _ in files]
    try:
        for place in places:
            check_target(place, source, ending)
        put([(place, text) for place, (_, text) in zip(places, files, strict=True)])
    except BaseException:
        _remove(made)
        raise
    return places


def _remove(folders: Sequence[Path]) -> None:
    for folder in reversed(folders):
        with suppress(OSError):
            folder.rmdir()


def refusal(path: Path, fault: Exception) -> StorageError:
    """Why nothing was written at a place, and what to do."""
    if isinstance(fault, FileNotFoundError):
        hint = f"Make the folder {path.parent} first, or choose another"
    elif isinstance(fault, NotADirectoryError | FileExistsError):
        hint = "Part of the path is a file; choose a folder"
    elif isinstance(fault, PermissionError):
        hint = "Choose another folder, or ask for the right to write there"
    else:
        hint = "Choose another name or another disk"
    reason = getattr(fault, "strerror", None) or str(fault) or type(fault).__name__
    return StorageError(f"nothing written: {reason[0].lower()}{reason[1:]}", where=str(path), hint=hint)
