"""Real trace files are other people's data and do not travel with the project: where they lie, if they are there.

They are looked for in a folder ``shared/sor`` beside the checkout or beside one of the folders it lies in. Without
them the tests on them are not collected; everything else about trace files is tested on files written here.
"""

from __future__ import annotations

from pathlib import Path

HOUSE = Path(__file__).resolve().parents[2]
TRACES = next((found for above in HOUSE.parents if (found := above / "shared" / "sor").is_dir()), None)
collect_ignore = [] if TRACES else ["test_trace_files.py"]
