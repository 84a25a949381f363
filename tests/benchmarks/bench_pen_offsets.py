"""Two pens with tip offsets on a body in MuJoCo: gaps and overlaps of touching colours over the wall, before and after
reading the offset figure.

Both pens draw the same edges. Each point of an edge is computed for both; the gap is the distance of the two edges across
it. The figure is drawn by the same simulated machine. It is read with a ruler, to its divisions, or with a ruler to half a
millimetre and on the figure's scales: the reading is the number of the line that continues another one best, or the half
between two lines.

    python tests/benchmarks/bench_pen_offsets.py
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.benchmarks.common import save, table
from tests.statics.test_pen_tip import HANGING, MACHINE, RIG, TRUE_TIPS, body, pens
from wallwright.document import edits
from wallwright.document.document import Document, Pen
from wallwright.planning.offset_figure import APART, OffsetReading, offset_figure, read_offset
from wallwright.planning.plan import Goal, Request
from wallwright.planning.runner import Runner
from wallwright.statics.pen_tip import holder_points, turned
from wallwright.statics.pose import inverse_kinematics

ACROSS, DOWN = np.linspace(550, 1450, 5), np.linspace(500, 1350, 5)
"""Grid over the draw zone between anchors 2 m apart, mm."""
DIVISIONS = (0.1, 0.5, 1.0)
"""Reading resolution, mm: a photo, a ruler read carefully, a ruler."""


def drawn(pen: Pen, tip: tuple[float, float], points: np.ndarray) -> np.ndarray:
    """Returns (n, 2) mm: the true drawn points for requested points (n, 2), with the pen's entered offset."""
    judge, found = body(), []
    centres = holder_points(RIG, points, np.tile([pen.tip_right, pen.tip_down], (len(points), 1)))
    for centre, belts in zip(centres, inverse_kinematics(RIG, centres).belts, strict=True):
        place, tilt, _ = judge.settle(belts, centre + [0.0, 60.0])
        found.append(place + turned(np.array([tilt]), np.array([tip]))[0])
    return np.array(found)


def gaps(document: Document) -> dict[str, float]:
    """Returns the largest gap and overlap of vertical and horizontal edges, and the largest distance, mm."""
    found: dict[str, float] = {}
    x, y = np.meshgrid(ACROSS, DOWN)
    points = np.column_stack([x.ravel(), y.ravel()])
    first, second = (drawn(pen, tip, points) for pen, tip in zip(document.pens, TRUE_TIPS, strict=True))
    way = second - first
    # The first colour is left of, or above, the edge.
    for axis, name in enumerate(("upright", "level")):
        found[f"{name} gap"] = max(float(way[:, axis].max()), 0.0)
        found[f"{name} overlap"] = max(float(-way[:, axis].min()), 0.0)
    return {**found, "farthest apart": float(np.hypot(*way.T).max())}


def measured(document: Document, division: float) -> Document:
    """Returns the document after reading the figure, drawn at the starting point with the present pens."""
    at = np.array([HANGING.start_point])
    first, second = (drawn(pen, tip, at)[0] for pen, tip in zip(document.pens, TRUE_TIPS, strict=True))
    right, down = np.round((second - first) / division) * division + APART
    return read_offset(document, 0, 1, OffsetReading(float(right)), OffsetReading(float(down)))


def measured_on_scales(document: Document, steps: float) -> Document:
    """Returns the document after reading the figure on its scales, in steps, and with a ruler to half a millimetre."""
    figure = offset_figure(document, 0)
    strokes = Runner().run(Request(1, figure, Goal.PLAN)).require_plan().strokes
    at, readings = np.array([HANGING.start_point]), []
    first, second = (drawn(pen, tip, at)[0] for pen, tip in zip(document.pens, TRUE_TIPS, strict=True))
    for axis in (0, 1):
        places = []
        for number, tip in enumerate(TRUE_TIPS):
            own = strokes.take(np.flatnonzero(strokes.pen == number))
            ways = np.abs(own.ends - own.starts)
            is_line = (ways[:, axis] < 0.01) & np.isin(np.round(ways[:, 1 - axis], 1), (12.0, 17.0))
            middles = (own.starts[is_line] + own.ends[is_line]) / 2
            places.append(drawn(document.pens[number], tip, middles[np.argsort(middles[:, axis])])[:, axis])
        # Offset of each line of the second pen from the nearest one of the first.
        away = places[1][:, None] - places[0]
        miss = away[np.arange(len(away)), np.abs(away).argmin(axis=1)]
        best = int(np.abs(miss).argmin())
        line = best + miss[best] / (miss[best - 1] - miss[best] if best else miss[best] - miss[best + 1])
        ruler = APART + float(np.round(2 * (second - first)[axis]) / 2)
        readings.append(OffsetReading(ruler, float(np.clip(np.round(line / steps) * steps, 0, len(away) - 1))))
    return read_offset(document, 0, 1, *readings)


def main() -> None:
    start = edits.replace(Document(), machine=MACHINE, pens=tuple(pens((0, 0), (0, 0))))
    rows = [{"pens": "before measuring", **gaps(start)}]
    for division in DIVISIONS:
        once = measured(start, division)
        rows.append({"pens": f"figure read to {division:g} mm", **gaps(once)})
    for steps, name in ((1.0, "nearest line"), (0.5, "line or half")):
        rows.append({"pens": f"scales read, {name}", **gaps(measured_on_scales(start, steps))})
    known: tuple[Pen, ...] = tuple(pens(*TRUE_TIPS))
    rows.append({"pens": "offsets known exactly", **gaps(edits.replace(start, pens=known))})
    table(f"Tips off by {TRUE_TIPS[0]} and {TRUE_TIPS[1]} mm: touching colours, mm", rows)
    save("pen_offsets", rows=rows)


if __name__ == "__main__":
    main()
