"""The path in a controller's coordinates, subdivided so that the pen stays on its line between points.

A controller joins two points by a straight line in its own coordinates. On the wall that line is slightly bent. Its largest
deviation is measured at the middle of each leg, and legs are divided until it is within the path tolerance.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from wallwright.document.arrays import Flags, Floats, Integers, Points
from wallwright.document.document import Document
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.document.origin import left_anchor
from wallwright.document.wall import Hanging
from wallwright.motion.friction import TAKE_UP_PAUSE, larger_load, take_up_seconds
from wallwright.motion.path import Runs
from wallwright.motion.path_constraints import LEAST_SPEED, pen_speed
from wallwright.motion.plan import Motion
from wallwright.statics.belt_field import BeltField
from wallwright.statics.controller_kinematics import ControllerKind, belts_to_controller
from wallwright.statics.drag_field import LOAD_COLUMNS, DraggedBelts

TOLERANCE_SHARE = 0.5
"""Share of the tolerance that a division aims at, since the error of a divided leg is only approximately quadratic."""
MOST_ROUNDS = 6
PLANE_STRAIN = 1.1
"""Largest ratio of lengths on the wall to those in the plane of the controller's formula, which is distorted by a few per
cent."""


@dataclass(frozen=True)
class ControllerPath:
    """Runs as points in a controller's coordinates."""

    kind: ControllerKind
    points: Points
    """(n, 2) points in the wall frame, mm."""
    values: Floats
    """(n, 2) the same in the controller's coordinates, mm."""
    belts: Floats
    """(n, 2) true belt lengths, mm."""
    runs: Integers
    """(k + 1,) first point of each run."""
    down: Flags
    stroke: Integers
    pen: Integers
    time: Floats | None
    """(n,) time at each point, s; None when the controller gets no times."""
    bend: float
    """Largest measured deviation of the pen from its straight line between points, mm."""
    centre: Floats | None = None
    """(n, 2) centre of the arc, less than a half turn, that ends at each point, in the controller's coordinates, mm; nan for
    a straight line. None: no arcs."""
    took: Floats | None = None
    """(n,) duration of the move to each point, s. None: from `time`, or the speeds of pen and belts."""
    load: Floats | None = None
    """(n, 4) friction on pen and feet that the values are corrected for, N; None: none."""
    settling: Floats | None = None
    """(k,) wait before each run for the swing to fade, s; None: no waits."""

    @property
    def waits(self) -> Integers:
        """(m,) indices of runs before which the machine waits for the swing to fade."""
        return np.flatnonzero(self.down & (self.settling > 0)) if self.settling is not None else np.zeros(0, dtype=int)

    @property
    def takes_up(self) -> Flags:
        """(n,) bool: the pen rests during the move to this point, which adapts the belts to another friction."""
        found = np.zeros(len(self.points), dtype=bool)
        if self.load is not None:
            found[1:] = (np.diff(self.points, axis=0) == 0).all(axis=1) & (np.diff(self.load, axis=0) != 0).any(axis=1)
            found[self.runs[:-1]] = False
        return found

    @property
    def take_ups(self) -> tuple[Integers, Integers]:
        """(m,) indices each: end points of the first and last move of every take-up."""
        takes_up = self.takes_up
        before, after = np.append(False, takes_up[:-1]), np.append(takes_up[1:], False)
        return np.flatnonzero(takes_up & ~before), np.flatnonzero(takes_up & ~after)

    @property
    def lengths(self) -> Floats:
        """(n,) length of the move that ends at each point, in the controller's coordinates, mm; nan at the first."""
        length = np.full(len(self.values), np.nan)
        length[1:] = np.hypot(*np.diff(self.values, axis=0).T)
        if self.centre is not None:
            arc = np.flatnonzero(~np.isnan(self.centre[:, 0]))
            radius = np.hypot(*(self.values[arc] - self.centre[arc]).T)
            length[arc] = 2 * radius * np.arcsin(np.minimum(length[arc] / (2 * radius), 1.0))
        return length


