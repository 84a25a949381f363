"""Points along a path between which moves at constant speed approximate a changing speed.

A controller is given one feed per move. Where the plan's speed changes at a constant rate, moves at constant speeds form a
staircase of jumps dv. Each jump shakes the body, which bounces on its belts at a frequency f, by dv / 2πf. Jumps at equal
intervals T add up, as phasors at equal angles, to at most

    dv / (2πf |sin(πfT)|)

Half a period apart, each cancels the one before; a whole period apart, they grow. The body has two bounce modes, f1 < f2.
With T = LONGEST / f2 the sine is at least 0.7 for both, and dv is bounded for the slower one.
"""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Flags, Floats, Integers, Points
from wallwright.document.compiled import compiled_dividing_by_zero
from wallwright.document.document import Document
from wallwright.motion.lead import swing_bounds
from wallwright.motion.plan import Motion, pen_of_runs
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.pose import inverse_kinematics
from wallwright.statics.swing_modes import inertia_of, swing_modes

LONGEST = 0.75
"""Longest move, in periods of the faster bounce mode: the sine is 0.7 for that mode, and larger for the slower one,
whose period is less than twice as long."""
LEAST_SINE = np.sin(np.pi * LONGEST)
SHAKE_SHARE = 0.15
"""Share of the allowed swing by which speed jumps may shake the body."""
SHAKE_BOUNDS = (0.03, 0.15)
"""Lower and upper bound of that shake, mm."""
EVEN_ERROR = 0.004
"""Largest error of the pen along its path, mm, for which a move counts as one of constant speed, however long it is."""
LOAD_ERROR = 1e-3
"""Largest difference, N, of the load between two points from linear interpolation: it moves the pen by 0.01 mm."""
HALVINGS = 6
"""Largest number of times a move is halved to meet LOAD_ERROR."""
CELL = 100.0
"""Size of the cells, mm, within which frequencies count as constant: they change by a few percent."""
USUAL_BOUNCE = (12.0, 20.0)
"""Bounce frequencies assumed where the body cannot hang, Hz."""


def move_limits(document: Document, motion: Motion, rig: CableRobotModel) -> Floats:
    """Returns (k, 2) for each run: longest duration, s, of a move along which the speed changes, and largest speed jump,
    mm/s."""
    ends = motion.pen_xy[motion.runs[1:] - 1]
    _, first, cell = np.unique(np.floor(ends / CELL), axis=0, return_index=True, return_inverse=True)
    pose = inverse_kinematics(rig, ends[first])
    body = document.machine.body
    bounce = swing_modes(rig, body.mass, inertia_of(body), pose).frequency[:, 1:]
    bounce = np.where(np.isfinite(bounce), bounce, USUAL_BOUNCE)[cell.ravel()]
    swing = np.where(motion.down, swing_bounds(document)[pen_of_runs(motion)], document.machine.limits.swing)
    shake = np.clip(SHAKE_SHARE * swing, *SHAKE_BOUNDS)
    return np.column_stack([LONGEST / bounce[:, 1], shake * 2 * np.pi * bounce[:, 0] * LEAST_SINE])


@compiled_dividing_by_zero
def ramp_points(
    runs: Integers,
    time: Floats,
    speed: Floats,
    points: Points,
    load: Floats,
    fixed: Flags,
    rests: Flags,
    limits: Floats,
    step: float,
) -> tuple[Integers, Floats]:
    """Returns the (m,) sample at or before each point, and (m,) s at the point. Points: the fixed ones, and others between
    them so that moves match the speed and the load.

    runs: (k + 1,) first sample of each; time: (n,) s; speed: (n,) mm/s; points: (n, 2) mm; load: (n, c) N; fixed: (n,)
    bool, including the first and last of each run; rests: (n,) bool, samples after which there is no point before the next
    fixed one; limits: (k, 2) as above; step: smallest distance of points, mm.
    """
    index, moments = np.empty(len(time), dtype=np.int64), np.empty(len(time))
    count = 0
    for run in range(len(runs) - 1):
        begin = runs[run]
        while begin < runs[run + 1]:
            if count == len(index):
                index, moments = np.concatenate((index, index)), np.concatenate((moments, moments))
            index[count], moments[count] = begin, time[begin]
            count += 1
            end = begin + 1
            while end < runs[run + 1] and not fixed[end]:
                end += 1
            if end == runs[run + 1]:
                break
            i, moment, (x, y) = begin, time[begin], (points[begin, 0], points[begin, 1])
            while not rests[begin]:
                moment = _move_end(i, moment, end, time, speed, load, limits[run])
                while i < end and time[i + 1] <= moment:
                    i += 1
                to_x, to_y = _place_at(i, moment, time, speed, points)
                if i >= end or np.hypot(points[end, 0] - to_x, points[end, 1] - to_y) < step:
                    break
                if np.hypot(to_x - x, to_y - y) < step:
                    continue
                x, y = to_x, to_y
                if count == len(index):
                    index, moments = np.concatenate((index, index)), np.concatenate((moments, moments))
                index[count], moments[count] = i, moment
                count += 1
            begin = end
    return index[:count], moments[:count]


