"""An edit of one shape in a large drawing: time of every stage, beside that of the first plan.

    python tests/benchmarks/bench_edit.py [--segments 300000]

The drawing is the sea chart (tests/support/sea_chart.py) with one house in a group of its own. It is planned, then the
group's hatch is changed and it is planned again in the same process. Prints a table and writes
tests/benchmarks/results/edit.json.
"""

from __future__ import annotations

import argparse
import os
import sys
import time
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from app.document import edits
from app.document.document import Fill, Ink
from app.planning.demo import demo_document
from app.planning.plan import Goal, Request
from app.planning.run import Runner
from tests.benchmarks.common import machine, save, table
from tests.support.sea_chart import HEIGHT, WIDTH, chart_document

HOUSE = b'<g id="boat-house"><rect x="500" y="274" width="30" height="20" fill="#c02020"/></g></svg>'


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--segments", type=int, default=300_000)
    options = parser.parse_args()
    Runner().run(Request(0, demo_document(), Goal.PLAN))  # compiled and warm
    document = chart_document(options.segments)
    placed = document.placements[0]
    data = document.artworks[0].data.replace(b"</svg>", HOUSE)
    document = edits.replace(document, artworks=(), placements=())
    document, placed = edits.add_artwork(
        document, "chart.svg", "image/svg+xml", data, (WIDTH, HEIGHT), (placed.x, placed.y), placed.width
    )
    runner, rows = Runner(), []
    for number, what in enumerate(("first", "one hatch", "the same again", "one hatch")):
        if what == "one hatch":
            ink = Ink("#c02020", "red", fill=Fill("hatch", 3.0 + number, 0.3), group=("boat-house",))
            document = edits.set_ink(document, placed.id, ink)
        start = time.perf_counter()
        answer = runner.run(Request(1, document, Goal.PLAN))
        spent: dict[str, Any] = {"s": time.perf_counter() - start, **answer.timings}
        rows.append({"plan": what, "segments": len(answer.preview.strokes.points), **spent})
    print(machine())
    table(f"One shape's hatch changed in {options.segments:,} segments: s of each stage", rows)
    save("edit", rows=rows)


if __name__ == "__main__":
    main()
