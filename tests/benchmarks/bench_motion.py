"""How near the plan's time along fixed paths is to the shortest possible, and how long planning takes.

    python tests/benchmarks/bench_motion.py [--samples 1000 10000 100000 1000000]

toppra (Pham and Pham 2018) on the same paths and limits is 1. Strain: the most of any limit that the plan asks for on a
grid ten times finer than its own; 1 is all of it. Prints tables and writes tests/benchmarks/results/motion.json.
"""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path
from typing import Any

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from app.motion.along import bounds_of, grid_of
from app.motion.path import runs_of, sampled
from app.motion.reach import profile
from app.motion.timing import plan_motion
from app.statics.field import BeltField
from app.statics.rig import Rig
from app.strokes.strokes import Strokes
from tests.benchmarks.common import machine, save, table
from tests.support import paths
from tests.support.optimum import optimum, strains

BARS = {"ratio to toppra": 1.005, "strain": 1.003, "seconds at 1,000,000 samples": 1.0}
MOST_FOR_TOPPRA = 100_000


def durations() -> list[dict[str, Any]]:
    rows = []
    for belts in ("loose", "tight"):
        document = paths.machine(belts == "loose")
        rig, limits = Rig.of(document.machine, document.hangings[0]), document.machine.limits
        for name, make in paths.PATHS.items():
            path = make()
            strokes = Strokes.pack(path.strokes, 0)
            plan_motion(document, 0, rig, strokes)  # compiled and warm
            start = time.perf_counter()
            motion = plan_motion(document, 0, rig, strokes)
            spent = time.perf_counter() - start
            ours, strain = 0.0, 0.0
            for run, curve in zip(np.flatnonzero(motion.down), path.curves, strict=True):
                part = slice(motion.runs[run], motion.runs[run + 1])
                at = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(motion.pen_xy[part], axis=0).T))])
                ours += float(np.ptp(motion.time[part]))
                found = strains(rig, limits, curve, limits.draw_speed, at, motion.speed[part])
                strain = max(strain, *found.values())
            start = time.perf_counter()
            best = sum(optimum(rig, limits, curve, limits.draw_speed) for curve in path.curves)
            rows.append(
                {"path": name, "belts": belts, "toppra s": best, "plan s": ours, "ratio": ours / best,
                 "strain": strain, "computing s": spent, "toppra computing s": time.perf_counter() - start}
            )  # fmt: skip
    return rows


def growth(sizes: list[int]) -> list[dict[str, Any]]:
    """A spiral of ever more points, tight belts."""
    document = paths.machine(False)
    rig, limits = Rig.of(document.machine, document.hangings[0]), document.machine.limits
    rows = []
    for n in sizes:
        path = paths.spiral(n)
        strokes = Strokes.pack(path.strokes, 0)
        runs = runs_of(strokes, np.array([1000.0, 800.0]))
        samples = sampled(runs)
        field = BeltField(rig, samples.points)
        grid = grid_of(
            document,
            field,
            runs,
            samples,
            np.full(len(samples.points), limits.acceleration),
            0,
            len(runs.down),
        )
        start = time.perf_counter()
        profile(grid, bounds_of(document))
        alone = time.perf_counter() - start
        start = time.perf_counter()
        plan_motion(document, 0, rig, strokes)
        whole = time.perf_counter() - start
        row = {"samples": len(samples.points), "profile s": alone, "whole plan s": whole, "toppra s": "-"}
        if n <= MOST_FOR_TOPPRA:
            start = time.perf_counter()
            optimum(rig, limits, path.curves[0], limits.draw_speed, sum(p.length for p in path.curves[0]) / n)
            row["toppra s"] = time.perf_counter() - start
        rows.append(row)
    return rows


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--samples", type=int, nargs="+", default=[1000, 10_000, 100_000, 1_000_000])
    options = parser.parse_args()
    along = durations()
    print(machine())
    table("Duration along fixed paths (bars: ratio 1.005, strain 1.003)", along)
    growing = growth(options.samples)
    table("Computing, spiral with tight belts (bar: profile 1 s at 1,000,000)", growing)
    save("motion", bars=BARS, durations=along, growth=growing)


if __name__ == "__main__":
    main()
