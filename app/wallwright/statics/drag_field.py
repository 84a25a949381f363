"""Effect of friction on belts and tensions, interpolated over a rectangle of the wall: millions of points at once.

Belts and tensions are smooth functions of the forces. At every node of a grid they are solved for several forces, and a
polynomial in the forces is fitted to the differences from the body without friction; its coefficients are interpolated over
the wall. The largest belt error is measured between the nodes, at forces that were not fitted; if it exceeds the tolerance,
every point is solved exactly. The error of tension, which only limits use, is not measured.
"""

from __future__ import annotations

import itertools

import numpy as np

from wallwright.document.arrays import Floats, Points
from wallwright.statics.belt_field import BeltField, bounds
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.interpolation import bilinear
from wallwright.statics.outer_force import outer_force
from wallwright.statics.pose import Pose, inverse_kinematics

TOLERANCE = 0.02
"""Largest belt length error, mm: less than the uncertainty of any measured friction."""
MARGIN = 1.5
"""Safety factor on the measured error, for forces and places that are not tested."""
SPACING = 48.0
"""Grid spacing, mm; larger over a box of many metres."""
MOST_NODES = 10_000
"""Largest number of grid nodes: larger boxes get a coarser grid."""
LEAST_NODES = 4
"""Smallest number of nodes along a side."""
DEGREE = 3
"""Degree of the polynomial. At forces of a twentieth of the weight it is accurate to a few thousandths of a millimetre."""
FITTED = 1.5
"""Number of forces fitted per coefficient."""
TRIED = 100
"""Number of places at which the error is measured."""
LOAD_COLUMNS = 4
"""Number of load columns: force on the pen, right and down, and force on the feet, right and down, N."""


