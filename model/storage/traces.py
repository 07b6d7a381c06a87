"""Trace files on the disk: one read whole and understood, or one line that says why not."""

from __future__ import annotations

from pathlib import Path

from model.errors import PlantError, StorageError
from model.otdr.sor import MOST_BYTES, read_sor
from model.otdr.trace_file import TraceFile
from model.storage.files import read_bytes


def load_trace(path: Path | str) -> TraceFile:
    """The trace in a file of the SR-4731 format; raises StorageError that names the file."""
    place = Path(path)
    data = read_bytes(place, MOST_BYTES, "a trace", "sor")
    try:
        return read_sor(data)
    except PlantError as error:
        raise StorageError(error.message, where=str(place), hint=error.hint) from None