@compiled_dividing_by_zero
def _move_end(i: int, moment: float, end: int, time: Floats, speed: Floats, load: Floats, limits: Floats) -> float:
    """Returns the end, s, of the move that begins at a moment, s, at or after sample i, and ends at sample end at the
    latest."""
    j = i
    while j < end and _is_even(i, moment, j + 1, time, speed, load):
        j += 1
    left = time[end] - moment
    if j == end or time[j] - moment >= limits[0] or left <= 0.0:
        return float(time[max(j, i + 1)])
    lasts = min(limits[0], left)
    change = abs(_speed_at(i, moment + lasts, time, speed) - _speed_at(i, moment, time, speed))
    lasts *= min(1.0, limits[1] / max(change, 1e-9))
    if left < 3.0 * lasts:  # leave no short move at the end
        lasts = left / np.ceil(left / lasts - 1e-6)
    for _ in range(HALVINGS):
        if _keeps_load(i, moment, moment + lasts, end, time, load):
            break
        lasts /= 2.0
    last = moment + lasts
    return float(time[end]) if last > time[end] - 1e-6 else last


@compiled_dividing_by_zero
def _is_even(i: int, moment: float, j: int, time: Floats, speed: Floats, load: Floats) -> bool:
    """Returns whether one move at constant speed, with a linearly changing load, matches the plan from a moment, s, at or
    after sample i to sample j."""
    if not _keeps_load(i, moment, time[j], j, time, load):
        return False
    v0 = _speed_at(i, moment, time, speed)
    way, t, v = 0.0, moment, v0
    for k in range(i + 1, j + 1):
        way += (v + speed[k]) / 2.0 * (time[k] - t)
        t, v = time[k], speed[k]
    mean = way / max(time[j] - moment, 1e-12)
    way, t, v = 0.0, moment, v0
    for k in range(i + 1, j + 1):
        took = time[k] - t
        middle = way + (3.0 * v + speed[k]) / 8.0 * took
        way += (v + speed[k]) / 2.0 * took
        if (
            abs(middle - mean * (t + took / 2.0 - moment)) > EVEN_ERROR
            or abs(way - mean * (time[k] - moment)) > EVEN_ERROR
        ):
            return False
        t, v = time[k], speed[k]
    return True


@compiled_dividing_by_zero
def _keeps_load(i: int, moment: float, last: float, end: int, time: Floats, load: Floats) -> bool:
    """Returns whether linear interpolation between two moments, s, the first at or after sample i, matches the load of
    the samples."""
    for c in range(load.shape[1]):
        first, final = _load_at(i, moment, end, time, load[:, c]), _load_at(i, last, end, time, load[:, c])
        k = i + 1
        while k <= end and time[k] < last:
            even = first + (final - first) * (time[k] - moment) / (last - moment)
            if abs(load[k, c] - even) > LOAD_ERROR:
                return False
            k += 1
    return True


@compiled_dividing_by_zero
def _load_at(i: int, moment: float, end: int, time: Floats, load: Floats) -> float:
    """Returns the load, N, at a moment, s, at or after sample i and at or before sample end."""
    while i < end and time[i + 1] <= moment:
        i += 1
    if i == end or time[i + 1] <= time[i]:
        return float(load[i])
    return float(load[i] + (load[i + 1] - load[i]) * (moment - time[i]) / (time[i + 1] - time[i]))


@compiled_dividing_by_zero
def _speed_at(i: int, moment: float, time: Floats, speed: Floats) -> float:
    """Returns the speed, mm/s, at a moment, s, at or after sample i."""
    while i + 1 < len(time) and time[i + 1] <= moment:
        i += 1
    if i + 1 == len(time) or time[i + 1] <= time[i]:
        return float(speed[i])
    return float(speed[i] + (speed[i + 1] - speed[i]) * (moment - time[i]) / (time[i + 1] - time[i]))


@compiled_dividing_by_zero
def _place_at(i: int, moment: float, time: Floats, speed: Floats, points: Points) -> tuple[float, float]:
    """Returns the position, mm, right and down, at a moment, s, between sample i and the next."""
    x, y = points[i, 0], points[i, 1]
    if moment <= time[i]:
        return x, y
    dx, dy = points[i + 1, 0] - x, points[i + 1, 1] - y
    way = (speed[i] + _speed_at(i, moment, time, speed)) / 2.0 * (moment - time[i])
    share = min(way / max(np.hypot(dx, dy), 1e-12), 1.0)
    return x + share * dx, y + share * dy
