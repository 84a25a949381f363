"""What of the strokes lies outside the draw zone, and strokes cut off at its edge."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from app.document.cores import in_parts
from app.document.document import Document
from app.document.wall import Hanging
from app.statics.limits import broken
from app.statics.pose import hang
from app.statics.rig import Rig
from app.strokes.dense import dense
from app.strokes.strokes import Strokes

LOOK_EVERY = 10.0
"""mm: a limit may be broken between two points of a long straight stroke; the zone's edge bends less than this."""
HALVINGS = 12
"""Of LOOK_EVERY, when a stroke is cut at the edge: to 0.0025 mm."""
AT_ONCE = 20_000


def points_outside(
    document: Document,
    hanging: Hanging,
    points: np.ndarray,
    progress: Callable[[float], None] = lambda done: None,
) -> np.ndarray:
    """(n,) uint16 bits of statics.limits.Limit that each point breaks, 0 inside. points: (n, 2) mm."""
    rig = Rig.of(document.machine, hanging)
    parts = [points[i : i + AT_ONCE] for i in range(0, len(points), AT_ONCE)]
    found = in_parts(
        lambda part: broken(document.wall, document.machine, rig, hang(rig, part)), parts, progress
    )
    return np.concatenate([np.zeros(0, dtype=np.uint16), *found])


def strokes_outside(
    document: Document,
    hanging: Hanging,
    strokes: Strokes,
    progress: Callable[[float], None] = lambda done: None,
) -> np.ndarray:
    """(n,) uint16 per point of the strokes: bits broken there or on the leg that begins there."""
    if not len(strokes):
        return np.zeros(0, dtype=np.uint16)
    looked = dense(strokes, LOOK_EVERY)
    bits = points_outside(document, hanging, looked.points, progress)
    result = np.zeros(len(strokes.points), dtype=np.uint16)
    np.bitwise_or.at(result, looked.leg, bits)
    return result


def clip_to_zone(document: Document, hanging: Hanging, strokes: Strokes) -> Strokes:
    """The strokes without their parts outside the draw zone, cut at its edge."""
    if not len(strokes):
        return strokes
    looked = dense(strokes, LOOK_EVERY)
    points, stroke = looked.points, looked.stroke
    inside = points_outside(document, hanging, points) == 0
    same = np.zeros(len(points), dtype=bool)
    same[1:] = stroke[1:] == stroke[:-1]
    # Where a stroke enters (outside before inside) or leaves, the edge is found by halving.
    change = np.flatnonzero(same & (inside != np.roll(inside, 1)))
    good = np.where(inside[change], change, change - 1)
    bad = np.where(inside[change], change - 1, change)
    near, far = points[good], points[bad]
    for _ in range(HALVINGS):
        middle = (near + far) / 2
        hit = points_outside(document, hanging, middle) == 0
        near, far = np.where(hit[:, None], middle, near), np.where(hit[:, None], far, middle)
    # The new ends are inserted before the point they lead into, or after the point they leave.
    keys = np.concatenate([np.flatnonzero(inside).astype(float), change - 0.5])
    all_points = np.concatenate([points[inside], near])
    all_stroke = np.concatenate([stroke[inside], stroke[change]])
    order = np.argsort(keys, kind="stable")
    keys, all_points, all_stroke = keys[order], all_points[order], all_stroke[order]
    gap = np.ones(len(keys), dtype=bool)
    gap[1:] = (np.diff(keys) > 1.0) | (all_stroke[1:] != all_stroke[:-1])
    # Two cuts of one stroke lie further apart than one step only when the part between is outside.
    first = np.flatnonzero(gap)
    offsets = np.append(first, len(keys)).astype(np.int64)
    owner = all_stroke[first] if len(first) else np.zeros(0, dtype=np.int64)
    cut = Strokes(all_points, offsets if len(first) else np.zeros(1, dtype=np.int64), strokes.pen[owner],
                  strokes.source[owner], strokes.is_fill[owner])  # fmt: skip
    return cut.take(np.flatnonzero((np.diff(cut.offsets) >= 2) & (cut.lengths() > 1e-3))) if len(cut) else cut
