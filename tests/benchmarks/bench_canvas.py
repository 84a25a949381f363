"""Benchmark of panning, zooming, dragging and playing on the canvas: first its ink alone, then the whole.

    python tests/benchmarks/bench_canvas.py [--sizes 10000 100000 1000000] [--window 1280x800] [--platform offscreen]

Without --platform it runs once offscreen and, where Xvfb is installed, once under it. Prints tables and writes
tests/benchmarks/results/canvas-<platform>.json. A frame is one repaint of the window with its copy to the screen;
frames come 60 times a second while the workers paint.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import subprocess
import sys
from pathlib import Path
from shutil import which

ROOT = Path(__file__).resolve().parents[2]
RESULTS = Path(__file__).parent / "results"
BARS_MS = {"pan": 8.0, "zoom": 20.0, "drag": 16.0, "blank": 100.0, "stall": 50.0, "zone": 50.0}
"""Limits, ms: p95 of a frame at a million segments (drag: a hundred thousand); longest blank and stall."""


def machine() -> dict[str, str | int]:
    """Returns a description of the computer."""
    models = [line.split(":")[1].strip() for line in _lines("/proc/cpuinfo") if line.startswith("model name")]
    return {"cpu": models[0] if models else platform.processor(), "cores": os.cpu_count() or 0}


def memory_mb() -> float:
    """Returns the resident memory of this process, MB; 0 if unknown."""
    return next((int(s.split()[1]) / 1024 for s in _lines("/proc/self/status") if s.startswith("VmRSS")), 0.0)


def _lines(path: str) -> list[str]:
    return Path(path).read_text().splitlines() if Path(path).exists() else []


def run_here(sizes: list[int], window: tuple[int, int]) -> None:
    """Measures on the platform of this process."""
    sys.path.insert(0, str(ROOT))
    import PySide6

    from tests.benchmarks.ink_window import InkWindow
    from tests.benchmarks.planning_window import measure_planning
    from tests.benchmarks.whole_canvas import measure_canvas

    name = os.environ["QT_QPA_PLATFORM"]
    rows = []
    with InkWindow(*window) as view:
        for n in sizes:
            before = memory_mb()
            rows += [{"segments": n, **row} for row in view.measure(n)]
            rows.append({"segments": n, "what": "memory", "mb": round(memory_mb() - before, 1)})
        rows += [{"segments": 100_000, **row} for row in view.measure_drag(100_000)]
        rows += [{"segments": max(sizes), **row} for row in view.measure_play(max(sizes))]
    rows += [{"segments": n, **row} for n in sizes for row in measure_canvas(n, window)]
    rows += [{"segments": max(sizes), **row} for row in measure_planning(max(sizes), window)]
    print(f"\n{name}, {window[0]} x {window[1]} px, {machine()}, PySide6 {PySide6.__version__}")
    print(f"{'segments':>9}  {'what':28} {'p50':>8} {'p95':>8} {'max':>8}   bar")
    for row in rows:
        figures = " ".join(f"{row[k]:8.1f}" if k in row else " " * 8 for k in ("p50", "p95", "max"))
        extra = f"{row['mb']} MB" if "mb" in row else ""
        bar = BARS_MS.get(row["what"].removeprefix("canvas ").split()[0]) if row["segments"] >= 100_000 else None
        print(f"{row['segments']:9d}  {row['what']:28} {figures}   {bar or ''} {extra}")
    RESULTS.mkdir(exist_ok=True)
    record = {"machine": machine(), "platform": name, "window": window, "bars_ms": BARS_MS, "rows": rows}
    (RESULTS / f"canvas-{name}.json").write_text(json.dumps(record, indent=1))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--sizes", type=int, nargs="+", default=[10_000, 100_000, 1_000_000])
    parser.add_argument("--window", default="1280x800")
    parser.add_argument("--platform")
    options = parser.parse_args()
    if options.platform is not None:
        os.environ["QT_QPA_PLATFORM"] = options.platform
        width, height = options.window.split("x")
        run_here(options.sizes, (int(width), int(height)))
        return
    again = [sys.executable, __file__, *sys.argv[1:]]
    subprocess.run([*again, "--platform", "offscreen"], check=True)
    if which("xvfb-run"):
        screen = "-screen 0 2600x1600x24"
        subprocess.run(["xvfb-run", "-a", "-s", screen, *again, "--platform", "xcb"], check=True)


if __name__ == "__main__":
    main()
