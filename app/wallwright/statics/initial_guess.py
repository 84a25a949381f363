"""Starting points for Newton: straight weightless belts, on an untilted body or on one whose tilt is found by scanning."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wallwright.document.arrays import Floats, Indices, Points
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.outer_force import no_force

SIDES = (-1.0, 1.0)
"""Sign of the outward direction of the left and right exit."""
TILTS = np.linspace(-1.35, 1.35, 28)
"""Scanned tilts, rad; fine enough that two balanced tilts between neighbours are very unlikely."""


@dataclass
class EquilibriumState:
    """Unknowns at n points."""

    tilt: Floats
    horizontal_force: Floats
    """(n,) N: H, the mean of both belts."""
    vertical_force: Floats
    """(2, n) N: V."""
    length: Floats
    """(2, n) mm: L."""
    outer: Floats
    """(n, 4): see outer_force."""

    @property
    def pulls(self) -> Floats:
        """(2, n) N: horizontal pull of the left and the right belt; their difference balances the outer force."""
        result: Floats = self.horizontal_force - np.array(SIDES)[:, None] * (self.outer[:, 0] / 2)
        return result


def straight_belt_guess(rig: CableRobotModel, pen: Points) -> EquilibriumState:
    """Returns the state of straight weightless belts on an untilted body. pen: (n, 2) mm."""
    n = len(pen)
    run, drop = np.empty((2, n)), np.empty((2, n))
    for i, out in enumerate(SIDES):
        run[i] = np.maximum(-out * (pen[:, 0] + rig.exits[i][0] - rig.anchors[i][0]), 1.0)
        drop[i] = pen[:, 1] + rig.exits[i][1] - rig.anchors[i][1]
    steep = np.maximum(drop[0] / run[0] + drop[1] / run[1], 1e-3)
    pull = rig.weight / steep
    return EquilibriumState(np.zeros(n), pull, pull * drop / run, np.hypot(run, drop), no_force(n))


def tilt_scan_guess(rig: CableRobotModel, pen: Points) -> tuple[EquilibriumState, Indices]:
    """Returns straight weightless belts at the smallest tilt that balances the moments, and (k,) indices of the pens that
    have one.

        pen: (n, 2) mm. The state holds the k points only. For points where the real tilt is too far from zero.
    """
    n, cos, sin = len(pen), np.cos(TILTS), np.sin(TILTS)
    run, drop = np.empty((2, n, len(TILTS))), np.empty((2, n, len(TILTS)))
    arms = []
    for i, out in enumerate(SIDES):
        ex, ey = rig.exits[i]
        arms.append((cos * ex - sin * ey, sin * ex + cos * ey))
        run[i] = -out * (pen[:, :1] + arms[i][0] - rig.anchors[i][0])
        drop[i] = pen[:, 1:] + arms[i][1] - rig.anchors[i][1]
    with np.errstate(divide="ignore", invalid="ignore"):
        slope = drop / run
        steep = slope.sum(axis=0)
        pull = np.where((run > 0).all(axis=0) & (steep > 0), rig.weight / steep, np.nan)
        moment = rig.weight * (cos * rig.centre[0] - sin * rig.centre[1])
        moment = moment + sum(-arm[0] * pull * slope[i] - SIDES[i] * arm[1] * pull for i, arm in enumerate(arms))
        balanced = moment[:, :-1] * moment[:, 1:] <= 0
    size = np.where(balanced, np.abs(TILTS[:-1] + TILTS[1:]), np.inf)
    found = np.flatnonzero(balanced.any(axis=1))
    at = np.argmin(size[found], axis=1)
    low, high = moment[found, at], moment[found, at + 1]
    tilt = TILTS[at] + (TILTS[1] - TILTS[0]) * low / np.where(low == high, 1.0, low - high)
    near = at + (np.abs(low) > np.abs(high))
    pull = pull[found, near]
    run, drop = run[:, found, near], drop[:, found, near]
    return EquilibriumState(tilt, pull, pull * drop / run, np.hypot(run, drop), no_force(len(found))), found
