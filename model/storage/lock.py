"""Who has a plant open: one process at a time may write it, and everybody else is told who that is.

The lock itself is the system's (``<name>.lock``), so it ends with its process, however that ends. Who holds it stands
in words beside it (``<name>.lock.who``), because a locked file cannot be read everywhere. User, host and time are
given by the caller.
"""

from __future__ import annotations

import json
from contextlib import suppress
from dataclasses import asdict, dataclass
from pathlib import Path

from filelock import FileLock, Timeout

from model.errors import StorageError
from model.storage.files import resolved


@dataclass(frozen=True, slots=True)
class Holder:
    """Who has a plant open, and since when (any text a person can read)."""

    user: str
    host: str
    pid: int
    since: str

    def __str__(self) -> str:
        return f"{self.user} on {self.host} (process {self.pid}) since {self.since}"


class LockedError(StorageError):
    """Somebody else has the plant open; ``holder`` is None if they left no word of who they are."""

    def __init__(self, path: Path, holder: Holder | None) -> None:
        who = str(holder) if holder else "another process that left no name"
        super().__init__(
            f"is open already: {who}", where=str(path), hint="Open it read-only, or wait until it is closed there"
        )
        self.holder = holder


class PlantLock:
    """The right to write one plant file, held until ``release`` or the end of the process."""

    def __init__(self, path: Path | str) -> None:
        self.path = Path(path)
        target = resolved(self.path)
        self._who = target.with_name(f"{target.name}.lock.who")
        self._lock = FileLock(target.with_name(f"{target.name}.lock"), thread_local=False)

    def acquire(self, holder: Holder) -> None:
        """Take the lock at once; raises LockedError if somebody has it, StorageError if none can be made there."""
        try:
            self._lock.acquire(timeout=0)
        except Timeout:
            raise LockedError(self.path, self.holder()) from None
        except (OSError, RuntimeError, NotImplementedError) as error:
            raise StorageError(
                f"cannot be locked: {getattr(error, 'strerror', None) or error}",
                where=str(self.path),
                hint="Open it read-only, or check the rights on its folder",
            ) from error
        try:
            self._who.write_text(json.dumps(asdict(holder)) + "\n", encoding="utf-8")
        except OSError as error:
            self._lock.release()
            raise StorageError(
                f"cannot be locked: {error.strerror}", where=str(self.path), hint="Check the rights and room there"
            ) from error

    @property
    def held(self) -> bool:
        """True while this very object holds the lock."""
        return bool(self._lock.is_locked)

    def holder(self) -> Holder | None:
        """Who last took the lock and has not given it back; None if nobody or if the note cannot be read."""
        try:
            with self._who.open("rb") as file:
                note = json.loads(file.read(10_000))
            kinds = {"user": str, "host": str, "pid": int, "since": str}
            if note.keys() == kinds.keys() and all(type(note[name]) is kind for name, kind in kinds.items()):
                return Holder(**note)
        except (OSError, ValueError, AttributeError, RecursionError):
            pass
        return None

    def release(self) -> None:
        """Give the lock back; does nothing if it is not held."""
        if self.held:
            with suppress(OSError):
                self._who.unlink()
            self._lock.release()
