"""The plan's time along fixed paths compared with the shortest possible, and the time of planning.

    python tests/benchmarks/bench_motion.py [--samples 1000 10000 100000 1000000]

Travels: savings over straight ones, between random points of the zone and horizontally across its middle, where the lower
bound is either belt's run at belt speed.

toppra (Pham and Pham 2018) on the same paths and limits is 1. Strain: largest share of any limit that the plan uses on a
grid ten times finer than its own. Prints tables and writes tests/benchmarks/results/motion.json.
"""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path
from typing import Any

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.benchmarks.common import machine, save, table
from tests.support import paths
from tests.support.optimum import optimum, strains
from wallwright.document.document import Document
from wallwright.document.edits import replace
from wallwright.motion.detours import DetourFinder
from wallwright.motion.path import Runs, build_runs, sample_runs
from wallwright.motion.path_constraints import motion_limits, path_grid
from wallwright.motion.planner import plan_motion
from wallwright.motion.swing import SwingField
from wallwright.motion.time_parameterization import speed_profile
from wallwright.motion.travel_timing import TravelTimer
from wallwright.motion.travels import with_fastest_travels
from wallwright.statics.belt_field import BeltField
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.strokes.strokes import Strokes

BARS = {
    "ratio to toppra": 1.005,
    "strain": 1.003,
    "seconds at 1,000,000 samples": 1.0,
    "level travel over the belts' run": 1.05,
}
MACHINES = {
    "default": {},
    "slow belts": {"belt_speed": 50.0, "swing": 1000.0},
    "slow belts, swing kept": {"belt_speed": 50.0},
    "fast pen, tight belts": {
        "travel_speed": 300.0,
        "acceleration": 600.0,
        "belt_speed": 90.0,
        "belt_acceleration": 250.0,
        "swing": 1000.0,
    },
    "limited by torque": {
        "travel_speed": 500.0,
        "acceleration": 5000.0,
        "belt_speed": 300.0,
        "belt_acceleration": 20_000.0,
        "swing": 1000.0,
    },
}
MOST_FOR_TOPPRA = 100_000


def durations() -> list[dict[str, Any]]:
    rows = []
    for belts in ("loose", "tight"):
        document = paths.machine(belts == "loose")
        rig, limits = CableRobotModel.of(document.machine, document.hangings[0]), document.machine.limits
        for name, make in paths.PATHS.items():
            path = make()
            strokes = Strokes.pack(path.strokes, 0)
            plan_motion(document, 0, rig, strokes)  # warm-up
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
                {
                    "path": name,
                    "belts": belts,
                    "toppra s": best,
                    "plan s": ours,
                    "ratio": ours / best,
                    "strain": strain,
                    "computing s": spent,
                    "toppra computing s": time.perf_counter() - start,
                }
            )
    return rows


def travels() -> list[dict[str, Any]]:
    """Compares travels of several machines with straight ones: 150 between random points, 20 across the middle."""
    rows = []
    for name, fields in MACHINES.items():
        document = Document()
        limits = replace(document.machine.limits, **fields)
        document = replace(document, machine=replace(document.machine, limits=limits))
        hanging = document.hangings[0]
        rig, ways = (
            CableRobotModel.of(document.machine, hanging),
            DetourFinder(document.wall, document.machine, hanging),
        )
        random = np.random.default_rng(3)
        places = random.uniform((400, 300), (1600, 1450), (1000, 2))
        places = places[ways.inside([p[None] for p in places])][:300]
        level = [[(x, y), (2000 - x, y)] for x in (450.0, 550, 650, 750) for y in (800.0, 900, 1000, 1100, 1200)]
        level = np.array(level)[ways.inside([np.array(p) for p in level])]
        field, swing = BeltField(rig, places), SwingField(rig, document.machine, places)
        trial, row = TravelTimer(document, field, swing), {"machine": name}
        for kind, ends in (("random", places.reshape(-1, 2, 2)), ("level", level)):
            k = len(ends)
            runs = Runs(
                ends.reshape(-1, 2),
                2 * np.arange(k + 1),
                np.zeros(k, dtype=bool),
                np.full(k, -1),
                np.zeros(k, dtype=np.int64),
                (),
            )
            found = with_fastest_travels(document, rig, field, swing, runs, ways)
            lines = np.split(found.points, found.runs[1:-1])
            straight, taken = trial.along_lines(list(ends)), trial.along_lines(lines)
            row |= {
                f"{kind} straight s": straight.sum(),
                f"{kind} taken s": taken.sum(),
                f"{kind} saved %": 100 * (1 - taken.sum() / straight.sum()),
                f"{kind} bent": int((np.diff(found.runs) > 2).sum()),
            }
        row["level over belts' run"] = float((taken / trial.belts_run(level)).mean())
        rows.append(row)
    return rows


def growth(sizes: list[int]) -> list[dict[str, Any]]:
    """Plans a spiral with increasing numbers of points, with tight belts."""
    document = paths.machine(False)
    rig, limits = CableRobotModel.of(document.machine, document.hangings[0]), document.machine.limits
    rows = []
    for n in sizes:
        path = paths.spiral(n)
        strokes = Strokes.pack(path.strokes, 0)
        runs = build_runs(strokes, np.array([1000.0, 800.0]))
        samples = sample_runs(runs, tolerance=limits.corner_tolerance)
        field = BeltField(rig, samples.points)
        grid = path_grid(
            document,
            field,
            runs,
            samples,
            np.full(len(samples.points), limits.acceleration),
            0,
            len(runs.down),
        )
        start = time.perf_counter()
        speed_profile(grid, motion_limits(document))
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
    ways = travels()
    table("Travels against straight (bar: with slow belts, level over belts' run 1.05)", ways)
    growing = growth(options.samples)
    table("Computing, spiral with tight belts (bar: profile 1 s at 1,000,000)", growing)
    save("motion", bars=BARS, durations=along, travels=ways, growth=growing)


if __name__ == "__main__":
    main()
