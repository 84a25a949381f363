"""Edits of a large drawing: time to a fresh plan, and its quality compared with the full search that follows.

    python tests/benchmarks/bench_edit.py [--segments 300000]

The drawing is the sea chart (tests/support/sea_chart.py) with one house in a separate group. It is planned, then the group's
hatch is changed twice, the house is planned as before, and the artwork is moved, in the same process. Every edit gives first
a provisional plan, then the final plan of the document, with which it is compared: travel time, total time, motion of
unchanged strokes. Shares are of the final plan in the same run; on a busy computer, compare these and the seconds of
processor time. Prints tables and writes tests/benchmarks/results/edit.json.
"""

from __future__ import annotations

import argparse
import os
import resource
import sys
import time
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from tests.benchmarks.common import machine, save, table
from tests.support.sea_chart import HEIGHT, WIDTH, chart_document
from wallwright.document import edits
from wallwright.document.document import Document, Fill, Ink
from wallwright.planning.demo import demo_document
from wallwright.planning.plan import Goal, Plan, Request, Response
from wallwright.planning.runner import Runner

HOUSE = b'<g id="boat-house"><rect x="500" y="274" width="30" height="20" fill="#c02020"/></g></svg>'
BARS = {
    "s of a provisional plan": 1.5,
    "of the whole plan's travels": 1.01,
    "s moved": 4.0,
    "of the memory": 1.5,
}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--segments", type=int, default=300_000)
    options = parser.parse_args()
    # Warm-up, including loops that only an edit compiles.
    small, runner = with_house(30_000), Runner()
    runner.run(Request(0, small, Goal.PLAN))
    runner.run(Request(0, with_hatch(small, 5.0), Goal.PLAN, provisional=True))
    runner.run(Request(0, demo_document(), Goal.PLAN))
    document, runner, rows = with_house(options.segments), Runner(), []
    placed = document.placements[0]
    steps = [
        ("first", document),
        ("one hatch", with_hatch(document, 4.0)),
        ("one hatch", with_hatch(document, 6.0)),
        ("as it was", document),
        ("moved", edits.set_placement(document, placed.id, x=placed.x + 12.3, y=placed.y - 4.5)),
    ]
    for what, edited in steps:
        rows += planned(runner, what, edited)
    print(machine())
    table(f"{options.segments:,} segments: s of each stage (bars: 1.5 s, moved 4 s)", rows)
    save("edit", bars=BARS, rows=rows)


def with_house(segments: int) -> Document:
    """Returns the chart with one house in a separate group."""
    document = chart_document(segments)
    placed = document.placements[0]
    data = document.artworks[0].data.replace(b"</svg>", HOUSE)
    document = edits.replace(document, artworks=(), placements=())
    return edits.add_artwork(
        document, "chart.svg", "image/svg+xml", data, (WIDTH, HEIGHT), (placed.x, placed.y), placed.width
    )[0]


def with_hatch(document: Document, spacing: float) -> Document:
    """Returns the same with another hatch spacing of the house, mm."""
    ink = Ink("#c02020", "red", fill=Fill("hatch", spacing, 0.3), group=("boat-house",))
    return edits.set_ink(document, document.placements[0].id, ink)


def planned(runner: Runner, what: str, document: Document) -> list[dict[str, Any]]:
    """Returns rows of the provisional plan, if any, and of the final one."""
    begun, used, found = time.perf_counter(), time.process_time(), []

    def row(answer: Response, start: float, spent: float) -> None:
        now, cpu = time.perf_counter(), time.process_time()
        # Figures of the plan, not the plan itself, which would count as memory.
        plan = answer.require_plan()
        figures = plan.is_provisional, travel(plan), plan.estimate.total_s
        found.append((figures, {"s": now - start, "processor s": cpu - spent, **answer.timings}))

    def early(answer: Response) -> None:
        if answer.plan is not None:
            row(answer, begun, used)

    answer = runner.run(Request(1, document, Goal.PLAN, provisional=True), early=early)
    mended = dict(found[0][1]) if found else {}
    row(answer, begun + mended.get("s", 0.0), used + mended.get("processor s", 0.0))
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    (_, whole_travel, whole_time), cost = found[-1]
    rows = []
    for (is_provisional, travelling, total), spent in found:
        spent["share"] = spent["processor s"] / cost["processor s"]
        rows.append(
            {
                "plan": f"{what}, {'provisional' if is_provisional else 'whole'}",
                **spent,
                "travel": travelling / whole_travel,
                "time": total / whole_time,
                "peak MB": peak,
            }
        )
    return rows


def travel(plan: Plan) -> float:
    """Returns the time of all travels, s."""
    return sum(part.travel_s for part in plan.estimate.per_pen)


if __name__ == "__main__":
    main()
