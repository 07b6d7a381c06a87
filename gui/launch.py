"""Where the program starts: the verbs of the command line run without importing Qt."""

from __future__ import annotations

import sys
from typing import NoReturn


def main() -> NoReturn:
    """Run the command line; with no arguments it shows what there is."""
    try:
        from render.cli import main as run_verb

        run_verb(sys.argv[1:] or ["--help"])
    except KeyboardInterrupt:  # stopped before the command line stood, or while it ended
        sys.exit(2)


if __name__ == "__main__":
    main()
