"""Approximate time of strokes, much faster than a plan: if there are many, only some are timed."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from wallwright.document.arrays import Integers, Points
from wallwright.document.document import Document
from wallwright.motion.estimate import estimate
from wallwright.motion.planner import time_runs
from wallwright.planning.clock import StageProgress
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.strokes.fills.quickest import DrawingPace, drawing_seconds
from wallwright.strokes.strokes import Strokes

MOST_POINTS = 12_000
"""Largest number of points that are timed: about a second."""
PIECES = 24
"""Number of sections of the drawing order that are timed, spread over all of it."""


class RoughTime(NamedTuple):
    """Times in s, without pen changes."""

    total: float
    travel: float
    """Time of these with the pen up, without lifting."""


def rough_time(document: Document, hanging: int, ordered: Strokes, progress: StageProgress) -> RoughTime:
    """Returns the time of strokes in drawing order, with the machine and pens of a document."""
    if not len(ordered):
        return RoughTime(0.0, 0.0)
    some = ordered.take(spread_sample(ordered))
    rig = CableRobotModel.of(document.machine, document.hangings[hanging])
    timed = time_runs(document, hanging, rig, some, lambda done: progress("motion", done))
    found = estimate(document, timed.motion)
    times = 1.0
    if len(some) < len(ordered):
        pace = DrawingPace.of(document)
        times = drawing_seconds(_polylines(ordered), pace) / max(drawing_seconds(_polylines(some), pace), 1e-9)
    return RoughTime(times * found.total_s, times * sum(part.travel_s for part in found.per_pen))


def spread_sample(strokes: Strokes) -> Integers:
    """Returns (m,) indices of strokes in PIECES sections of the order, with about MOST_POINTS points in total; all if
    there are few."""
    count = len(strokes.points)
    if count <= MOST_POINTS:
        return np.arange(len(strokes))
    begin = strokes.offsets[:-1] / count * PIECES  # of each stroke, in sections
    return np.flatnonzero(begin % 1.0 < MOST_POINTS / count)


def _polylines(strokes: Strokes) -> list[Points]:
    return np.split(strokes.points, strokes.offsets[1:-1])
