"""From starting the process to the window on the screen, beside an empty PySide6 window, each in a process of its own.

The clock is the wall time of the whole process, which ends as soon as its first window has been painted; beside it
stands the processor time, which a busy machine disturbs less. Bytecode is kept in a folder of its own. Limit: 0.6 s.
Run: python tests/bench/bench_start.py
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

sys.path.insert(0, str(Path(__file__).parent))
from clock import best_ms, table

EMPTY = """
import sys
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication, QMainWindow
app = QApplication(sys.argv)
app.setStyle("Fusion")
window = QMainWindow()
window.resize(1200, 800)
window.show()
QTimer.singleShot(0, app.quit)
app.exec()
"""
OURS = """
import sys
from gui.launch import preload
preload()
from PySide6.QtCore import QSettings, QTimer
from PySide6.QtWidgets import QApplication
app = QApplication(sys.argv)
app.setStyle("Fusion")
from gui.app import make_window
window = make_window(QSettings("bench.ini", QSettings.Format.IniFormat))
%s
window.resize(1200, 800)
window.show()
QTimer.singleShot(0, app.quit)
app.exec()
"""
SAMPLE = Path(__file__).parents[2] / "samples" / "larkmoor.gwp"


def run(code: str, folder: str) -> None:
    """Run Python in a new process, without a screen; raises when it fails."""
    environment = {"QT_QPA_PLATFORM": "offscreen", **os.environ, "PYTHONPYCACHEPREFIX": folder}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    root = Path(__file__).parents[2]
    subprocess.run([sys.executable, "-c", code], check=True, env=environment, capture_output=True, cwd=root)


def row(what: str, code: str, folder: str, remark: str = "") -> tuple[str, float, str]:
    """Best of several runs, with the least processor time of any."""
    run(code, folder)
    used: list[float] = []

    def once() -> None:
        before = os.times()
        run(code, folder)
        after = os.times()
        spent = after.children_user + after.children_system - before.children_user - before.children_system
        used.append(spent * 1000.0)

    best = best_ms(once, 5)
    return what, best, f"{min(used):.0f} ms of processor  {remark}"


def main() -> None:
    """Measure and print."""
    opened = f"from pathlib import Path; window.open_path(Path({str(SAMPLE)!r}))"
    with TemporaryDirectory() as folder:
        ini = str(Path(folder) / "bench.ini")
        ours, sample = (OURS.replace("bench.ini", ini).replace("%s", more) for more in ("", opened))
        table(
            "Process to painted window",
            [
                row("window with the start page", ours, folder, "limit 600 ms"),
                row("window with the 72-fibre sample open", sample, folder),
                row("peer: empty PySide6 window", EMPTY, folder),
                row("peer: python that does nothing", "pass", folder),
            ],
        )


if __name__ == "__main__":
    main()
