"""A large drawing from file to export: time and memory of every stage by size.

    python tests/benchmarks/bench_scale.py [--segments 1000 10000 100000 300000 1000000]

The drawing is a sea chart of the demo's harbour (tests/support/sea_chart.py): depth lines, hatched houses, trees. Every size
runs in a separate process. Travel before is that of the strokes in file order. Replay is the time of the exported file in an
independent model of the controller. Prints tables and writes tests/benchmarks/results/scale.json.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from tests.benchmarks.common import machine, save, table

BARS = {"seconds at 300,000 segments": 60.0, "MB at 300,000 segments": 1500.0}
MOST_FOR_REPLAY = 400_000
SAME_BYTES_AT = 10_000


def one(segments: int, cores: int, replay: bool) -> dict[str, Any]:
    """Exports a chart in this process; returns figures and a digest of its files."""
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, sorted(os.sched_getaffinity(0))[:cores])
    import numpy as np

    from tests.support.controller import expected_settings, replay_seconds
    from tests.support.sea_chart import chart_document
    from wallwright.planning.plan import Goal, Request
    from wallwright.planning.runner import Runner
    from wallwright.strokes.order import travel_lengths, travel_time

    document = chart_document(segments)
    Runner().run(Request(0, chart_document(200), Goal.PLAN))  # warm-up, not timed
    with tempfile.TemporaryDirectory() as folder:
        start, used = time.perf_counter(), time.process_time()
        answer = Runner().run(Request(1, document, Goal.EXPORT, folder=folder))
        took, used = time.perf_counter() - start, time.process_time() - used
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        plan, limits = answer.plan, document.machine.limits
        start_point = np.array(document.hangings[0].start_point)
        before, after = (travel_lengths(s, start_point) for s in (plan.preview.strokes, plan.strokes))
        saved = sum(travel_time(before, limits.travel_speed, limits.acceleration)) - sum(
            travel_time(after, limits.travel_speed, limits.acceleration)
        )
        digest = hashlib.sha256()
        for name in sorted(answer.files):
            digest.update(Path(name).read_bytes())
        figures = {
            "segments": len(plan.strokes.points) - len(plan.strokes),
            "strokes": len(plan.strokes),
            "samples": len(plan.motion.time),
            "stages": {k: round(v, 3) for k, v in answer.timings.items()},
            "seconds": took,
            "core seconds": used,
            "peak MB": peak,
            "travel before m": float(before.sum()) / 1000,
            "travel after m": float(after.sum()) / 1000,
            "drawing time before h": (plan.estimate.total_s + float(saved)) / 3600,
            "drawing time after h": plan.estimate.total_s / 3600,
            "swing mm": plan.estimate.swing_mm,
            "files MB": sum(Path(f).stat().st_size for f in answer.files) / 1e6,
            "digest": digest.hexdigest(),
        }
        if replay:
            text = (Path(folder) / "belts.ngc").read_text()
            push, corner = expected_settings(text)
            figures["replay over estimate"] = replay_seconds(text, push, corner) / plan.estimate.total_s
    return figures


def apart(segments: int, cores: int = 2, replay: bool = False) -> dict[str, Any]:
    """Runs one() in a separate process."""
    command = [
        sys.executable,
        __file__,
        "--one",
        str(segments),
        "--cores",
        str(cores),
        *(["--replay"] if replay else []),
    ]
    return json.loads(subprocess.run(command, check=True, capture_output=True, text=True).stdout.splitlines()[-1])


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--segments", type=int, nargs="+", default=[1000, 10_000, 100_000, 300_000, 1_000_000])
    parser.add_argument("--one", type=int, help=argparse.SUPPRESS)
    parser.add_argument("--cores", type=int, default=2, help=argparse.SUPPRESS)
    parser.add_argument("--replay", action="store_true", help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.one is not None:
        print(json.dumps(one(options.one, options.cores, options.replay)))
        return
    rows = [apart(n, replay=n <= MOST_FOR_REPLAY) for n in options.segments]
    print(machine())
    stages = list(rows[0]["stages"])
    table(
        "File to export, s (bars at 300,000 segments: 60 s, 1500 MB)",
        [
            {
                "segments": r["segments"],
                "pen runs": r["strokes"],
                **{s: r["stages"][s] for s in stages},
                "all": r["seconds"],
                "core s": r["core seconds"],
                "peak MB": r["peak MB"],
                "us a segment": 1e6 * r["seconds"] / r["segments"],
            }
            for r in rows
        ],
    )
    table(
        "The job",
        [
            {
                "segments": r["segments"],
                "travel before m": r["travel before m"],
                "after m": r["travel after m"],
                "drawing before h": r["drawing time before h"],
                "after h": r["drawing time after h"],
                "swing mm": r["swing mm"],
                "replay over estimate": r.get("replay over estimate", "-"),
                "files MB": r["files MB"],
            }
            for r in rows
        ],
    )
    same = {r["digest"] for r in (apart(SAME_BYTES_AT), apart(SAME_BYTES_AT), apart(SAME_BYTES_AT, cores=1))}
    print(f"\nSame bytes on two runs and on one core: {'yes' if len(same) == 1 else 'NO'}")
    save("scale", bars=BARS, rows=rows, same_bytes=len(same) == 1)


if __name__ == "__main__":
    main()
