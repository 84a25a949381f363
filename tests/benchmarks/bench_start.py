"""From starting Python to the first paint of the window: with the start page, and with the demo.

    python tests/benchmarks/bench_start.py [--runs 7]

Each run is a process of its own; the first is left out, since it reads the files from the disk. Wall time says what
a person waits for, processor time what it costs on a busy machine. The draw zone of the demo is computed after the first
paint: "with zone" is when it is painted too. The bar is 0.6 s.
"""

from __future__ import annotations

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
BAR_S = 0.6


def run_once(what: str) -> None:
    """In a process of its own: opens the window, prints wall and processor time at its first paint, closes it."""
    sys.path.insert(0, str(ROOT))
    import gc

    gc.disable()  # as the command does
    from PySide6.QtCore import QEvent, QObject, QTimer

    from wallwright.window.application import main
    from wallwright.window.application.windows import Windows

    class Watch(QObject):
        """On one window only: on the application it would make a Python object of every event's target."""

        window = None

        def eventFilter(self, watched: QObject, event: QEvent) -> bool:
            if event.type() == QEvent.Type.Paint and self.window is None:
                self.window = watched
                QTimer.singleShot(0, self.tell)
            return False

        def tell(self) -> None:
            print(time.time() - float(os.environ["STARTED"]), time.process_time())
            self.wait_for_zone()

        def wait_for_zone(self) -> None:
            if what == "demo" and self.window.canvas.zone.picture is None:
                QTimer.singleShot(0, self.wait_for_zone)
                return
            print(time.time() - float(os.environ["STARTED"]), flush=True)
            self.window.models.project.saved = self.window.models.project.document
            self.window.close()

    watch, make = Watch(), Windows.make

    def watched(windows: Windows, *given):
        window = make(windows, *given)
        window.installEventFilter(watch)
        return window

    Windows.make = watched
    main.start([], demo=what == "demo")


def measure(what: str, runs: int) -> None:
    walls, busy, whole = [], [], []
    with tempfile.TemporaryDirectory() as state:
        for _ in range(runs + 1):
            environment = {**os.environ, "WALLWRIGHT_STATE": state, "STARTED": str(time.time())}
            environment.setdefault("QT_QPA_PLATFORM", "offscreen")
            command = [sys.executable, __file__, "--once", what]
            output = subprocess.run(command, env=environment, capture_output=True, text=True, check=True).stdout
            wall, processor, zone = map(float, output.split()[:3])
            whole.append(zone)
            walls.append(wall)
            busy.append(processor)
    wall, processor = statistics.median(walls[1:]), statistics.median(busy[1:])
    zone = statistics.median(whole[1:])
    print(
        f"{what:6} {wall:6.2f} s wall (least {min(walls[1:]):.2f})   {processor:6.2f} s processor   "
        f"{zone:6.2f} s with zone   bar {BAR_S} s"
    )


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--runs", type=int, default=7)
    options.add_argument("--once")
    given = options.parse_args()
    if given.once:
        run_once(given.once)
        return
    for what in ("page", "demo"):
        measure(what, given.runs)


if __name__ == "__main__":
    main()
