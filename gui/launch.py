"""Where the program starts: verbs of the command line run without importing Qt; a plant or nothing opens the window."""

from __future__ import annotations

import os
import sys
from importlib import import_module
from pathlib import Path
from typing import NoReturn


def wants_window(arguments: list[str]) -> bool:
    """True for no argument, or for one that names a plant rather than a verb or an option."""
    if not arguments:
        return True
    first = arguments[0]
    return len(arguments) == 1 and not first.startswith("-") and (first.endswith(".gwp") or Path(first).is_file())


def main() -> NoReturn:
    """Run a verb, or open the window; every failure is one line."""
    arguments = sys.argv[1:]
    try:
        if wants_window(arguments):
            sys.exit(open_window(Path(arguments[0]) if arguments else None))
        from render.cli import main as run_verb

        run_verb(arguments)
    except KeyboardInterrupt:  # stopped before the command line stood, or while it ended
        sys.exit(2)


def preload() -> None:
    """Load what knows no Qt before Qt: once Qt is loaded, it reads the source of every module loaded after it."""
    for name in ("rules.run", "line.readback", "storage.store", "templates"):
        import_module(f"model.{name}")
    for name in ("sheet_set", "route_picture"):
        import_module(f"render.{name}")


def open_window(path: Path | None) -> int:
    """Open the window and stay until it closes; 2, with one line, where there is no Qt or no screen."""
    screenless = sys.platform == "linux" and not any(
        os.environ.get(name) for name in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM")
    )
    if screenless:
        print(
            "glasswright: there is no screen to open a window on. The verbs work without: glasswright --help",
            file=sys.stderr,
        )
        return 2
    try:
        preload()
        from gui.app import run_window
    except ImportError as fault:
        reason = " ".join(str(fault).split())
        print(
            f"glasswright: the window cannot start ({reason}). Run bash .ci/tests once, or install glasswright[gui]",
            file=sys.stderr,
        )
        return 2
    return run_window(path)


if __name__ == "__main__":
    main()
