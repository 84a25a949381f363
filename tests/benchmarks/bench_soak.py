"""Soak test: thousands of edits, plans, cancellations and undos in one window, with constant memory and no leaks.

    python tests/benchmarks/bench_soak.py [--count 20000] [--seed 1]

Uses the real window, offscreen, on the example with two pens. The first half fills caches, the undo list and the C library's
free memory; from then on the memory of the window and of the planning process, and the numbers of threads, processes and
open files must stay constant. Prints a table and writes tests/benchmarks/results/soak.json.
"""

from __future__ import annotations

import argparse
import atexit
import os
import random
import shutil
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
if "WALLWRIGHT_STATE" not in os.environ:  # shared with its child processes
    os.environ["WALLWRIGHT_STATE"] = tempfile.mkdtemp(prefix="soak")
    atexit.register(shutil.rmtree, os.environ["WALLWRIGHT_STATE"], ignore_errors=True)

from PySide6.QtWidgets import QApplication

from tests.benchmarks.common import save, table
from wallwright.document import edits, edits_arrangement
from wallwright.planning.examples import poster
from wallwright.window.application.memory import give_back_large_blocks
from wallwright.window.application.window_assembly import ProjectWindow
from wallwright.window.model.models import Models

BARS = {"window, MB": 1.03, "planner, MB": 1.10, "threads": 1.0, "processes": 1.0, "files": 1.0}
"""Largest allowed values at the end, relative to the maximum in the first half."""
SAMPLES = 40
DEEDS = ("edit", "edit", "edit", "undo", "redo", "plan", "cancel", "hide", "wait")


def status(pid: int, key: str) -> int:
    """Returns a number from /proc/PID/status; 0 when the process is gone."""
    try:
        text = Path(f"/proc/{pid}/status").read_text()
    except OSError:
        return 0
    return next((int(line.split()[1]) for line in text.splitlines() if line.startswith(key + ":")), 0)


def children(pid: int) -> list[int]:
    """Returns the child processes, without Python's resource tracker, which ends with its parent."""
    found = []
    for task in Path(f"/proc/{pid}/task").iterdir():
        found += [int(child) for child in (task / "children").read_text().split()]
    return [child for child in found if b"resource_tracker" not in Path(f"/proc/{child}/cmdline").read_bytes()]


def measured() -> dict[str, float]:
    own = os.getpid()
    below = children(own)
    return {
        "window, MB": status(own, "VmRSS") / 1024,
        "planner, MB": sum(status(child, "VmRSS") for child in below) / 1024,
        "threads": status(own, "Threads"),
        "processes": len(below),
        "files": len(os.listdir("/proc/self/fd")),
    }


def do(action: str, models: Models, chance: random.Random, application: QApplication) -> None:
    project, planning = models.project, models.planning
    placed = project.document.placements[0].id
    if action == "edit":
        way = chance.choice([(-7.0, 0.0), (7.0, 0.0), (0.0, -5.0), (0.0, 5.0)])
        project.edit("Move", edits_arrangement.move_placements(project.document, [placed], *way))
    elif action == "hide":
        shown = project.document.placement(placed).visible
        project.edit("Hide", edits.set_placement(project.document, placed, visible=not shown))
    elif action == "undo":
        project.undo()
    elif action == "redo":
        project.redo()
    elif action == "plan":
        planning.plan_now()
    elif action == "cancel":
        planning.cancel()
    else:
        until = time.monotonic() + 0.05
        while time.monotonic() < until:
            application.processEvents()
    application.processEvents()


def settle(models: Models, application: QApplication) -> None:
    models.planning.plan_now()
    until = time.monotonic() + 120
    while (models.planning.is_planning or not models.planning.plan_is_final) and time.monotonic() < until:
        application.processEvents()


def main() -> int:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n")[0])
    parser.add_argument("--count", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    give_back_large_blocks()  # as the program does
    application = QApplication.instance() or QApplication([])
    assert isinstance(application, QApplication)
    window = ProjectWindow(Models.of(poster()))
    window.resize(1200, 700)
    window.show()
    models, chance = window.models, random.Random(options.seed)
    settle(models, application)
    every = max(options.count // SAMPLES, 1)
    samples: list[dict[str, Any]] = []
    begin = time.monotonic()
    for number in range(1, options.count + 1):
        do(chance.choice(DEEDS), models, chance, application)
        if number % every == 0:
            settle(models, application)
            samples.append({"edits and plans": number, "s": time.monotonic() - begin, **measured()})
            print(" ".join(f"{k}: {v:.0f}" for k, v in samples[-1].items()), flush=True)
    first_half = samples[: max(len(samples) // 2, 1)]
    warm = {name: max(sample[name] for sample in first_half) for name in BARS}
    end = samples[-1]
    rows = [
        {"what": name, "first half": warm[name], "at the end": end[name], "at most": warm[name] * bar}
        for name, bar in BARS.items()
    ]
    table(f"{options.count:,} edits, plans, cancels and undos", rows)
    save("soak", count=options.count, samples=samples)
    missed = [name for name, bar in BARS.items() if end[name] > warm[name] * bar + (2 if "MB" not in name else 0)]
    models.project.saved = models.project.document
    window.close()
    application.processEvents()
    until = time.monotonic() + 10
    while children(os.getpid()) and time.monotonic() < until:
        application.processEvents()
    left = children(os.getpid())
    print(f"after closing: {len(left)} processes are left")
    if missed or left:
        print(f"FAILED: {', '.join(missed) or 'processes are left'}")
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
