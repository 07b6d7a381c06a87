"""The one door to kept plants: load, append a step, ask what changed since. A file stands behind it here.

A shared database can stand behind the same protocol later; nothing above this line knows which it is. For a file, the
steps appended since the last save lie in the recovery log, and ``save`` writes them all into the file at once.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from model.changes import ChangeSet
from model.errors import StorageError
from model.ids import SiteId
from model.plant import Plant
from model.storage.files import clear_leftovers, content, read_bytes, replace, understand
from model.storage.lock import Holder, PlantLock
from model.storage.recovery import Recovered, RecoveryLog, digest_of, replay


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
    """A plant file opened by one process; without ``holder``, or when it cannot be locked, it is read-only.

    ``refusal`` is the error that says why it cannot be written, such as who else has it open. ``recovered`` is what a
    crash left in the log: ``take_over`` or ``forget`` it before going on. ``log_fault`` is why the log cannot be used,
    if it cannot; saving works all the same, and leaves that log alone until ``forget``.
    """

    def __init__(self, path: Path | str, holder: Holder | None, log_folder: Path | None = None) -> None:
        self.path = Path(path)
        self.recovered: Recovered | None = None
        self.refusal: StorageError | None = None
        self.log_fault: StorageError | None = None
        self._lock = PlantLock(self.path)
        self._log = RecoveryLog(self.path, log_folder)
        self._steps: list[ChangeSet] = []
        self._digest = ""
        self._logging = False
        if holder is None:
            self.refusal = StorageError("is open read-only", where=str(path), hint="Save under another name")
            return
        try:
            self._lock.acquire(holder)
        except StorageError as error:
            self.refusal = error

    @property
    def read_only(self) -> bool:
        """True when this process may not write the file."""
        return not self._lock.held

    def load(self, scope: Scope = WHOLE) -> Plant:
        """The whole plant, whatever the scope; looks for steps a crash left behind. Raises StorageError."""
        data = read_bytes(self.path)
        plant = understand(data, self.path)
        self._digest = digest_of(data)
        if not self.read_only:
            clear_leftovers(self.path)
            try:
                self.recovered = self._log.read(self._digest)
            except StorageError as error:  # the plant itself is whole and can be worked on
                self.log_fault = error
        return plant

    def take_over(self, plant: Plant) -> Plant:
        """The loaded plant with the recovered steps done; they stay logged until the next save. Raises StorageError."""
        self._need_lock()
        if self.recovered is None:
            return plant
        made = replay(plant, self.recovered)
        self._log.start(self._digest, self.recovered.steps)
        self._logging = True
        self._steps.extend(self.recovered.steps)
        self.recovered = None
        return made

    def forget(self) -> None:
        """Drop the log, with all steps since the last save."""
        self._need_lock()
        self._log.discard()
        self._logging = False
        self.recovered = None
        self.log_fault = None

    def append(self, changes: ChangeSet) -> int:
        """Put one step into the recovery log; the number of steps since opening. Raises StorageError."""
        self._need_lock()
        self._need_decision()
        if self.log_fault is not None:
            raise self.log_fault
        if not self._logging:
            self._log.start(self._digest)
            self._logging = True
        self._log.append(changes)
        self._steps.append(changes)
        return len(self._steps)

    def since(self, step: int) -> tuple[ChangeSet, ...]:
        """The steps of this session after the first ``step`` of them."""
        return tuple(self._steps[step:])

    def save(self, plant: Plant) -> None:
        """Write the plant, then drop the log. Raises StorageError, with file and log as they were."""
        self._need_lock()
        self._need_decision()
        data = content(plant, self.path)
        digest = digest_of(data)
        if self._logging:
            with suppress(StorageError):  # a log that does not work must not keep anybody from saving
                self._log.saving(digest)
        replace(self.path, data)
        self._digest = digest
        self._logging = False
        if self.log_fault is None:
            with suppress(StorageError):  # what is left of it says itself that it is saved
                self._log.discard()

    def close(self) -> None:
        """Give the lock back. Steps that were not saved stay in the log; ``forget`` first if they are not wanted."""
        self._log.close()
        self._logging = False
        self._lock.release()

    def _need_decision(self) -> None:
        if self.recovered is not None:
            raise StorageError(
                "an earlier session left steps behind", where=str(self.path), hint="Take them over or drop them first"
            )

    def _need_lock(self) -> None:
        if self.read_only:
            raise self.refusal or StorageError("is closed", where=str(self.path), hint="Open it again")
