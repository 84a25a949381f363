"""Bows: travels curved to the side where belts, motors or tension make the straight path slow.

A bow is the straight path from a to b, of length L, plus a sideways displacement L (c1 sin(pi u) + c2 sin(2 pi u)), u from
0 to 1 along it. On a level travel across the middle, the belt that is taken in limits the first half and the belt that is
paid out the second. If the path sags a little, both run at full speed all the way: that is the straight line in belt
lengths, which is tried besides the bow; no path is faster. Elsewhere one belt limits the whole travel, and its length
change over its speed is the time on any path: such travels stay straight, as do those limited by pen speed, pen
acceleration or swing.
"""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Flags, Floats, Points
from wallwright.motion.travel_timing import SampledCurves, TravelTimer
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.forward_kinematics import forward_kinematics
from wallwright.statics.pose import inverse_kinematics

SHORTEST = 60.0
"""Shortest travel, mm, for which a bow is tried; shorter ones gain too little."""
LEAST_SHARE, LEAST_SECONDS = 0.02, 0.02
"""Smallest saving of a bow, as a share of the straight travel's time, and in s: less is not worth its lines in a file."""
SAMPLES = 33
U = (1 - np.cos(np.pi * np.arange(SAMPLES) / (SAMPLES - 1))) / 2
"""Sample positions along a bow, denser near the ends, where the speed changes."""
FIRST_STEP, LAST_STEP = 0.1, 0.006
"""Largest and smallest step of c1 in the search; that of c2 is half of it."""
WAVES = np.array([1.0, 2.0])
TURNS = np.concatenate([np.diag(1 / WAVES), -np.diag(1 / WAVES)])
TRIES = 24
SCALINGS = (1.0, 0.75, 0.5, 0.25)
"""Scalings of the bow that are tried, in case the full bow leaves the draw zone."""
CHORD_TURN, SHORTEST_CHORD = 0.01, 1.0
"""Largest angle between successive chords of a bow, rad, and shortest chord, mm. Half this angle off the bow's
direction, a belt's speed is off by a part in a thousand or two."""


def fastest_curves(timer: TravelTimer, ends: Points) -> Floats:
    """Returns (k, 2) c1, c2 of the fastest bow for each travel (k, 2, 2), mm; zeros if it would save too little.

    A pattern search (Hooke and Jeeves, 1961), for all travels at once.
    """
    shape = np.zeros((len(ends), len(WAVES)))
    straight = timer.along_curves(_curves(ends, shape))
    least = np.maximum(timer.along_curves(_curves(ends, shape), belts=False), timer.belts_run(ends))
    best, step = straight.copy(), np.where(is_worth_it(straight, least), FIRST_STEP, 0.0)
    for _ in range(TRIES):
        at = np.flatnonzero(step >= LAST_STEP)
        if not len(at):
            break
        tried = (shape[at, None] + step[at, None, None] * TURNS).reshape(-1, len(WAVES))
        seconds = timer.along_curves(_curves(np.repeat(ends[at], len(TURNS), axis=0), tried))
        seconds = seconds.reshape(-1, len(TURNS))
        first = seconds.argmin(axis=1)
        found = seconds[np.arange(len(at)), first]
        good = found < best[at]
        best[at[good]] = found[good]
        shape[at[good]] = tried.reshape(-1, len(TURNS), len(WAVES))[good, first[good]]
        step[at[~good]] /= 2
    return np.where(is_worth_it(straight, best)[:, None], shape, 0.0)


def is_worth_it(straight: float | Floats, other: Floats) -> Flags:
    """Returns (k,) bool: a path taking this many seconds saves enough compared with the straight one."""
    result: Flags = straight - other > np.maximum(LEAST_SHARE * straight, LEAST_SECONDS)
    return result


def curve_polylines(rig: CableRobotModel, ends: Points, shape: Floats) -> list[Floats]:
    """Returns (n, 2) mm each: the bow of a travel (2, 2) as a polyline, scaled by each of SCALINGS, and the straight line in
    belt lengths if there is one. shape: (2,) c1, c2."""
    length = np.hypot(*(ends[1] - ends[0]))
    most = np.pi**2 * (np.abs(shape) @ WAVES**2)  # rad per u
    u = np.linspace(0, 1, int(np.ceil(min(most / CHORD_TURN, length / SHORTEST_CHORD))) + 2)
    lines = list(_points(np.repeat(ends[None], len(SCALINGS), axis=0), np.outer(SCALINGS, shape), u))
    first, last = inverse_kinematics(rig, ends).belts
    level = forward_kinematics(rig, first + u[:, None] * (last - first), ends[0] + u[:, None] * (ends[1] - ends[0])).pen
    if np.isfinite(level).all():
        level[[0, -1]] = ends
        lines.append(level)
    return lines


def _points(ends: Points, shape: Floats, u: Floats) -> Floats:
    """Returns (k, n, 2) mm. ends: (k, 2, 2); shape: (k, 2); u: (n,). The ends are identical to those given."""
    way = (ends[:, 1] - ends[:, 0])[:, None]
    side = shape @ np.sin(np.pi * np.outer(WAVES, u))
    points = ends[:, :1] + u[:, None] * way + side[..., None] * _across(way)
    points[:, [0, -1]] = ends
    return points


def _curves(ends: Points, shape: Floats) -> SampledCurves:
    way = (ends[:, 1] - ends[:, 0])[:, None]
    length = np.hypot(way[..., 0], way[..., 1])
    turns = np.pi * WAVES
    first = (shape * turns) @ np.cos(np.outer(turns, U))
    second = -(shape * turns**2) @ np.sin(np.outer(turns, U))
    longer = np.sqrt(1 + first**2)
    tangent = (way + first[..., None] * _across(way)) / (length * longer)[..., None]
    return SampledCurves(_points(ends, shape, U), tangent, second / (length * longer**3))


def _across(way: Floats) -> Floats:
    """Returns the vectors turned by a quarter turn clockwise, y down."""
    return np.stack([-way[..., 1], way[..., 0]], axis=-1)
