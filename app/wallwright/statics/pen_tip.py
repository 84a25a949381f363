"""Pens whose tips are off the holder's centre: where the centre must be for the tip to be on its line.

The body frame has its origin at the holder's centre; a tip is at t = (right, down) in it. With the body tilted by θ, the
tip is at C + R(θ) t, R(θ) the rotation by θ (clockwise, y down). The centre for a tip at P solves C = P - R(θ(C)) t. The
tilt changes by less than a thousandth of a radian per mm of body movement, so each fixed-point iteration gains three
digits. A straight line of the tip is a slightly curved line of the centre: legs are divided so that their middle stays on
it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import msgspec
import numpy as np
from scipy.ndimage import map_coordinates

from wallwright.document.arrays import Flags, Floats, Integers, Points
from wallwright.document.document import Pen
from wallwright.statics.belt_field import bounds
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.pose import inverse_kinematics
from wallwright.strokes.strokes import Strokes

ROUNDS = 5
"""Number of iterations. Each leaves a hundredth, usually a thousandth, of the previous error, which starts at the offset
itself."""
LONGEST_LEG = 50.0
"""Longest leg, mm: along it the tilt changes by some 0.04 rad, and a tip 5 mm off leaves its line by a thousandth of a
millimetre."""
SPACING = 20.0
"""Spacing, mm, of the grid on which the tilt is solved for many points: interpolation is off by 4e-5 rad, which
displaces a tip 5 mm off by 0.2 µm."""
FEW = 20_000
"""Largest number of points for which the tilt is solved one by one."""


def tips_of(pens: Sequence[Pen]) -> Floats:
    """Returns (p, 2) mm: tip positions to the right and down of the holder's centre, in the body frame."""
    return np.array([[pen.tip_right, pen.tip_down] for pen in pens], dtype=float).reshape(-1, 2)


def turned(tilt: Floats, tips: Floats) -> Floats:
    """Returns (n, 2) mm on the wall from the holder's centre to the tip, for tilts (n,) rad and tips (n, 2) mm of the
    body frame."""
    cos, sin = np.cos(tilt), np.sin(tilt)
    return np.column_stack([cos * tips[:, 0] - sin * tips[:, 1], sin * tips[:, 0] + cos * tips[:, 1]])


def holder_points(rig: CableRobotModel, points: Points, tips: Floats) -> Points:
    """Returns (n, 2) mm: the holder's centre when tips (n, 2), mm in the body frame, are at points (n, 2), mm.

    Where the body cannot hang the points are unchanged.
    """
    tilts = _Tilts(rig, points)
    centres = points
    for _ in range(ROUNDS):
        away = turned(tilts.at(centres), tips)
        centres = points - np.where(np.isfinite(away), away, 0.0)
    return centres


class _Tilts:
    """Tilt over the bounding box of some points: exact for few, interpolated for many."""

    def __init__(self, rig: CableRobotModel, points: Points) -> None:
        self._rig = rig
        self._grid: Floats | None = None
        if len(points) > FEW:
            low, high = bounds(points)
            axes = tuple(np.arange(low[i] - 2 * SPACING, high[i] + 3 * SPACING, SPACING) for i in (0, 1))
            grid = np.stack(np.meshgrid(*axes, indexing="ij"), axis=2)
            self._corner = grid[0, 0]
            self._grid = inverse_kinematics(rig, grid.reshape(-1, 2)).tilt.reshape(grid.shape[:2])

    def at(self, points: Points) -> Floats:
        """Returns (n,) rad."""
        if self._grid is None:
            return inverse_kinematics(self._rig, points).tilt
        tilt: Floats = map_coordinates(self._grid, ((points - self._corner) / SPACING).T, order=1, cval=np.nan)
        lost = ~np.isfinite(tilt)
        if lost.any():
            tilt[lost] = inverse_kinematics(self._rig, points[lost]).tilt
        return tilt


def holder_strokes(rig: CableRobotModel, strokes: Strokes, pens: Sequence[Pen]) -> Strokes:
    """Returns the path of the holder's centre along which each pen's tip draws these strokes. Without offsets the strokes
    are returned unchanged."""
    tips = tips_of(pens)
    if not len(strokes) or not tips[np.unique(strokes.pen)].any():
        return strokes
    strokes = _divided(strokes, np.asarray(tips.any(axis=1)))
    tip_of_point = tips[np.repeat(strokes.pen, np.diff(strokes.offsets))]
    off = tip_of_point.any(axis=1)
    points = strokes.points.copy()
    points[off] = holder_points(rig, points[off], tip_of_point[off])
    return replace(strokes, points=points)


def _divided(strokes: Strokes, is_off: Flags) -> Strokes:
    """Returns the strokes with no leg longer than LONGEST_LEG where is_off, (p,) bool, holds for the pen."""
    step = np.zeros_like(strokes.points)
    step[:-1] = np.diff(strokes.points, axis=0)
    step[strokes.offsets[1:] - 1] = 0.0
    pen = np.repeat(strokes.pen, np.diff(strokes.offsets))
    count = np.where(is_off[pen], np.maximum(np.ceil(np.hypot(*step.T) / LONGEST_LEG), 1), 1).astype(np.int64)
    index: Integers = np.repeat(np.arange(len(strokes.points)), count)
    before = np.concatenate([[0], np.cumsum(count)])
    share = (np.arange(len(index)) - before[index]) / count[index]
    points = strokes.points[index] + share[:, None] * step[index]
    return replace(strokes, points=points, offsets=before[strokes.offsets])


def corrected_tip(rig: CableRobotModel, pen: Pen, at: tuple[float, float], reading: tuple[float, float]) -> Pen:
    """Returns a pen with corrected offset. reading: how many mm right of and below the target its mark was; the target
    was drawn at a place (mm) by a pen without error."""
    tilt = inverse_kinematics(rig, np.array([at], dtype=float)).tilt
    right, down = turned(-tilt, np.array([reading], dtype=float))[0].tolist()
    return msgspec.structs.replace(pen, tip_right=pen.tip_right + right, tip_down=pen.tip_down + down)
