"""What can go wrong, said to a person: what, where, and what to do. One tree, so that the edges of the program
(the command line, the window) can turn any of it into one clear line."""

from __future__ import annotations


class PlantError(Exception):
    """Something a person can mend.

    ``message`` says what is wrong, ``where`` names the file, line, cable or place, ``hint`` says what to do.
    ``column`` is the 1-based column of the fault when it stands in typed text, else 0.
    """

    def __init__(self, message: str, *, where: str = "", hint: str = "", column: int = 0) -> None:
        super().__init__(message)
        self.message = message
        self.where = where
        self.hint = hint
        self.column = column

    def __str__(self) -> str:
        """One line: where, what, what to do; control characters and line breaks become spaces."""
        head = f"{self.where}: {self.message}" if self.where else self.message
        line = f"{head}. {self.hint}" if self.hint else head
        return " ".join("".join(c if c.isprintable() else " " for c in line).split())


class EditError(PlantError):
    """An edit that would leave the plant wrong; nothing was changed."""


class RefError(PlantError):
    """A reference that names nothing, or more than one thing; the hint lists the nearest real ones."""


class StorageError(PlantError):
    """A file that cannot be read, written or understood; the open plant and the file stay as they were."""
