"""The steps done since the last save, kept on disk one by one, so that a crash loses nothing.

A log belongs to one plant file, by its path, and to one content of it, by its digest. One line is one record with a
checksum over itself and everything before it; a line is on the disk before the step counts as logged. A line that was
not written to its end is left out when reading, and that is said. Entities have the same form as in the plant file.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, BinaryIO, Final, NoReturn

from platformdirs import user_state_path

from model.changes import Change, ChangeSet, apply
from model.errors import EditError, StorageError
from model.plant import KINDS, Entity, Plant
from model.storage.document import convert, parse, tables_in
from model.storage.files import MOST_BYTES, replace, resolved
from model.storage.integrity import check
from model.storage.records import reader, record, writer

FORMAT: Final = "glasswright-recovery"
VERSION: Final = 1
_SUM: Final = 16


def digest_of(data: bytes) -> str:
    """What a log knows a content of a plant file by."""
    return hashlib.sha256(data).hexdigest()


@dataclass(frozen=True, slots=True)
class Recovered:
    """The steps a log holds beyond the plant file, and ``note``: what of it could not be read, empty if nothing."""

    steps: tuple[ChangeSet, ...]
    note: str = ""


class RecoveryLog:
    """The log of one plant file. ``folder`` is where logs lie; the user's state folder if not given."""

    def __init__(self, plant_file: Path | str, folder: Path | None = None) -> None:
        self.plant_file = resolved(Path(plant_file))
        self.folder = folder if folder is not None else user_state_path("glasswright") / "recovery"
        name = hashlib.sha256(os.fsencode(self.plant_file)).hexdigest()[:16]
        self.path = self.folder / f"{name}.gwlog"
        self._file: BinaryIO | None = None
        self._sum = ""

    def start(self, digest: str, steps: Sequence[ChangeSet] = ()) -> None:
        """Begin a log for the content ``digest`` of the plant file, with ``steps`` in it; the former log is gone."""
        self.close()
        self._sum = ""
        head = {"format": FORMAT, "version": VERSION, "plant": str(self.plant_file), "digest": digest}
        lines = [self._line(head), *(self._line(_entry(step)) for step in steps)]
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            replace(self.path, b"".join(lines))
            self._file = self.path.open("ab")
        except OSError as error:
            self._refuse(error)

    def append(self, changes: ChangeSet) -> None:
        """Keep one step; when this returns it is on the disk. Raises StorageError."""
        self._write(_entry(changes))

    def saving(self, digest: str) -> None:
        """Say that all steps so far are in the content ``digest``, which is about to replace the plant file."""
        self._write({"saved": digest})

    def discard(self) -> None:
        """Remove the log; does nothing if there is none."""
        self.close()
        try:
            self.path.unlink(missing_ok=True)
        except OSError as error:
            self._refuse(error)

    def close(self) -> None:
        """Stop writing and leave the log where it is."""
        if self._file is not None:
            self._file.close()
            self._file = None

    def read(self, digest: str) -> Recovered | None:
        """The steps missing from the plant file whose content is ``digest``; None if none is, or there is no log.

        Raises StorageError if the log belongs to another content of the file.
        """
        try:
            if self.path.stat().st_size > MOST_BYTES:
                raise StorageError("is too large for a recovery log", where=str(self.path), hint="Remove it")
            data = self.path.read_bytes()
        except FileNotFoundError:
            return None
        except OSError as error:
            self._refuse(error)
        records, note = _records(data)
        if not records:
            return Recovered((), note) if note else None
        head = records[0]
        if head.get("format") != FORMAT or head.get("version") != VERSION or not isinstance(head.get("digest"), str):
            raise StorageError("is no recovery log of this version", where=str(self.path), hint="Remove it")
        at = 1 if head["digest"] == digest else 0
        for index, entry in enumerate(records):
            if index and entry.get("saved") == digest:
                at = index + 1
        if at == 0:
            raise StorageError(
                "the recovery log belongs to another content of the plant file",
                where=str(self.path),
                hint=f"{self.plant_file.name} was changed elsewhere; restore that content, or discard the log",
            )
        steps = tuple(_change_set(entry, self.path) for entry in records[at:] if "saved" not in entry)
        return Recovered(steps, note) if steps or note else None

    def _write(self, entry: Mapping[str, Any]) -> None:
        if self._file is None:
            raise StorageError("the recovery log is not open", where=str(self.path), hint="Save the plant")
        try:
            self._file.write(self._line(entry))
            self._file.flush()
            os.fsync(self._file.fileno())
        except (OSError, ValueError) as error:
            self.close()  # what follows a torn line could not be read
            self._refuse(error)

    def _line(self, entry: Mapping[str, Any]) -> bytes:
        text = json.dumps(entry, ensure_ascii=False, allow_nan=False)
        self._sum = _chained(self._sum, text)
        return f"{self._sum} {text}\n".encode()

    def _refuse(self, error: Exception) -> NoReturn:
        raise StorageError(
            f"the recovery log does not work: {getattr(error, 'strerror', None) or error}",
            where=str(self.path),
            hint="Save often; make room or check the rights there",
        ) from error


