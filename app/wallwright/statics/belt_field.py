"""Belt lengths and tensions interpolated over a rectangle of the wall: millions of points in well under a second.

The exact pose is solved on a grid. Belt lengths are interpolated with cubic splines; derivatives and tensions, which need
fewer digits, bilinearly. The largest belt length error is measured against exact poses midway between grid points, where
interpolation is worst, and the grid is refined until the error meets the tolerance. Where the body cannot hang nearby,
points are solved exactly instead.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.ndimage import binary_dilation, distance_transform_edt, map_coordinates, spline_filter

from wallwright.document.arrays import Flags, Floats, Points
from wallwright.document.columns import column_max, column_min
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.interpolation import bilinear
from wallwright.statics.pose import belts_by_pen, inverse_kinematics

TOLERANCE = 1e-3
"""Largest belt length error, mm: a tenth of a microstep of a typical machine."""
MARGIN = 2.0
"""Safety factor on the measured error, for the cells that are not evaluated."""
MOST_NODES = 400_000
MOST_FIRST = 100_000
"""Largest number of points of the first grid; a box of many metres gets a coarser one."""
ROOM = 8
"""Number of grid cells between the points and the grid's edge, or a place where the body cannot hang: far enough that
the spline's boundary and filled nodes have no effect (spline weights fall to 0.27 per cell)."""


@dataclass(frozen=True)
class BeltDerivatives:
    """Derivatives of both belts, and their tensions, at n points."""

    gradient: Floats
    """(n, 2, 2) mm/mm: belt, then derivative by x and by y."""
    hessian: Floats
    """(n, 2, 3) 1/mm: belt, then derivative by xx, xy, yy."""
    tension: Floats
    """(n, 2) N: tension at the exits."""


def bounds(points: Points) -> tuple[Floats, Floats]:
    """Returns the (2,) lowest and (2,) highest coordinates of (n, 2) points, in their unit, mm."""
    return column_min(points), column_max(points)


class BeltField:
    """Interpolated statics of one machine over the bounding box of some points."""

    def __init__(
        self, rig: CableRobotModel, points: Points, tolerance: float = TOLERANCE, spacing: float = 16.0
    ) -> None:
        """points: (n, 2) mm that the field must cover. spacing: of the first grid, mm."""
        self._rig = rig
        low, high = bounds(points)
        # A box of many metres starts with a coarser grid; what it misses is solved exactly.
        while np.prod((high - low) / spacing + 2 * ROOM) > MOST_FIRST:
            spacing *= 2
        while True:
            self._build(low, high, spacing)
            self.error = self._measured(low, high)
            size = np.prod((high - low) / spacing + 2 * ROOM)
            if self.error <= tolerance or size * 4 > MOST_NODES:
                break
            spacing /= 2
        # If the field misses the tolerance, every point is solved exactly.
        self.is_exact = not self.error <= tolerance

    def _build(self, low: Floats, high: Floats, spacing: float) -> None:
        self._low, self._spacing = low - ROOM * spacing, spacing
        shape = np.ceil((high - low) / spacing).astype(int) + 2 * ROOM + 1
        xs, ys = (self._low[i] + spacing * np.arange(shape[i]) for i in (0, 1))
        grid = np.stack(np.meshgrid(xs, ys, indexing="ij"), axis=2).reshape(-1, 2)
        pose = inverse_kinematics(self._rig, grid)
        with np.errstate(all="ignore"):
            first = belts_by_pen(self._rig, pose)
        bad = ~(pose.converged & np.isfinite(first).all(axis=(1, 2))).reshape(shape)
        nearest = distance_transform_edt(bad, return_distances=False, return_indices=True) if bad.any() else None

        def filled(values: Floats) -> Floats:
            values = values.reshape(*shape)
            return values[tuple(nearest)] if nearest is not None else values

        self._far = binary_dilation(bad, iterations=ROOM) if bad.any() else None
        self._belts = [spline_filter(filled(pose.belts[:, i]), order=3) for i in (0, 1)]
        fields = [filled(first[:, i, j]) for i in (0, 1) for j in (0, 1)]
        for i in (0, 1):
            fields += np.gradient(fields[2 * i], spacing)
            fields.append(np.gradient(fields[2 * i + 1], spacing, axis=1))
        fields += [filled(pose.exit_tension[:, i]) for i in (0, 1)]
        self._fields = np.stack(fields, axis=2)

    def _measured(self, low: Floats, high: Floats) -> float:
        """Returns a bound on the belt length error, mm: MARGIN times the largest error at up to 90 x 90 cell centres."""
        span = np.maximum(high - low, self._spacing)
        count = np.clip(np.ceil(span / self._spacing).astype(int), 1, 90)
        cells = [low[i] + span[i] * (np.arange(count[i]) + 0.5) / count[i] for i in (0, 1)]
        # Snapped to centres of grid cells.
        cells = [
            self._low[i] + self._spacing * (np.floor((c - self._low[i]) / self._spacing) + 0.5)
            for i, c in enumerate(cells)
        ]
        points = np.stack(np.meshgrid(*cells, indexing="ij"), axis=2).reshape(-1, 2)
        near = self._is_near(points)
        if not near.any():
            return np.inf
        exact = inverse_kinematics(self._rig, points[near]).belts
        error = np.abs(self._interpolated(points[near]) - exact)
        return MARGIN * float(np.max(error)) if np.isfinite(error).all() else np.inf

    def _places(self, points: Points) -> Floats:
        return ((points - self._low) / self._spacing).T

    def _is_near(self, points: Points) -> Flags:
        """Returns (n,) bool: the grid is valid there."""
        if self._far is None:
            return np.ones(len(points), dtype=bool)
        index = np.clip(np.rint(self._places(points)).astype(int), 0, np.array(self._far.shape)[:, None] - 1)
        result: Flags = ~self._far[tuple(index)]
        return result

    def _interpolated(self, points: Points) -> Floats:
        at = self._places(points)
        return np.column_stack([map_coordinates(b, at, order=3, prefilter=False, mode="nearest") for b in self._belts])

    def belts(self, points: Points) -> Floats:
        """Returns (n, 2) mm belt lengths; nan where the body cannot hang. points: (n, 2) mm inside the box given to the
        constructor."""
        if self.is_exact:
            return inverse_kinematics(self._rig, points).belts
        result = self._interpolated(points)
        far = ~self._is_near(points)
        if far.any():
            result[far] = inverse_kinematics(self._rig, points[far]).belts
        return result

    def slopes(self, points: Points) -> BeltDerivatives:
        """Returns the derivatives of the belts, and their tensions, at (n, 2) points. In mm."""
        n = len(points)
        values = bilinear(self._fields, (points - self._low) / self._spacing)
        first, second = values[:, :4].reshape(n, 2, 2).copy(), values[:, 4:10].reshape(n, 2, 3).copy()
        tension = values[:, 10:].copy()
        far = ~self._is_near(points)
        if far.any():
            pose = inverse_kinematics(self._rig, points[far])
            first[far], tension[far] = belts_by_pen(self._rig, pose), pose.exit_tension
        return BeltDerivatives(first, second, tension)
