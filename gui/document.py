"""The open plant for the window: history, graph and findings kept in step, and the file behind it.

One signal per step, ``changed(ChangeSet)``; ``opened`` when another plant takes its place. Everything a person must
be told goes out as a ``Notice``: severity, one sentence, at most two actions; nothing here shows a dialog.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from PySide6.QtCore import QObject, Signal

from model.changes import ChangeSet
from model.errors import PlantError, StorageError
from model.graph import Continuity
from model.history import Edit, History, propose
from model.plant import Plant
from model.rules.context import Facts
from model.rules.registry import Finding
from model.rules.run import check, check_sites
from model.rules.touched import sites_touched
from model.storage.files import read_bytes
from model.storage.lock import Holder, PlantLock
from model.storage.recovery import Recovered, RecoveryLog, digest_of
from model.storage.store import FileStore


@dataclass(frozen=True, slots=True)
class Action:
    """A button of a notice."""

    text: str
    run: Callable[[], None]


@dataclass(frozen=True, slots=True)
class Notice:
    """Something to tell: errors stay until answered, others for a while."""

    severity: Literal["error", "warning", "note"]
    text: str
    actions: tuple[Action, ...] = ()


class Document(QObject):
    """One plant at a time, always whole: after every signal graph and findings belong to the plant."""

    changed = Signal(object)
    opened = Signal()
    state_changed = Signal()
    noticed = Signal(object)

    def __init__(self, holder: Holder, log_folder: Path | None = None, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._holder = holder
        self.log_folder = log_folder
        self.store: FileStore | None = None
        self.is_open = False
        self._take(Plant())
        self.is_open = False

    def _take(self, plant: Plant) -> None:
        self.history = History(plant)
        self.continuity = Continuity(plant)
        self.findings: tuple[Finding, ...] = ()
        self.history.listen(self._written)
        self.is_open = True
        self._judge()

    @property
    def plant(self) -> Plant:
        """The open plant; an empty one while none is open."""
        return self.history.plant

    def _judge(self, changes: ChangeSet | None = None) -> None:
        """Judge the sites that a change touches, or all of them."""
        if changes is None:
            self.findings = check(self.plant, continuity=self.continuity)
            return
        touched = sites_touched(self.plant, changes, self.continuity)
        kept = [f for f in self.findings if f.site not in touched and f.site in self.plant.sites]
        fresh = check_sites(Facts(self.plant, self.continuity), touched)
        self.findings = tuple(sorted([*kept, *fresh]))

    def _written(self, changes: ChangeSet) -> None:
        self.continuity.update(changes)
        self._judge(changes)
        if self.store is not None and not self.store.read_only:
            try:
                self.store.append(changes)
            except StorageError as fault:
                self.noticed.emit(Notice("warning", str(fault)))
        self.changed.emit(changes)
        self.state_changed.emit()

    # -- editing -------------------------------------------------------------------------------------------------

    @property
    def read_only(self) -> bool:
        """True when somebody else has the file, so that nothing may be edited here."""
        return self.store is not None and self.store.read_only

    def why_read_only(self) -> str:
        """Who has the file, for the notice; empty when it may be edited."""
        return str(self.store.refusal) if self.store is not None and self.store.refusal else ""

    def do(self, *edits: Edit, name: str | None = None) -> bool:
        """Do edits as one step; False, with a notice, when they cannot be done."""
        if self.read_only:
            self.noticed.emit(Notice("warning", f"Read only: {self.why_read_only()}"))
            return False
        try:
            self.history.do(*edits, name=name)
        except PlantError as fault:
            self.noticed.emit(Notice("error", str(fault)))
            return False
        return True

    def proposal(self, *edits: Edit) -> ChangeSet:
        """What edits would change; raises EditError, and changes nothing."""
        return propose(self.plant, *edits)

    def undo(self) -> None:
        """Take the last step back."""
        if not self.read_only:
            self.history.undo()

    def redo(self) -> None:
        """Do the last undone step again."""
        if not self.read_only:
            self.history.redo()

    # -- the file ------------------------------------------------------------------------------------------------

    @property
    def path(self) -> Path | None:
        """The file behind the plant, if it has one."""
        return self.store.path if self.store is not None else None

    @property
    def name(self) -> str:
        """File name, or what an unsaved plant is called."""
        return self.path.name if self.path else "new plant"

    @property
    def state(self) -> str:
        """Saved state in words."""
        if self.read_only:
            holder = getattr(self.store.refusal, "holder", None) if self.store is not None else None
            return f"read only, open on {holder.host}" if holder is not None else "read only"
        steps = len(self.history.steps)
        if self.history.clean and self.path is not None:
            return "all saved"
        if self.path is None:
            return "not saved yet"
        return f"{steps} edit{'s' * (steps != 1)} since it was opened, not saved" if steps else "not saved"

    def new(self, plant: Plant) -> None:
        """Work on a plant that has no file yet."""
        self.close()
        self._take(plant)
        self.opened.emit()
        self.state_changed.emit()

    def open(self, path: Path) -> bool:
        """Open a file; False, with a notice and the open plant kept, when it cannot be read."""
        store: FileStore | None = None
        try:
            if not path.exists():
                read_bytes(path)  # says why, and no lock is left beside a file that is not there
            store = FileStore(path, self._holder, self.log_folder)
            plant = store.load()
        except StorageError as fault:
            if store is not None:
                store.close()
            self.noticed.emit(Notice("error", str(fault)))
            return False
        self.close()
        self.store = store
        self._take(plant)
        self.history.mark_saved()
        self.opened.emit()
        self.state_changed.emit()
        if store.read_only:
            self.noticed.emit(Notice("warning", f"Read only here: {self.why_read_only()}"))
        if store.log_fault is not None:
            self.noticed.emit(Notice("warning", str(store.log_fault)))
        return True

    @property
    def recovered(self) -> Recovered | None:
        """Steps that an earlier session left unsaved, until they are brought back or dropped."""
        return self.store.recovered if self.store is not None else None

    def bring_back(self) -> bool:
        """Do the recovered steps; they count as unsaved edits."""
        if self.store is None or self.store.recovered is None:
            return False
        steps = self.store.recovered.steps
        try:
            self.store.take_over(self.plant.copy())
        except StorageError as fault:
            self.noticed.emit(Notice("error", str(fault)))
            return False
        keep, self.store = self.store, None
        try:
            for step in steps:
                self.history.commit(step)
        finally:
            self.store = keep
        self.state_changed.emit()
        return True

    def leave_behind(self) -> None:
        """Drop the recovered steps."""
        if self.store is not None:
            self.store.forget()
            self.state_changed.emit()

    def left_behind(self, path: Path) -> Recovered | None:
        """Steps that a crash left of a plant file; None while somebody has it open, and where there are none."""
        lock = PlantLock(path)
        try:
            lock.acquire(self._holder)
            found = RecoveryLog(path, self.log_folder).read(digest_of(read_bytes(path)))
        except StorageError:
            return None
        finally:
            lock.release()
        return found if found is not None and found.steps else None

    def save(self, *otherwise: Action) -> bool:
        """Save; False, with a notice that stays and offers what to do ``otherwise``, when the disk refuses."""
        if self.store is None:
            return False
        try:
            self.store.save(self.plant)
        except StorageError as fault:
            self.noticed.emit(Notice("error", f"Not saved, the edits are in the recovery log: {fault}", otherwise))
            return False
        self.history.mark_saved()
        self.state_changed.emit()
        return True

    def save_as(self, path: Path) -> bool:
        """Save under a new name and go on there."""
        store = FileStore(path, self._holder, self.log_folder)
        try:
            store.save(self.plant)
        except StorageError as fault:
            store.close()
            self.noticed.emit(Notice("error", str(fault)))
            return False
        if self.store is not None:
            self.store.close()
        self.store = store
        self.history.mark_saved()
        self.state_changed.emit()
        return True

    def close(self) -> None:
        """Let the file go; unsaved steps stay in its recovery log."""
        if self.store is not None:
            self.store.close()
            self.store = None
        self.is_open = False