def controller_coordinates(
    document: Document,
    hanging: Hanging,
    runs: Runs,
    belts: DraggedBelts,
    kind: ControllerKind,
    time: Floats | None = None,
    load: Floats | None = None,
    progress: Callable[[float], None] = lambda done: None,
) -> ControllerPath:
    """Converts runs to a controller's coordinates. kind: "belts" or "plane"; time: (n,) s and load: (n, 4) N at the runs'
    points.

    Raises BadValue where the controller's formula has no point for the true belt lengths: near the line between the
    anchors, two belts to one point are longer than those to a body of some width.
    """
    tolerance = document.settings.path_tolerance
    machine = document.machine

    def values_of(points: Points, load: Floats) -> Floats:
        return belts_to_controller(machine, hanging, kind, belts.at(points, load))

    points, first = runs.points, runs.runs
    force = np.zeros((len(points), LOAD_COLUMNS)) if load is None else load
    bend = 0.0
    for round_ in range(MOST_ROUNDS):
        progress(round_ / MOST_ROUNDS)
        values = values_of(points, force)
        nowhere = ~np.isfinite(values).all(axis=1)
        if nowhere.any():
            x, y = map(float, points[int(np.argmax(nowhere))])
            raise BadValue(
                tr(
                    "With the pen {0}, the controller's formula cannot reach the belt lengths.",
                    left_anchor(document, hanging).text(x, y),
                )
            )
        leg = np.ones(len(points), dtype=bool)
        leg[first[1:] - 1] = False
        start = np.flatnonzero(leg)
        error = np.zeros(len(points))
        error[start] = _bend(belts.field, kind, points, force, values, start, values_of)
        bend = float(error.max(initial=0.0))
        if bend <= tolerance:
            break
        count = np.where(leg, np.maximum(np.ceil(np.sqrt(error / (TOLERANCE_SHARE * tolerance))), 1), 1).astype(
            np.int64
        )
        index = np.repeat(np.arange(len(points)), count)
        within = np.arange(len(index)) - np.repeat(np.cumsum(count) - count, count)
        step = np.zeros_like(points)
        step[start] = points[start + 1] - points[start]
        moved = np.concatenate([[0], np.cumsum(count)])
        share = within / count[index]
        points = points[index] + share[:, None] * step[index]
        if load is not None:
            step = np.zeros_like(force)
            step[start] = force[start + 1] - force[start]
            force = force[index] + share[:, None] * step[index]
        else:
            force = np.zeros((len(points), LOAD_COLUMNS))
        if time is not None:
            took = np.zeros(len(time))
            took[start] = time[start + 1] - time[start]
            time = time[index] + share * took[index]
        first = moved[first]
    return ControllerPath(
        kind,
        points,
        values,
        belts.at(points, force),
        first,
        runs.down,
        runs.stroke,
        runs.pen,
        time,
        bend,
        load=None if load is None else force,
    )


def move_seconds(document: Document, motion: Motion, path: ControllerPath) -> Floats:
    """Returns (n,) the duration of the move to each point, s, with the pen down never slower than LEAST_SPEED; nan where no
    move ends. The stops around a take-up are not included."""
    if path.took is not None:
        return path.took
    run = np.repeat(np.arange(len(path.down)), np.diff(path.runs))
    wall = np.full(len(run), np.nan)
    wall[1:] = np.hypot(*np.diff(path.points, axis=0).T)
    if path.time is not None:
        took = np.diff(path.time, prepend=np.nan)
        for stops in path.take_ups:
            took[stops] -= TAKE_UP_PAUSE
    else:
        limits = document.machine.limits
        speed = pen_speed(document, path.down, path.pen)
        if document.machine.controller.pacing == "constant":
            speed = np.minimum(speed, motion.speed[motion.runs[:-1]])
        belts = np.full(len(wall), np.nan)
        belts[1:] = np.abs(np.diff(path.belts, axis=0)).max(axis=1)
        # The slowest of pen and belts determines the time.
        took = np.fmax(wall / speed[run], belts / limits.belt_speed)
        first, last = path.take_ups
        if path.load is not None and len(first):
            load = larger_load(path.load, first - 1, last)
            whole = take_up_seconds(path.belts[last] - path.belts[first - 1], load, document.machine)
            moves = last - first + 1
            took[path.takes_up] = np.repeat(whole / moves, moves)
    took = np.where(path.down[run] & ~path.takes_up, np.minimum(took, wall / LEAST_SPEED), took)
    took[path.runs[:-1]] = np.nan
    return took


def _bend(
    field: BeltField,
    kind: ControllerKind,
    points: Points,
    load: Floats,
    values: Floats,
    start: Integers,
    values_of: Callable[[Points, Floats], Floats],
) -> Floats:
    """Returns the distance on the wall between each leg's middle and the middle of the controller's straight line, mm."""
    middle = (points[start] + points[start + 1]) / 2
    off = values_of(middle, (load[start] + load[start + 1]) / 2) - (values[start] + values[start + 1]) / 2
    if kind == "plane":
        return np.hypot(off[:, 0], off[:, 1]) * PLANE_STRAIN
    first = field.slopes(middle).gradient
    det = first[:, 0, 0] * first[:, 1, 1] - first[:, 0, 1] * first[:, 1, 0]
    x = (first[:, 1, 1] * off[:, 0] - first[:, 0, 1] * off[:, 1]) / det
    y = (first[:, 0, 0] * off[:, 1] - first[:, 1, 0] * off[:, 0]) / det
    return np.hypot(x, y)
