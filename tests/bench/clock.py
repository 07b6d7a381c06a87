"""Timing for the benchmarks: best of several runs, printed as a table beside the peers of the same run."""

from __future__ import annotations

import gc
import time
from collections.abc import Callable


def best_ms(work: Callable[[], object], runs: int = 5) -> float:
    """Best wall time of ``work`` in milliseconds; the collector is off while it runs."""
    best = float("inf")
    for _ in range(runs):
        gc.collect()
        gc.disable()
        start = time.perf_counter()
        work()
        best = min(best, (time.perf_counter() - start) * 1000.0)
        gc.enable()
    return best


def table(title: str, rows: list[tuple[str, float, str]]) -> None:
    """Print rows of (what, milliseconds, remark)."""
    print(f"\n{title}")
    for what, value, remark in rows:
        print(f"  {what:<52} {value:>12.3f} ms  {remark}")
