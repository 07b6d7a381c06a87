"""What the command line and its terminal, file or pipe have to agree on: widths, encodings, closed pipes, shells.

Results go to standard output and end the program with an exit code; a fault goes to standard error, one line, exit 2.
"""

from __future__ import annotations

import errno
import json
import os
import shutil
import sys
from collections.abc import Iterable
from contextlib import suppress
from typing import Any, NoReturn

from render.answers import clean, finite

MOST_FAULT = 700
"""Characters of a line on standard error; the middle of a longer one is left out."""


def width() -> int:
    """Places on the terminal that is printed to; 0 for a file or a pipe."""
    return shutil.get_terminal_size().columns if sys.stdout is not None and sys.stdout.isatty() else 0


def answer(lines: Iterable[str], code: int) -> NoReturn:
    """Print the result and exit. A reader who has seen enough and closed the pipe does not change the exit code."""
    text = "".join(f"{line}\n" for line in lines)
    if sys.stdout is not None:
        try:
            sys.stdout.write(text)
            sys.stdout.flush()
        except OSError as fault:
            not_printed(fault)
    sys.exit(code)


def not_printed(fault: OSError) -> None:
    """Forget what is left to print, so that it does not fail once more when the interpreter ends; say why, if it
    was not the reader's wish."""
    if sys.stdout is not None:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    if fault.errno not in (errno.EPIPE, errno.EINVAL):  # a closed pipe is EINVAL on Windows
        fail(f"the result could not be printed: {fault.strerror}. Print it to another place")


def as_document(value: dict[str, Any]) -> list[str]:
    """A result for a program: one JSON document; escapes for a stream that cannot say every letter."""
    encoding = str(getattr(sys.stdout, "encoding", "") or "").lower().replace("-", "")
    return [json.dumps(finite(value), ensure_ascii=encoding != "utf8", indent=1, allow_nan=False)]


def quoted(text: str) -> str:
    """A text in quotation marks that a shell takes off again."""
    # < and > redirect in every shell; double quotes hold in all of them unless one of these is inside.
    return f'"{text}"' if not set(text) & set('"$`\\!%') else "'" + text.replace("'", "'\"'\"'") + "'"


def fail(line: str) -> NoReturn:
    """Say one line on standard error and exit 2."""
    line = clean(line)
    if len(line) > MOST_FAULT:
        line = f"{line[: MOST_FAULT // 2]} ... {line[-MOST_FAULT // 2 :]}"
    if sys.stderr is not None:
        with suppress(OSError):
            print(f"glasswright: {line}", file=sys.stderr, flush=True)
    sys.exit(2)
