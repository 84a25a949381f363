"""The shortest time along a path by toppra (Pham and Pham 2018), with the machine's limits at the same points.

A path is given by its exact curve: straight pieces and arcs, or a smooth curve by points dense enough for a spline. Belts
come from the exact statics, differentiated here by a spline along each piece of constant curvature.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import toppra
import toppra.algorithm
import toppra.constraint
from scipy.interpolate import CubicSpline
from toppra.interpolator import AbstractGeometricPath

from wallwright.document.limits import Limits
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.pose import inverse_kinematics

toppra.setup_logging("ERROR")


@dataclass(frozen=True)
class Piece:
    """A smooth part of a path, parametrised by arc length."""

    points: CubicSpline
    """Arc length to (2,) mm."""
    length: float


def smooth(points: np.ndarray) -> Piece:
    """Returns a spline through (n, 2) points by arc length (chords, refined until they converge)."""
    t = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    curve = CubicSpline(t, points)
    fine = np.linspace(0, t[-1], 10 * len(points))
    arc = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(curve(fine), axis=0).T))])
    return Piece(CubicSpline(arc, curve(fine)), float(arc[-1]))


def line(a, b) -> Piece:
    a, b = np.array(a, dtype=float), np.array(b, dtype=float)
    length = float(np.hypot(*(b - a)))
    return Piece(CubicSpline([0, length / 2, length], [a, (a + b) / 2, b]), length)


class Belts(AbstractGeometricPath):
    """The joints (arc length, left belt, right belt) along a path of pieces."""

    def __init__(self, rig: CableRobotModel, pieces: list[Piece], step: float) -> None:
        self.ends = np.concatenate([[0], np.cumsum([p.length for p in pieces])])
        self._belts, grids, curvature = [], [], []
        for piece, start in zip(pieces, self.ends[:-1], strict=True):
            grid = np.linspace(0, piece.length, max(16, int(np.ceil(piece.length / step))))
            self._belts.append(CubicSpline(grid, inverse_kinematics(rig, piece.points(grid)).belts))
            grids.append(start + grid[:-1])
            curvature.append(np.hypot(*piece.points(grid, 2).T))
        self.grid = np.append(np.concatenate(grids), self.ends[-1])
        # At a joint the more restrictive piece limits the speed.
        self.curvature = np.concatenate([c[:-1] for c in curvature] + [curvature[-1][-1:]])
        joints = np.cumsum([len(g) for g in grids])[:-1]
        for joint, before in zip(joints, curvature[:-1], strict=True):
            self.curvature[joint] = max(self.curvature[joint], before[-1])

    @property
    def dof(self) -> int:
        return 3

    @property
    def path_interval(self) -> np.ndarray:
        return np.array([0.0, self.ends[-1]])

    def __call__(self, s, order: int = 0) -> np.ndarray:
        at = np.atleast_1d(s)
        which = np.clip(np.searchsorted(self.ends, at, side="right") - 1, 0, len(self._belts) - 1)
        found = np.empty((len(at), 3))
        found[:, 0] = at if order == 0 else 1.0 if order == 1 else 0.0
        for i in np.unique(which):
            here = which == i
            found[here, 1:] = self._belts[i](at[here] - self.ends[i], order)
        return found if np.ndim(s) else found[0]


def optimum(rig: CableRobotModel, limits: Limits, pieces: list[Piece], speed: float, step: float = 0.5) -> float:
    """Returns the time from rest to rest, s. speed: of the pen, mm/s; step: distance of grid points, mm."""
    path = Belts(rig, pieces, min(step, sum(p.length for p in pieces) / 800))
    cap = np.minimum(speed, np.sqrt(limits.acceleration / np.maximum(path.curvature, 1e-12)))
    fast = np.column_stack([cap, *[np.full(len(cap), limits.belt_speed)] * 2])
    push = np.array([limits.acceleration, limits.belt_acceleration, limits.belt_acceleration])

    def at(s: float) -> np.ndarray:
        top = fast[np.clip(np.searchsorted(path.grid, s - 1e-9), 0, len(cap) - 1)]
        return np.column_stack([-top, top])

    found = toppra.algorithm.TOPPRA(
        [
            toppra.constraint.JointVelocityConstraintVarying(at),
            toppra.constraint.JointAccelerationConstraint(np.column_stack([-push, push])),
        ],
        path,
        gridpoints=path.grid,
        solver_wrapper="seidel",
        parametrizer="ParametrizeConstAccel",
    )
    _, speeds, _ = found.compute_parameterization(0.0, 0.0)
    return float((2 * np.diff(path.grid) / (speeds[1:] + speeds[:-1])).sum())


def strains(
    rig: CableRobotModel, limits: Limits, pieces: list[Piece], speed: float, at: np.ndarray, v: np.ndarray
) -> dict[str, float]:
    """Returns the largest share of each limit that a motion uses, on a grid ten times finer than its own.

    at: (n,) mm along the path; v: (n,) mm/s there; constant acceleration in between.
    """
    path = Belts(rig, pieces, 0.5)
    at = at * (path.ends[-1] / at[-1])  # the polyline is shorter than its curve by a few ppm
    x = v * v
    u = np.diff(x) / (2 * np.diff(at))
    share = (np.arange(10) + 0.5) / 10
    s = (at[:-1, None] + share * np.diff(at)[:, None]).ravel()
    x = (x[:-1, None] + share * np.diff(x)[:, None]).ravel()
    u = np.repeat(u, 10)
    first, second = path(s, 1)[:, 1:], path(s, 2)[:, 1:]
    which = np.clip(np.searchsorted(path.ends, s, side="right") - 1, 0, len(pieces) - 1)
    bend = np.empty(len(s))
    for i in np.unique(which):
        bend[which == i] = np.hypot(*pieces[i].points(s[which == i] - path.ends[i], 2).T)
    return {
        "pen speed": float(np.sqrt(x).max() / speed),
        "pen acceleration": float(np.abs(u).max() / limits.acceleration),
        "centre acceleration": float((bend * x).max() / limits.acceleration),
        "belt speed": float((np.abs(first) * np.sqrt(x)[:, None]).max() / limits.belt_speed),
        "belt acceleration": float(np.abs(first * u[:, None] + second * x[:, None]).max() / limits.belt_acceleration),
    }
