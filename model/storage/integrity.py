"""Is a plant whole? Every reference names something, every number can exist, every name can be read.

This is about what the program needs to work at all, not about good practice (that is for the rules). All faults are
found before anything is said; each has its path in the file.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

Tables = Mapping[str, Sequence[Any]]


def check(tables: Tables) -> None:
    """Raise StorageError naming the faults of a plant, if it has any."""