class DragField:
    """Interpolated effect of friction for one machine over the bounding box of some points."""

    def __init__(self, rig: CableRobotModel, points: Points, pen: float, feet: float) -> None:
        """points: (n, 2) mm that the field must cover. pen, feet: largest force on the pen tip and on the feet, N; the
        feet's acts at the centre of mass."""
        self._rig = rig
        self._largest = np.array([pen, pen, feet, feet])
        self._active = np.flatnonzero(self._largest > 0)
        self._powers = [
            p for p in itertools.product(range(DEGREE + 1), repeat=len(self._active)) if 0 < sum(p) <= DEGREE
        ]
        low, high = bounds(points)
        spacing = SPACING
        while np.prod((high - low) / spacing + LEAST_NODES) > MOST_NODES:
            spacing *= 1.25
        self._build(low, high, spacing)
        self.error = self._measured(low, high)
        """Bound on the measured belt length error, mm."""
        self.is_exact = not self.error <= TOLERANCE

    def changes(self, points: Points, load: Floats) -> tuple[Floats, Floats]:
        """Returns (n, 2) mm and (n, 2) N: how much belts and tensions differ from those of the body without friction.
        points: (n, 2) mm inside the box; load: (n, 4) N. nan where the body cannot hang."""
        result = np.zeros((len(points), 4))
        pushed = np.flatnonzero(load.any(axis=1))
        if len(pushed):
            here = self._exact if self.is_exact else self._interpolated
            result[pushed] = here(points[pushed], load[pushed])
        return result[:, :2], result[:, 2:]

    def _build(self, low: Floats, high: Floats, spacing: float) -> None:
        count = np.maximum(np.ceil((high - low) / spacing).astype(int), LEAST_NODES - 1) + 1
        self._low, self._spacing = low, np.maximum(high - low, 1.0) / (count - 1)
        xs, ys = (low[i] + self._spacing[i] * np.arange(count[i]) for i in (0, 1))
        nodes = np.stack(np.meshgrid(xs, ys, indexing="ij"), axis=2).reshape(-1, 2)
        random = np.random.default_rng(1)
        loads = self._spread(int(FITTED * len(self._powers)), random)
        inverse = np.linalg.pinv(self._monomials(loads))
        self._still = _belts_and_tension(inverse_kinematics(self._rig, nodes))
        values = np.stack([self._against_still(nodes, load) for load in loads])
        found = np.einsum("cl,lnk->nck", inverse, values)
        self._fields = np.ascontiguousarray(found.reshape(*count, -1))

    def _spread(self, count: int, random: np.random.Generator) -> Floats:
        """Returns (count, 4) N: forces inside and on the friction discs."""
        load = np.zeros((count, LOAD_COLUMNS))
        for first in (0, 2):
            if first == 0:  # the golden ratio spreads the pen's directions evenly
                angle = 2 * np.pi * (np.arange(count) * 0.618034 + random.uniform())
            else:
                angle = random.uniform(0, 2 * np.pi, count)
            # Mostly on the edge, where the friction of a moving pen lies.
            share = np.where(np.arange(count) % 3 == 0, 0.5, 1.0)
            load[:, first] = share * np.cos(angle) * self._largest[first]
            load[:, first + 1] = share * np.sin(angle) * self._largest[first]
        return load

    def _monomials(self, load: Floats) -> Floats:
        """Returns the (n, c) monomials of the forces relative to the largest."""
        scaled = load[:, self._active] / self._largest[self._active]
        powers = [np.ones_like(scaled)]
        for _ in range(DEGREE):
            powers.append(powers[-1] * scaled)
        result = np.ones((len(load), len(self._powers)))
        for k, p in enumerate(self._powers):
            for i, power in enumerate(p):
                if power:
                    result[:, k] *= powers[power][:, i]
        return result

    def _against_still(self, nodes: Points, load: Floats) -> Floats:
        """Returns (n, 4): exact differences from the body without friction, at nodes under one load, (4,)."""
        pushed = inverse_kinematics(self._rig, nodes, self._outer(np.broadcast_to(load, (len(nodes), LOAD_COLUMNS))))
        return _belts_and_tension(pushed) - self._still

    def _outer(self, load: Floats) -> Floats:
        return outer_force(load[:, :2]) + outer_force(load[:, 2:], self._rig.centre)

    def _exact(self, points: Points, load: Floats) -> Floats:
        still = _belts_and_tension(inverse_kinematics(self._rig, points))
        return _belts_and_tension(inverse_kinematics(self._rig, points, self._outer(load))) - still

    def _interpolated(self, points: Points, load: Floats) -> Floats:
        fields = bilinear(self._fields, (points - self._low) / self._spacing)
        fields = fields.reshape(len(points), len(self._powers), 4)
        found: Floats = np.einsum("nc,nck->nk", self._monomials(load), fields)
        return found

    def _measured(self, low: Floats, high: Floats) -> float:
        """Returns a bound on the belt length error, mm."""
        random = np.random.default_rng(2)
        points = random.uniform(low, np.maximum(high, low + 1e-6), (TRIED, 2))
        cells = np.floor((points - self._low) / self._spacing) + 0.5
        points = np.minimum(self._low + cells * self._spacing, high)
        load = self._spread(len(points), random)
        error = np.abs(self._interpolated(points, load) - self._exact(points, load))[:, :2]
        return MARGIN * float(error.max()) if np.isfinite(error).all() else np.inf


class DraggedBelts:
    """Belt lengths of a body with friction on the wall, over the bounding box of some points."""

    def __init__(self, rig: CableRobotModel, points: Points, pen: float = 0.0, feet: float = 0.0) -> None:
        """points: (n, 2) mm; pen, feet: largest friction of each, N; 0 and 0: none."""
        self.field = BeltField(rig, points)
        self._drag = DragField(rig, points, pen, feet) if pen > 0 or feet > 0 else None

    def at(self, points: Points, load: Floats) -> Floats:
        """(n, 2) mm; nan where the body cannot hang. points: (n, 2) mm inside the box; load: (n, 4) N."""
        belts = self.field.belts(points)
        return belts if self._drag is None else belts + self._drag.changes(points, load)[0]


def _belts_and_tension(pose: Pose) -> Floats:
    """Returns (n, 4): belt lengths, mm, and tensions, N."""
    return np.column_stack([pose.belts, pose.exit_tension])
