"""Steps that lift a document of an older version, one version at a time. Version 1 is the first, so there are none yet.

A step takes the decoded document and returns it as the next version has it, with ``version`` raised by one. It works on
plain dictionaries, never on entities, because entities change and old files do not.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any, Final

from model.errors import StorageError

Document = dict[str, Any]
Step = Callable[[Document], Document]

FORMAT: Final = "glasswright-plant"
VERSION: Final = 1

STEPS: Final[Mapping[int, Step]] = MappingProxyType({})
"""From which version each step lifts."""


def migrate(document: Document, steps: Mapping[int, Step] = STEPS, target: int = VERSION) -> Document:
    """The document as version ``target`` has it; raises StorageError for a version nobody can read here."""
    version = document.get("version")
    if type(version) is not int or version < 0:
        raise StorageError(
            f"the version is {_shown(version)}, not a whole number",
            where="$.version",
            hint="Restore the file from a copy",
        )
    if version > target:
        raise StorageError(
            f"made by a newer Glasswright: version {version}, this one reads {target}",
            where="$.version",
            hint="Open it with a newer Glasswright",
        )
    while version < target:
        step = steps.get(version)
        if step is None:
            raise StorageError(
                f"version {version} is unknown; this Glasswright reads {min([target, *steps])} to {target}",
                where="$.version",
                hint="Restore the file from a copy",
            )
        try:
            document = step(document)
        except (LookupError, TypeError, ValueError, AttributeError) as error:
            raise StorageError(
                f"cannot be lifted from version {version}: {type(error).__name__} {error}",
                hint="The file was damaged or edited by hand; restore it from a copy",
            ) from error
        if document.get("version") != version + 1:
            raise StorageError(f"the step from version {version} did not raise the version", hint="Report this fault")
        version += 1
    return document


def _shown(value: object) -> str:
    text = repr(value) if isinstance(value, str | int | float | bool | None) else f"a {type(value).__name__}"
    return text if len(text) <= 40 else f"{text[:40]}..."
