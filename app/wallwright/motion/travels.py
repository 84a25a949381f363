"""Fastest travels: around what lies outside the draw zone, and in a bow where that is faster.

Paths are timed as the plan times them. A bow is used only if it saves enough, and any path only if every pose along it
keeps every limit.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from wallwright.document.arrays import Flags, Floats, Integers, Points
from wallwright.document.document import Document
from wallwright.document.parallel import in_parts
from wallwright.motion.curved_travels import SHORTEST, curve_polylines, fastest_curves, is_worth_it
from wallwright.motion.detours import DetourFinder
from wallwright.motion.path import Runs
from wallwright.motion.swing import SwingField
from wallwright.motion.travel_timing import TravelTimer
from wallwright.statics.belt_field import BeltField
from wallwright.statics.cable_robot import CableRobotModel

AT_ONCE = 50
"""Number of travels processed together."""
MOST = 2_000
"""Largest number of travels for which curved paths are searched, longest first: each takes two or three milliseconds."""


def with_fastest_travels(
    document: Document,
    rig: CableRobotModel,
    field: BeltField,
    swing: SwingField,
    runs: Runs,
    ways: DetourFinder,
    progress: Callable[[float], None] = lambda done: None,
    which: Flags | None = None,
    known: Mapping[int, Floats] | None = None,
) -> Runs:
    """Returns the runs with the fastest paths in place of straight travels.

    field, swing: over the box of the runs' points. which: (k,) bool, runs to examine; default all. known: paths of the
    other travels, (n, 2) mm, by run.
    """
    straight = np.flatnonzero(~runs.down & (np.diff(runs.runs) == 2) & (True if which is None else which))
    ends = np.stack([runs.points[runs.runs[straight]], runs.points[runs.runs[straight] + 1]], axis=1)
    timer = TravelTimer(document, field, swing)
    blocked = ways.blocked(ends)
    lines = dict(known or {})
    for i in np.flatnonzero(blocked).tolist():
        found = ways.around(ends[i])
        if found:
            lines[int(straight[i])] = found[int(timer.along_lines(found).argmin())]
    # A one-speed controller is as fast as the slowest place allows.
    if document.machine.controller.pacing != "constant":
        length = np.hypot(*(ends[:, 1] - ends[:, 0]).T)
        long = np.flatnonzero(~blocked & (length >= SHORTEST))
        long = np.sort(long[np.argsort(-length[long], kind="stable")[:MOST]])
        parts = [long[i : i + AT_ONCE] for i in range(0, len(long), AT_ONCE)]
        for bows in in_parts(lambda part: _bows(rig, timer, ends, part, ways), parts, progress):
            lines |= {int(straight[i]): line for i, line in bows.items()}
    return _with_lines(runs, lines)


def _bows(
    rig: CableRobotModel, timer: TravelTimer, ends: Points, part: Integers, ways: DetourFinder
) -> dict[int, Floats]:
    """Returns (n, 2) mm, by travel: bows that save enough as the plan times them, inside the draw zone."""
    shape = fastest_curves(timer, ends[part])
    found = {}
    for i in np.flatnonzero(shape.any(axis=1)).tolist():
        travel = ends[part[i]]
        lines = curve_polylines(rig, travel, shape[i])
        straight, *seconds = timer.along_lines([travel, *lines])
        good = ways.inside(lines) & is_worth_it(straight, np.array(seconds))
        if good.any():
            found[int(part[i])] = lines[int(np.where(good, seconds, np.inf).argmin())]
    return found


def _with_lines(runs: Runs, lines: dict[int, Floats]) -> Runs:
    """Returns the runs with the inner points of lines, (n, 2) mm by run, inserted in straight ones."""
    if not lines:
        return runs
    order = sorted(lines)
    more = np.zeros(len(runs.down), dtype=np.int64)
    more[order] = [len(lines[run]) - 2 for run in order]
    points = np.insert(
        runs.points,
        np.repeat(runs.runs[order] + 1, more[order]),
        np.concatenate([lines[run][1:-1] for run in order]),
        axis=0,
    )
    offsets = runs.runs + np.concatenate([[0], np.cumsum(more)])
    return Runs(points, offsets, runs.down, runs.stroke, runs.pen, runs.blocks)
