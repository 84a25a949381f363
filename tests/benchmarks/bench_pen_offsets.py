"""Two pens whose tips are off in their holder, hung by MuJoCo: how far touching colours are apart or overlap over the wall,
before and after their offset figure was read.

Both pens draw the same edges. Each point of an edge is asked of both; the gap is the distance of the two edges across it.
The figure is drawn by the same simulated machine and read with a ruler; readings are rounded to its divisions.

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
from wallwright.planning.pen_figures import APART, read_offset
from wallwright.statics.pen_tip import holder_points, turned
from wallwright.statics.pose import inverse_kinematics

ACROSS, DOWN = np.linspace(550, 1450, 5), np.linspace(500, 1350, 5)
"""mm, over the draw zone between the anchors 2 m apart."""
DIVISIONS = (0.1, 0.5, 1.0)
"""mm: a photo, a ruler read carefully, a ruler."""


def drawn(pen: Pen, tip: tuple[float, float], points: np.ndarray) -> np.ndarray:
    """(n, 2) mm: where a tip truly draws when the program, which knows the pen's numbers, asks for points (n, 2)."""
    judge, found = body(), []
    centres = holder_points(RIG, points, np.tile([pen.tip_right, pen.tip_down], (len(points), 1)))
    for centre, belts in zip(centres, inverse_kinematics(RIG, centres).belts, strict=True):
        place, tilt, _ = judge.settle(belts, centre + [0.0, 60.0])
        found.append(place + turned(np.array([tilt]), np.array([tip]))[0])
    return np.array(found)


def gaps(document: Document) -> dict[str, float]:
    """mm: the largest gap and overlap of upright and level edges, and the largest distance of all."""
    found: dict[str, float] = {}
    x, y = np.meshgrid(ACROSS, DOWN)
    points = np.column_stack([x.ravel(), y.ravel()])
    first, second = (drawn(pen, tip, points) for pen, tip in zip(document.pens, TRUE_TIPS, strict=True))
    way = second - first
    # The first colour lies left of, or above, the edge.
    for axis, name in enumerate(("upright", "level")):
        found[f"{name} gap"] = max(float(way[:, axis].max()), 0.0)
        found[f"{name} overlap"] = max(float(-way[:, axis].min()), 0.0)
    return {**found, "farthest apart": float(np.hypot(*way.T).max())}


def measured(document: Document, division: float) -> Document:
    """The figure drawn at the starting point with the pens as they are, and read."""
    at = np.array([HANGING.start_point])
    first, second = (drawn(pen, tip, at)[0] for pen, tip in zip(document.pens, TRUE_TIPS, strict=True))
    right, down = np.round((second - first) / division) * division + APART
    return read_offset(document, 0, 1, float(right), float(down))


def main() -> None:
    start = edits.replace(Document(), machine=MACHINE, pens=tuple(pens((0, 0), (0, 0))))
    rows = [{"pens": "before measuring", **gaps(start)}]
    for division in DIVISIONS:
        once = measured(start, division)
        rows.append({"pens": f"figure read to {division:g} mm", **gaps(once)})
    known: tuple[Pen, ...] = tuple(pens(*TRUE_TIPS))
    rows.append({"pens": "offsets known exactly", **gaps(edits.replace(start, pens=known))})
    table(f"Tips off by {TRUE_TIPS[0]} and {TRUE_TIPS[1]} mm: touching colours, mm", rows)
    save("pen_offsets", rows=rows)


if __name__ == "__main__":
    main()
