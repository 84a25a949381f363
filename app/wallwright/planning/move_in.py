"""Moves artwork into the draw zone: the smallest move in whole mm, with a margin where there is room for one.

The zones of several hangings are combined: what any of them can draw is free.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from wallwright.document import edits
from wallwright.document.arrays import Flags, Floats, Integers
from wallwright.document.document import Document
from wallwright.document.machine import Machine
from wallwright.document.wall import Box, Point
from wallwright.planning.hanging_shares import between_anchors
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.draw_zone import DrawZone, compute_zone, wall_grid
from wallwright.statics.limits import TORQUE_RESERVE, broken
from wallwright.statics.pose import inverse_kinematics

MARGIN = 10.0
"""Distance between artwork and the zone's edge, mm: pens, anchors and eyes are not exact."""
ZONE_POINTS = 9000
PLACING_RESERVE = 1.04 * TORQUE_RESERVE
"""Motor reserve, as a ratio, where the program itself places something: slightly more than the check recommends, since
motion needs slightly more pull than the body at rest."""
FINEST_GRID = 5.0
"""Least distance of grid points, mm: finer grids only cost time."""


def machine_with_reserve(machine: Machine, reserve: float = PLACING_RESERVE) -> Machine:
    """Returns the machine with its motors weakened by a reserve."""
    return edits.with_field(machine, "motor.usable", machine.motor.usable / reserve)


def zone_with_reserve(
    document: Document, hanging: int, points: int = ZONE_POINTS, reserve: float = PLACING_RESERVE
) -> DrawZone:
    """Returns the zone of a hanging in which the motors keep a reserve."""
    machine = machine_with_reserve(document.machine, reserve)
    return compute_zone(document.wall, machine, document.hangings[hanging], points=points)


@dataclass(frozen=True)
class FreeSpace:
    """Free room on the wall, on a grid with rows of y and columns of x."""

    x: Floats
    """(c,) mm, evenly spaced."""
    y: Floats
    """(r,) mm, evenly spaced."""
    is_free: Flags
    """(r, c)."""

    @staticmethod
    def of_zone(zone: DrawZone) -> FreeSpace:
        """Returns the inside of a draw zone."""
        return FreeSpace(zone.x, zone.y, zone.bits == 0)

    @staticmethod
    def of_hangings(document: Document, machine: Machine, points: int = ZONE_POINTS) -> FreeSpace:
        """Returns what at least one of the hangings can draw. points: number of grid points for each hanging."""
        wall = document.wall
        area = wall.width * wall.height / (points * len(document.hangings))
        x, y = wall_grid(wall, max(FINEST_GRID, math.sqrt(area)))
        is_free = np.zeros((len(y), len(x)), dtype=bool)
        for hanging in document.hangings:
            columns = np.flatnonzero(between_anchors(machine, hanging, x))
            if len(columns):
                rig = CableRobotModel.of(machine, hanging)
                grid = np.stack(np.meshgrid(x[columns], y), axis=2).reshape(-1, 2)
                bits = broken(wall, machine, rig, inverse_kinematics(rig, grid))
                is_free[:, columns] |= bits.reshape(len(y), -1) == 0
        return FreeSpace(x, y, is_free)

    def without(self, boxes: Iterable[Box]) -> FreeSpace:
        """Returns the same without what boxes cover, mm."""
        is_free = self.is_free.copy()
        for left, top, right, bottom in boxes:
            rows, columns = (self.y > top) & (self.y < bottom), (self.x > left) & (self.x < right)
            is_free[np.ix_(rows, columns)] = False
        return FreeSpace(self.x, self.y, is_free)

    @functools.cached_property
    def _counts(self) -> Integers:
        """(r + 1, c + 1) number of free points above and to the left of each."""
        total = np.zeros((len(self.y) + 1, len(self.x) + 1), dtype=np.int64)
        total[1:, 1:] = self.is_free.cumsum(axis=0).cumsum(axis=1)
        return total

    def nearest(self, box: Box) -> Point | None:
        """Returns the smallest move that puts a box entirely on free grid points, mm; None if it fits nowhere."""
        total = self._counts
        dx, dy = self.x[1] - self.x[0], self.y[1] - self.y[0]
        # A box covers at most this many grid points in each direction, plus one for its position between them.
        columns, rows = int(np.ceil((box[2] - box[0]) / dx)) + 1, int(np.ceil((box[3] - box[1]) / dy)) + 1
        if rows > len(self.y) or columns > len(self.x):
            return None
        count = total[rows:, columns:] - total[:-rows, columns:] - total[rows:, :-columns] + total[:-rows, :-columns]
        r, c = np.nonzero(count == rows * columns)
        if not len(r):
            return None
        # The box may lie anywhere between the first and last of its grid points.
        slack_x, slack_y = (columns - 1) * dx - (box[2] - box[0]), (rows - 1) * dy - (box[3] - box[1])
        move_x = _to_range(self.x[c] - box[0], slack_x)
        move_y = _to_range(self.y[r] - box[1], slack_y)
        best = int(np.argmin(np.hypot(move_x, move_y)))
        return float(move_x[best]), float(move_y[best])


def _to_range(low: Floats, slack: float) -> Floats:
    """Returns the smallest move between low and low + slack."""
    return np.where(low > 0, low, np.where(low + slack < 0, low + slack, 0.0))


@dataclass(frozen=True)
class MarginedZone:
    """Draw zones of all hangings, searched for room with a margin and the motors' reserve, then with less."""

    tried: tuple[tuple[FreeSpace, float], ...]
    """Free space and margin, mm, of each search, the best first."""

    @staticmethod
    def of(document: Document) -> MarginedZone:
        """Returns the zones of a document's hangings."""
        plain = FreeSpace.of_hangings(document, document.machine)
        spared = FreeSpace.of_hangings(document, machine_with_reserve(document.machine))
        return MarginedZone(((spared, MARGIN), (plain, MARGIN), (plain, 0.0)))

    @property
    def best_first(self) -> tuple[MarginedZone, ...]:
        """The searches, each alone, the best first."""
        return tuple(MarginedZone((one,)) for one in self.tried)

    def nearest(self, box: Box, beside: Iterable[Box] = ()) -> Point | None:
        """Returns the smallest move of a box into it, whole mm; None if it does not fit even without a margin. beside:
        boxes that it must not cover, mm."""
        left, top, right, bottom = box
        taken = tuple(beside)
        for space, margin in self.tried:
            around = (left - margin, top - margin, right + margin, bottom + margin)
            move = space.without(taken).nearest(around) if taken else space.nearest(around)
            if move is not None:
                return (_away_from_zero(move[0]), _away_from_zero(move[1])) if margin else move
        return None


def _away_from_zero(value: float) -> float:
    """Returns the value in whole mm, rounded away from 0: the margin has room for it."""
    return float(math.copysign(math.ceil(abs(value) - 1e-6), value)) if value else 0.0
