"""Duration of travels from rest to rest: by the plan's own profile, on few samples or on all of them."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from wallwright.document.arrays import Floats, Points
from wallwright.document.columns import row_max
from wallwright.document.document import Document
from wallwright.motion.path import Runs, sample_runs
from wallwright.motion.path_constraints import motion_limits, path_grid, ramp_lengths
from wallwright.motion.swing import SwingField, initial_acceleration
from wallwright.motion.time_parameterization import MotionLimits, PathGrid, speed_limits, speed_profile
from wallwright.statics.belt_field import BeltField

NO_BELTS = MotionLimits(belt_acceleration=np.inf, mass=0.0, floor=0.0, pull=np.inf, corner_speed=np.inf)


class SampledCurves(NamedTuple):
    """k curves by n samples each."""

    points: Points
    """(k, n, 2) mm."""
    tangent: Floats
    """(k, n, 2): unit tangents."""
    curvature: Floats
    """(k, n) 1/mm: curvature, clockwise positive."""


class TravelTimer:
    """Times travels of one hanging, before their accelerations are reduced because of swing from neighbouring runs."""

    def __init__(self, document: Document, field: BeltField, swing: SwingField) -> None:
        """field, swing: over the box of the travels; slightly outside it they are accurate enough for comparisons."""
        self._document, self._field, self._swing = document, field, swing
        self._limits, self._bounds = document.machine.limits, motion_limits(document)

    def belts_run(self, ends: Points) -> Floats:
        """Returns (k,) s: shortest time of the belts for travels (k, 2, 2) mm on any path."""
        belts = self._field.belts(ends.reshape(-1, 2)).reshape(-1, 2, 2)
        result: Floats = row_max(np.abs(belts[:, 1] - belts[:, 0])) / self._limits.belt_speed
        return result

    def along_curves(self, curves: SampledCurves, belts: bool = True) -> Floats:
        """Returns (k,) s. belts: False ignores the limits of belts and motors."""
        limits = self._limits
        k, n = curves.curvature.shape
        points, tangent = curves.points.reshape(-1, 2), curves.tangent.reshape(-1, 2)
        bend = curves.curvature.ravel()
        step = np.zeros((k, n))
        step[:, :-1] = np.hypot(*np.moveaxis(np.diff(curves.points, axis=1), 2, 0))
        body = self._swing.at(points)
        push = initial_acceleration(limits.acceleration, limits.swing, body, tangent)
        # In a bend, centripetal acceleration swings the body too.
        normal = np.stack([-tangent[:, 1], tangent[:, 0]], axis=1)
        towards = initial_acceleration(limits.acceleration, limits.swing, body, normal)
        push = np.where(np.repeat(curves.curvature.any(axis=1), n), np.minimum(push, towards), push)
        after = np.append(np.arange(1, k * n), k * n - 1)
        slopes = self._field.slopes(points)
        grid = PathGrid(
            n * np.arange(k + 1),
            step.ravel(),
            np.full(k * n, limits.travel_speed**2),
            push,
            np.stack([tangent, tangent[after]], axis=1),
            np.stack([bend, bend[after]], axis=1),
            slopes.gradient,
            slopes.hessian,
            slopes.tension,
        )
        fast, bounds = (limits.belt_speed, self._bounds) if belts else (np.inf, NO_BELTS)
        square = speed_profile(
            grid._replace(max_speed_squared=speed_limits(grid, grid.max_speed_squared, fast, tangent)), bounds
        )
        return _seconds(grid, square)

    def along_lines(self, lines: list[Floats]) -> Floats:
        """Returns (k,) s along polylines, (n, 2) mm each, sampled as in the plan."""
        k = len(lines)
        offsets = np.concatenate([[0], np.cumsum([len(line) for line in lines])])
        runs = Runs(
            np.concatenate(lines), offsets, np.zeros(k, dtype=bool), np.full(k, -1), np.zeros(k, dtype=np.int64), ()
        )
        samples = sample_runs(runs, ramp=ramp_lengths(self._document, runs), tolerance=self._limits.corner_tolerance)
        limits, body = self._limits, self._swing.at(samples.points)
        push = initial_acceleration(limits.acceleration, limits.swing, body, samples.direction)
        grid = path_grid(self._document, self._field, runs, samples, push, 0, k)
        return _seconds(grid, speed_profile(grid, self._bounds))


def _seconds(grid: PathGrid, square: Floats) -> Floats:
    """Returns (k,) s of each run. square: (n,) v², mm²/s²."""
    speed = np.sqrt(square)
    both = speed + np.append(speed[1:], 0.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        took = np.where(grid.step > 0, 2 * grid.step / both, 0.0)
    return np.add.reduceat(took, grid.runs[:-1])
