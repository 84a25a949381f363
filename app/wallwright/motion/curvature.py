"""The curve that a polyline is a flattened form of: its curvature at both ends of every leg.

The vertices of a flattened circle of radius R lie on it: at each the path turns by the mean of its two chords over R,
whatever their lengths. A vertex that turns far is a corner; corners.py decides how it is passed.
"""

from __future__ import annotations

from typing import TypeVar

import numpy as np
import numpy.typing as npt

from wallwright.document.arrays import Flags, Floats, Integers, Points

Element = TypeVar("Element", bound=np.generic)

SMOOTH = np.radians(20)
"""A vertex that turns less may belong to a flattened curve."""
STRAIGHT = 1e-9
"""rad: a smaller turn is rounding."""
DEEPEST = 0.5
"""mm: of the arc over the shorter leg of a vertex, ten times the usual curve tolerance; a polyline that would be farther
from its curve is not a flattened one."""

LESS = 0.7
"""Where a line runs into an arc, their vertex turns by half a chord of the arc: it shows half the arc's curvature, or less
where the line is longer than the chord. A vertex that shows less than this share of the next may be such a joint."""
NONE = 0.3
"""A leg whose one end shows less than this share of the other is a line that an arc begins at."""
LONGER = 1.5
"""A line this much longer than the chord at its end differs from it by its length."""
STEADY = 0.5
"""A leg whose curvature grows along it as along its neighbours, by this share at least, is no joint: the curve is smooth
there, as where it turns from one side to the other. Beside a joint the line has no curvature and the arc keeps its own."""


def legs_of(points: Points) -> tuple[Floats, Floats]:
    """(n,) length of the leg that begins at each vertex, mm, and (n,) signed turn at it, rad, clockwise.

    points: (n, 2) mm, no two in a row the same but where a run ends.
    """
    leg = np.zeros((len(points), 2))
    leg[:-1] = np.diff(points, axis=0)
    direction = np.arctan2(leg[:, 1], leg[:, 0])
    turn = np.zeros(len(points))
    turn[1:] = (np.diff(direction) + np.pi) % (2 * np.pi) - np.pi
    return np.hypot(*leg.T), turn


def corner_radius(turn: Floats, tolerance: float) -> Floats:
    """(n,) mm: radius of the arc that touches both legs of a corner and stays within the tolerance, mm, of its vertex; inf
    where the path is straight, 0 where it turns back. turn: (n,) rad.

    R = tolerance cos(φ/2) / (1 - cos(φ/2)).
    """
    turn = np.abs(turn)
    half = np.cos(turn / 2)
    less = np.where(turn > STRAIGHT, 2 * np.sin(turn / 4) ** 2, np.inf)  # 1 - cos without its rounding
    return np.where(turn > STRAIGHT, tolerance * np.maximum(half, 0.0) / less, np.inf)


def leg_curvature(points: Points, runs: Integers) -> Floats:
    """(n, 2) signed curvature, 1/mm, clockwise positive, at the near and far end of the leg that begins at each vertex.

    runs: (k + 1,) first vertex of each run. 0 for legs of real polylines and for lines between arcs.
    """
    length, turn = legs_of(points)
    first, last = runs[:-1], runs[1:] - 1
    length[last] = 0.0
    mean = (length + _shifted(length, 1)) / 2
    deep = np.minimum(length, _shifted(length, 1)) * np.abs(turn) / 8
    known = (np.abs(turn) < SMOOTH) & (deep < DEEPEST) & (mean > 0)
    known[first] = known[last] = False
    here = np.divide(turn, mean, out=np.zeros_like(turn), where=known)
    near, far, far_known = here, _shifted(here, -1), _shifted(known, -1)
    growth = np.divide(far - near, length, out=np.zeros_like(near), where=known & far_known & (length > 0))
    begins_arc = known & _smaller(near, far, LESS) & ~(_grows_alike(growth, 2) & _grows_alike(growth, -1))
    ends_arc = far_known & _smaller(far, near, LESS) & ~(_grows_alike(growth, -2) & _grows_alike(growth, 1))
    # Beside a longer leg the short one is on the arc and the long one is a line.
    from_line = begins_arc & (_shifted(length, 1) > LONGER * length)
    into_line = ends_arc & (_shifted(length, -1) > LONGER * length)
    line_begins, line_ends = _shifted(into_line, 1), _shifted(from_line, -1)
    arc_near = np.where(from_line | (begins_arc & ~_smaller(near, far, NONE)), far, near)
    arc_far = np.where(into_line | (ends_arc & ~_smaller(far, near, NONE)), near, far)
    near, far = np.where(line_begins, 0.0, arc_near), np.where(line_ends, 0.0, arc_far)
    # A corner or an end of the run tells nothing: the other end of the leg does.
    result = np.stack([np.where(known, near, far), np.where(far_known, far, near)], axis=1)
    result[last] = 0.0
    return result


def _shifted(values: npt.NDArray[Element], by: int) -> npt.NDArray[Element]:
    """Each one's value so many vertices before (by > 0) or after (by < 0); 0 where there is none."""
    moved = np.zeros_like(values)
    if by > 0:
        moved[by:] = values[:-by]
    else:
        moved[:by] = values[-by:]
    return moved


def _grows_alike(growth: Floats, by: int) -> Flags:
    """Whether the leg so many before (by > 0) or after (by < 0) has a curvature that grows the same way, and not much less.
    growth: (n,) 1/mm²."""
    other = _shifted(growth, by)
    return (growth * other > 0) & (np.abs(other) >= STEADY * np.abs(growth))


def _smaller(one: Floats, other: Floats, share: float) -> Flags:
    """Whether one is of the same sign and less than a share of the other."""
    return (one * other >= 0) & (np.abs(one) < share * np.abs(other))
