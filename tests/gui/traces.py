"""Trace files of the Marrowfield fault, written byte by byte: fibre 17 through a lead of 150 m, ended at 3359 m."""

from __future__ import annotations

from tests.model.otdr.sor_writer import Mark, Shot, staircase, written

INDEX = 1.4682
END_M = 3359.0
LEAD = Mark(150.0, 0.36, -45.0, 0.35, "1F")
END = Mark(END_M, 0.0, 0.0, 0.35, "0E")


def marrowfield(version: int = 2) -> bytes:
    """The trace of the ticket, noise of a fiftieth of a dB on the glass, darkness behind the end."""
    glass = staircase([LEAD], END_M, 0.35)
    noise = [0.02 * ((n * 7919) % 13 - 6) / 6 for n in range(len(glass))]
    dark = [-22.0 + ((n * 104_729) % 17 - 8) * 0.12 for n in range(1700)]
    levels = [level + off for level, off in zip(glass, noise, strict=True)] + dark
    return written(
        Shot(
            version,
            INDEX,
            1310.0,
            levels_db=levels,
            events=(LEAD, END),
            cable="MF-48",
            fibre="17",
        )
    )


def torn(data: bytes) -> bytes:
    """The same file, its last quarter lost on the way."""
    return data[: len(data) * 3 // 4]
