"""Quality of the order of strokes relative to the best known, with time and memory.

    python tests/benchmarks/bench_order.py [--only 1000 10000 clusters 100000 points]

Every case runs in a separate process, to measure its memory. The cost is the time of all travels, s; the ratio is to the
best known: that of this run or an earlier, much longer one, and for 1,000 strokes that of LKH (Helsgaun 2000, through elkai
2.0.1) on the same matrix of times, in ms rounded to 0.05, with the strokes as fixed edges. Prints a table and writes
tests/benchmarks/results/order.json.
"""

from __future__ import annotations

import argparse
import json
import resource
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.benchmarks.common import machine, save, table
from tests.support.stroke_sets import hatched_clusters, random_strokes
from wallwright.strokes.order import travel_time
from wallwright.strokes.tour.nearest import nearest_first
from wallwright.strokes.tour.tour import order_ends

SPEED, ACCELERATION = 80.0, 200.0
"""Speed and acceleration of travels, mm/s and mm/s²: the machine's defaults."""
START = np.zeros(2)
CASES = {
    "1000": ("1,000 random strokes", 1_000, (15, 60)),
    "10000": ("10,000 random strokes", 10_000, (15, 60)),
    "clusters": ("20,000 hatch lines in 200 clusters", 20_000, (15, 60)),
    "100000": ("100,000 random strokes", 100_000, (1, 6, 50)),
    "points": ("10,000 random points, length", 10_000, (60,)),
}
"""By case: title, number of strokes, kicks per stroke."""
BARS = {
    ("1000", 15): (1.01, 1.0),
    ("10000", 15): (1.005, 10.0),
    ("clusters", 15): (1.01, 10.0),
    ("100000", 1): (1.10, 10.0),
    ("100000", 50): (1.01, 75.0),
}
"""Limits: ratio to the best known, and time, s."""
MEMORY_BAR = 350.0
BEST_KNOWN = {"1000": 615.1687764, "10000": 3186.3787893, "clusters": 3882.4466766, "100000": 17819.3357724}
"""Best known costs, s."""
KNOWN_BY = {
    "1000": "LKH",
    "10000": "own, 400 kicks",
    "clusters": "own, 300 kicks",
    "100000": "own, 250 kicks",
    "points": "0.7168 sqrt(n A)",
}


def ends_of(case: str) -> np.ndarray:
    if case == "points":
        return np.repeat(np.random.default_rng(1).uniform(0, 1000, (CASES[case][1], 1, 2)), 2, axis=1)
    strokes = (hatched_clusters if case == "clusters" else random_strokes)(CASES[case][1], 1)
    return np.stack([strokes.starts, strokes.ends], axis=1)


def limits_of(case: str) -> tuple[float, float]:
    """Returns speed and acceleration. For points, speed 1 and unlimited acceleration make time equal to length."""
    return (1.0, 1e15) if case == "points" else (SPEED, ACCELERATION)


def cost_of(ends: np.ndarray, order: np.ndarray, flip: np.ndarray, limits: tuple[float, float]) -> float:
    path = ends[order]
    path[flip] = path[flip][:, ::-1]
    before = np.concatenate([START[None], path[:-1, 1]])
    return float(travel_time(np.hypot(*(path[:, 0] - before).T), *limits).sum())


def known(case: str) -> float:
    if case == "points":
        # Johnson and McGeoch (1997), table of random uniform instances, from memory: the best tour through 10,000
        # points is about 0.7168 sqrt(n A) long, with a spread of 0.3 %.
        return 0.7168 * np.sqrt(10_000 * 1e6)
    return BEST_KNOWN[case]


def run_case(case: str) -> list[dict[str, Any]]:
    title, count, kicks = CASES[case]
    ends, limits = ends_of(case), limits_of(case)
    order_ends(ends[:40], START, *limits, 2.0)  # warm-up
    rows = []
    for each in (0, *kicks):
        start, used = time.perf_counter(), time.process_time()
        order, flip = order_ends(ends, START, *limits, each) if each else nearest_first(ends, START)
        spent, used = time.perf_counter() - start, time.process_time() - used
        assert np.array_equal(np.sort(order), np.arange(count))
        rows.append(
            {
                "case": title,
                "kicks a stroke": each or "nearest first",
                "cost": cost_of(ends, order, flip, limits),
                "s": spent,
                "cpu s": used,
                "peak MB": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024,
                "bar": BARS.get((case, each), ""),
            }
        )
    best = min(known(case) or np.inf, *(row["cost"] for row in rows)) if case != "points" else known(case)
    for row in rows:
        row["best known"], row["by"], row["ratio"] = best, KNOWN_BY[case], row["cost"] / best
    return rows


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--only", nargs="+", default=list(CASES), choices=list(CASES))
    parser.add_argument("--case", choices=list(CASES), help="run one here and print its rows as JSON")
    options = parser.parse_args()
    if options.case:
        print(json.dumps(run_case(options.case)))
        return
    rows = []
    for case in options.only:
        done = subprocess.run([sys.executable, __file__, "--case", case], check=True, stdout=subprocess.PIPE)
        rows += json.loads(done.stdout)
    print(machine())
    table("Order of strokes: time of travels against the best known (bar: ratio, s; memory 350 MB)", rows)
    save("order", bars={"memory MB": MEMORY_BAR}, rows=rows)


if __name__ == "__main__":
    main()
