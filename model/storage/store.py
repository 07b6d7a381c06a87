"""The one door to kept plants: load, append a step, ask what changed since. A file stands behind it here.

A shared database can stand behind the same protocol later; nothing above this line knows which it is. For a file, the
steps appended since the last save lie in the recovery log, and ``save`` writes them all into the file at once.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from model.changes import ChangeSet
from model.errors import StorageError
from model.ids import SiteId
from model.plant import Plant
from model.storage.document import encode
from model.storage.files import clear_leftovers, load, read_bytes, replace, save
from model.storage.lock import Holder, LockedError, PlantLock
from model.storage.recovery import Recovered, RecoveryLog, digest_of


@dataclass(frozen=True, slots=True)
class Scope:
    """Which part of a plant is wanted: what touches these sites; all of it when none is named."""

    sites: tuple[SiteId, ...] = ()


WHOLE = Scope()


class Store(Protocol):
    """Where a plant is kept."""

    def load(self, scope: Scope = WHOLE) -> Plant:
        """The plant, with at least what the scope names; raises StorageError."""
        ...

    def append(self, changes: ChangeSet) -> int:
        """Keep one step for good; the number of steps kept so far. Raises StorageError, nothing kept."""
        ...

    def since(self, step: int) -> tuple[ChangeSet, ...]:
        """The steps kept after the first ``step`` of them, oldest first."""
        ...


class FileStore:
    """A plant file opened by one process. ``holder`` None, or somebody else's lock, makes it read-only.

    ``locked_by`` is the error that says who has it, when somebody else does. ``recovered`` is what a crash left in the
    log; ask the user, then replay or ``forget`` it. Until then the log is not written over.
    """

    def __init__(self, path: Path | str, holder: Holder | None, log_folder: Path | None = None) -> None:
        self.path = Path(path)
        self.recovered: Recovered | None = None
        self.locked_by: LockedError | None = None
        self._lock = PlantLock(self.path)
        self._log = RecoveryLog(self.path, log_folder)
        self._steps: list[ChangeSet] = []
        self._logging = False
        if holder is not None:
            try:
                self._lock.acquire(holder)
            except LockedError as error:
                self.locked_by = error

    @property
    def read_only(self) -> bool:
        """True when this process may not write the file."""
        return not self._lock.held

    def load(self, scope: Scope = WHOLE) -> Plant:
        """The whole plant, whatever the scope; looks for steps a crash left behind. Raises StorageError."""
        plant = load(self.path)
        if not self.read_only:
            clear_leftovers(self.path)
            self.recovered = self._log.read(digest_of(read_bytes(self.path)))
        return plant

    def forget(self) -> None:
        """Drop what a crash left in the log."""
        self._need_lock()
        self._log.discard()
        self.recovered = None

    def append(self, changes: ChangeSet) -> int:
        """Put one step into the recovery log; the number of steps since opening. Raises StorageError."""
        self._need_lock()
        if self.recovered is not None:
            raise StorageError(
                "an earlier session left steps behind", where=str(self.path), hint="Take them over or drop them first"
            )
        if not self._logging:
            self._log.start(digest_of(read_bytes(self.path)) if self.path.exists() else "")
            self._logging = True
        self._log.append(changes)
        self._steps.append(changes)
        return len(self._steps)

    def since(self, step: int) -> tuple[ChangeSet, ...]:
        """The steps of this session after the first ``step`` of them."""
        return tuple(self._steps[step:])

    def save(self, plant: Plant) -> None:
        """Write the plant; the log is discarded once the file is on the disk. Raises StorageError, the file as it was."""
        self._need_lock()
        if self._logging:
            self._log.saving(digest_of(encode(plant)))
        save(plant, self.path)
        self._log.discard()
        self._logging = False
        self.recovered = None

    def close(self) -> None:
        """Give the lock back. Steps that were not saved stay in the log; ``forget`` first if they are not wanted."""
        self._log.close()
        self._logging = False
        self._lock.release()

    def _need_lock(self) -> None:
        if self.read_only:
            raise self.locked_by or StorageError(
                "is open read-only", where=str(self.path), hint="Save under another name"
            )


__all__ = ["WHOLE", "FileStore", "Scope", "Store", "replace"]
