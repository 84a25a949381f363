"""Moving artwork into the draw zone: the smallest move in whole mm that also keeps a margin, where there is room for one."""

from __future__ import annotations

import copy
import math

import numpy as np

from wallwright.document import edits
from wallwright.document.arrays import Floats
from wallwright.document.document import Document
from wallwright.document.machine import Machine
from wallwright.document.wall import Box, Point
from wallwright.statics.draw_zone import DrawZone, compute_zone
from wallwright.statics.limits import TORQUE_RESERVE

MARGIN = 10.0
"""mm between artwork and the zone's edge: pens, anchors and eyes are not exact."""
ZONE_POINTS = 9000
PLACING_RESERVE = 1.04 * TORQUE_RESERVE
"""Pull that motors have over what is asked where the program itself places something: a little more than the check wants,
since a motion pulls a little harder than the body at rest."""


def machine_with_reserve(machine: Machine) -> Machine:
    """A machine whose motors lose steps where the real ones still have the reserve for placing."""
    return edits.with_field(machine, "motor.usable", machine.motor.usable / PLACING_RESERVE)


def zone_with_reserve(document: Document, hanging: int, points: int = ZONE_POINTS) -> DrawZone:
    """The zone of a hanging in which the motors keep the reserve that they should have, and a little more."""
    spared = machine_with_reserve(document.machine)
    return compute_zone(document.wall, spared, document.hangings[hanging], points=points)


def nearest_fit(zone: DrawZone, box: Box) -> Point | None:
    """Smallest move that puts a box wholly on grid points inside the zone, mm; None where it fits nowhere."""
    inside = (zone.bits == 0).astype(np.int64)
    total = np.zeros((inside.shape[0] + 1, inside.shape[1] + 1), dtype=np.int64)
    total[1:, 1:] = inside.cumsum(axis=0).cumsum(axis=1)
    dx, dy = zone.x[1] - zone.x[0], zone.y[1] - zone.y[0]
    # A box covers at most this many grid points each way, one more for where it falls between.
    columns, rows = int(np.ceil((box[2] - box[0]) / dx)) + 1, int(np.ceil((box[3] - box[1]) / dy)) + 1
    if rows > inside.shape[0] or columns > inside.shape[1]:
        return None
    count = total[rows:, columns:] - total[:-rows, columns:] - total[rows:, :-columns] + total[:-rows, :-columns]
    r, c = np.nonzero(count == rows * columns)
    if not len(r):
        return None
    # The box may lie anywhere between the first and last of its grid points.
    slack_x, slack_y = (columns - 1) * dx - (box[2] - box[0]), (rows - 1) * dy - (box[3] - box[1])
    move_x = _to_range(zone.x[c] - box[0], slack_x)
    move_y = _to_range(zone.y[r] - box[1], slack_y)
    best = int(np.argmin(np.hypot(move_x, move_y)))
    return float(move_x[best]), float(move_y[best])


def _to_range(low: Floats, slack: float) -> Floats:
    """The smallest move between low and low + slack."""
    return np.where(low > 0, low, np.where(low + slack < 0, low + slack, 0.0))


class MarginedZone:
    """The draw zone of one hanging, asked for room with a margin and the motors' reserve, then with less."""

    def __init__(self, document: Document, hanging: int = 0) -> None:
        place = document.hangings[hanging]
        plain = compute_zone(document.wall, document.machine, place, points=ZONE_POINTS)
        spared = zone_with_reserve(document, hanging)
        self._tried: tuple[tuple[DrawZone, float], ...] = ((spared, MARGIN), (plain, MARGIN), (plain, 0.0))

    @property
    def best_first(self) -> tuple[MarginedZone, ...]:
        """What it asks for one by one, the best first."""
        parts = []
        for one in self._tried:
            part = copy.copy(self)
            part._tried = (one,)
            parts.append(part)
        return tuple(parts)

    def nearest(self, box: Box) -> Point | None:
        """Smallest move of a box into it, whole mm; None where it does not fit even without a margin."""
        for zone, margin in self._tried:
            left, top, right, bottom = box
            move = nearest_fit(zone, (left - margin, top - margin, right + margin, bottom + margin))
            if move is not None:
                return (_away_from_zero(move[0]), _away_from_zero(move[1])) if margin else move
        return None


def _away_from_zero(value: float) -> float:
    """In whole mm, never less far: the margin has room for the rest."""
    return float(math.copysign(math.ceil(abs(value) - 1e-6), value)) if value else 0.0
