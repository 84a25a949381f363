"""Points along a path between which moves at even speed follow a speed that changes.

A controller is given one feed for each move. Where the plan's speed changes evenly, moves at even speeds are a staircase of
jumps dv. Each jump shakes the body, which bounces on its belts with a frequency f, by dv / 2πf. Jumps at even times T add
up, as phasors at even angles do, to

    dv / (2πf |sin(πfT)|)

at most: half a period apart each cancels the one before, a whole period apart they grow. The body bounces in two ways,
f1 < f2. With T = LONGEST / f2 the sine of either is 0.7 at least, and dv is bounded for the slower one.
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
"""Times the shorter period of the bounce, that moves last: the sine is then 0.7 for it, and larger for the longer one, which
is less than twice as long."""
LEAST_SINE = np.sin(np.pi * LONGEST)
SHAKE_SHARE = 0.15
"""Of the swing allowed: what jumps of speed may shake the body by."""
SHAKES = (0.03, 0.15)
"""mm that they may in any case, and at most."""
EVEN = 0.004
"""mm that the pen is off along its path, at most, where a move counts as one of even speed, however long it is."""
LOAD_ERROR = 1e-3
"""N that the load at a point between two others is off the mean of theirs, at most: it moves the pen by 0.01 mm."""
HALVINGS = 6
"""Of a move, at most, until the load is that near."""
CELL = 100.0
"""mm over which frequencies are taken for the same: they change by some percent."""
USUAL_BOUNCE = (12.0, 20.0)
"""Hz, where the body does not hang."""


def move_limits(document: Document, motion: Motion, rig: CableRobotModel) -> Floats:
    """(k, 2) of each run: s that a move along which the speed changes lasts at most, and mm/s of jumps of speed at most."""
    ends = motion.pen_xy[motion.runs[1:] - 1]
    _, first, cell = np.unique(np.floor(ends / CELL), axis=0, return_index=True, return_inverse=True)
    pose = inverse_kinematics(rig, ends[first])
    body = document.machine.body
    bounce = swing_modes(rig, body.mass, inertia_of(body), pose).frequency[:, 1:]
    bounce = np.where(np.isfinite(bounce), bounce, USUAL_BOUNCE)[cell.ravel()]
    swing = np.where(motion.down, swing_bounds(document)[pen_of_runs(motion)], document.machine.limits.swing)
    shake = np.clip(SHAKE_SHARE * swing, *SHAKES)
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
    """(m,) sample at or before each point, and (m,) s at it; points: those fixed, and such between them that moves keep to
    the speed and the load.

    runs: (k + 1,) first sample of each; time: (n,) s; speed: (n,) mm/s; points: (n, 2) mm; load: (n, c) N;
    fixed: (n,) bool, the first and last of each run among them; rests: (n,) bool, samples after which there is no point
    before the next fixed one; limits: (k, 2) as above; step: mm, least distance of points.
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
    """s at the end of the move that begins at a moment, s, at or after sample i, and is over at sample end at the latest."""
    j = i
    while j < end and _is_even(i, moment, j + 1, time, speed, load):
        j += 1
    left = time[end] - moment
    if j == end or time[j] - moment >= limits[0] or left <= 0.0:
        return float(time[max(j, i + 1)])
    lasts = min(limits[0], left)
    change = abs(_speed_at(i, moment + lasts, time, speed) - _speed_at(i, moment, time, speed))
    lasts *= min(1.0, limits[1] / max(change, 1e-9))
    if left < 3.0 * lasts:  # no short move is left over
        lasts = left / np.ceil(left / lasts - 1e-6)
    for _ in range(HALVINGS):
        if _keeps_load(i, moment, moment + lasts, end, time, load):
            break
        lasts /= 2.0
    last = moment + lasts
    return float(time[end]) if last > time[end] - 1e-6 else last


@compiled_dividing_by_zero
def _is_even(i: int, moment: float, j: int, time: Floats, speed: Floats, load: Floats) -> bool:
    """Whether one move at even speed, with a load that changes evenly, keeps to the plan from a moment, s, at or after
    sample i until sample j."""
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
        if abs(middle - mean * (t + took / 2.0 - moment)) > EVEN or abs(way - mean * (time[k] - moment)) > EVEN:
            return False
        t, v = time[k], speed[k]
    return True


@compiled_dividing_by_zero
def _keeps_load(i: int, moment: float, last: float, end: int, time: Floats, load: Floats) -> bool:
    """Whether a load that changes evenly between two moments, s, the first at or after sample i, is that of the samples."""
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
    """N at a moment, s, at or after sample i and at or before sample end."""
    while i < end and time[i + 1] <= moment:
        i += 1
    if i == end or time[i + 1] <= time[i]:
        return float(load[i])
    return float(load[i] + (load[i + 1] - load[i]) * (moment - time[i]) / (time[i + 1] - time[i]))


@compiled_dividing_by_zero
def _speed_at(i: int, moment: float, time: Floats, speed: Floats) -> float:
    """mm/s at a moment, s, at or after sample i."""
    while i + 1 < len(time) and time[i + 1] <= moment:
        i += 1
    if i + 1 == len(time) or time[i + 1] <= time[i]:
        return float(speed[i])
    return float(speed[i] + (speed[i + 1] - speed[i]) * (moment - time[i]) / (time[i + 1] - time[i]))


@compiled_dividing_by_zero
def _place_at(i: int, moment: float, time: Floats, speed: Floats, points: Points) -> tuple[float, float]:
    """mm, right and down, at a moment, s, between sample i and the next."""
    x, y = points[i, 0], points[i, 1]
    if moment <= time[i]:
        return x, y
    dx, dy = points[i + 1, 0] - x, points[i + 1, 1] - y
    way = (speed[i] + _speed_at(i, moment, time, speed)) / 2.0 * (moment - time[i])
    share = min(way / max(np.hypot(dx, dy), 1e-12), 1.0)
    return x + share * dx, y + share * dy