def replay(plant: Plant, recovered: Recovered) -> Plant:
    """A copy of the plant with the steps done; raises StorageError, the plant as it was, if they do not fit it."""
    made = plant.copy()
    for step in recovered.steps:
        try:
            apply(made, step)
        except EditError as error:
            raise StorageError(
                f"the step {step.name!r} does not fit the plant: {error.message}", hint="Discard the recovery log"
            ) from error
    check(tables_in(made))  # the log came from outside, as a file does
    return made


def _entry(changes: ChangeSet) -> dict[str, Any]:
    rows = [
        {"table": c.table, "id": c.id, "old": _plain(c.table, c.old), "new": _plain(c.table, c.new)}
        for c in changes.changes
    ]
    return {"step": changes.name, "changes": rows}


def _chained(before: str, text: str) -> str:
    return hashlib.sha256(f"{before} {text}".encode()).hexdigest()[:_SUM]


def _records(data: bytes) -> tuple[list[dict[str, Any]], str]:
    """The entries up to the first that is not whole, and what was left out."""
    records: list[dict[str, Any]] = []
    before = ""
    lines = data.split(b"\n")
    for index, line in enumerate(lines):
        if not line and index == len(lines) - 1:
            break
        try:
            text = line[_SUM + 1 :].decode()
            good = index < len(lines) - 1 and line[: _SUM + 1].decode() == f"{_chained(before, text)} "
            entry = parse(text.encode()) if good else None
        except (UnicodeDecodeError, StorageError):
            entry = None
        if not isinstance(entry, dict):
            left = len([later for later in lines[index:] if later])
            if left == 1:
                return records, "the last step was not written to its end and is left out"
            return records, f"the log is damaged at line {index + 1}; it and the {left - 1} lines after it are left out"
        records.append(entry)
        before = line[:_SUM].decode()
    return records, ""


def _plain(table: str, entity: Entity | None) -> Any:
    write = writer(KINDS[table])  # type: ignore[arg-type]
    return None if entity is None or write is None else write(entity)


def _entity(table: str, value: Any) -> Any:
    read = reader(KINDS[table])  # type: ignore[arg-type]
    return None if value is None or read is None else read(convert(value, record(KINDS[table])))  # type: ignore[arg-type]


def _change_set(entry: Mapping[str, Any], path: Path) -> ChangeSet:
    """A step as it was logged; raises StorageError if another program wrote something else."""
    try:
        changes = tuple(
            Change(row["table"], row["id"], _entity(row["table"], row["old"]), _entity(row["table"], row["new"]))
            for row in entry["changes"]
        )
        if any(e is not None and e.id != c.id for c in changes for e in (c.old, c.new)):
            raise TypeError("an entity under the id of another")
        return ChangeSet(str(entry["step"]), changes)
    except (LookupError, TypeError) as error:
        raise StorageError(f"holds a step that is none: {error}", where=str(path), hint="Discard the log") from error
    except StorageError as error:
        raise StorageError(error.message, where=f"{path} {error.where}", hint="Discard the log") from error
