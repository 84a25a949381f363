"""Curvature of the curve that a polyline approximates, at both ends of every leg.

The vertices of a flattened circle of radius R lie on it: the turn at each is the mean of the lengths of its two chords over
R. A vertex with a large turn is a corner; corners.py decides how it is passed.
"""

from __future__ import annotations

from typing import TypeVar

import numpy as np
import numpy.typing as npt

from wallwright.document.arrays import Flags, Floats, Integers, Points

Element = TypeVar("Element", bound=np.generic)

SMOOTH_TURN = np.radians(20)
"""Largest turn, rad, of a vertex of a flattened curve."""
STRAIGHT = 1e-9
"""Turn, rad, below which a vertex counts as straight: rounding."""
LARGEST_HEIGHT = 0.5
"""Largest height, mm, of the arc over the shorter leg of a vertex: ten times the usual curve tolerance. A polyline
farther from its curve is not a flattened one."""

JOINT_RATIO = 0.7
"""Largest ratio of a vertex's curvature to the next one's for it to be the joint of a line and an arc. Such a vertex
turns by half a chord of the arc, so it shows half the arc's curvature, or less if the line is longer than the chord."""
LINE_RATIO = 0.3
"""Curvature ratio of both ends of a leg below which it is a line that an arc begins at."""
LENGTH_RATIO = 1.5
"""Length ratio above which a line is recognised by being longer than the neighbouring chord."""
GROWTH_RATIO = 0.5
"""Smallest ratio of a neighbour's curvature growth to that of a leg for the leg to be part of a smooth curve and no
joint, as where the curvature changes sign. Next to a joint, the line has no curvature and the arc's is constant."""


def legs_of(points: Points) -> tuple[Floats, Floats]:
    """Returns the (n,) length of the leg that begins at each vertex, mm, and the (n,) signed turn at the vertex, rad,
    clockwise.

    points: (n, 2) mm, no two consecutive ones equal except where a run ends.
    """
    leg = np.zeros((len(points), 2))
    leg[:-1] = np.diff(points, axis=0)
    direction = np.arctan2(leg[:, 1], leg[:, 0])
    turn = np.zeros(len(points))
    turn[1:] = (np.diff(direction) + np.pi) % (2 * np.pi) - np.pi
    return np.hypot(*leg.T), turn


def corner_radius(turn: Floats, tolerance: float) -> Floats:
    """Returns (n,) mm: radius of the arc that touches both legs of a corner and stays within the tolerance, mm, of its
    vertex; inf where the path is straight, 0 where it reverses. turn: (n,) rad.

    R = tolerance cos(φ/2) / (1 - cos(φ/2)).
    """
    turn = np.abs(turn)
    half = np.cos(turn / 2)
    less = np.where(turn > STRAIGHT, 2 * np.sin(turn / 4) ** 2, np.inf)  # 1 - cos without cancellation
    return np.where(turn > STRAIGHT, tolerance * np.maximum(half, 0.0) / less, np.inf)


def leg_curvature(points: Points, runs: Integers) -> Floats:
    """Returns (n, 2) signed curvature, 1/mm, clockwise positive, at the near and far end of the leg that begins at each
    vertex.

    runs: (k + 1,) first vertex of each run. 0 for legs of true polylines and for lines between arcs.
    """
    length, turn = legs_of(points)
    first, last = runs[:-1], runs[1:] - 1
    length[last] = 0.0
    mean = (length + _shifted(length, 1)) / 2
    deep = np.minimum(length, _shifted(length, 1)) * np.abs(turn) / 8
    known = (np.abs(turn) < SMOOTH_TURN) & (deep < LARGEST_HEIGHT) & (mean > 0)
    known[first] = known[last] = False
    here = np.divide(turn, mean, out=np.zeros_like(turn), where=known)
    near, far, far_known = here, _shifted(here, -1), _shifted(known, -1)
    growth = np.divide(far - near, length, out=np.zeros_like(near), where=known & far_known & (length > 0))
    begins_arc = known & _smaller(near, far, JOINT_RATIO) & ~(_grows_alike(growth, 2) & _grows_alike(growth, -1))
    ends_arc = far_known & _smaller(far, near, JOINT_RATIO) & ~(_grows_alike(growth, -2) & _grows_alike(growth, 1))
    # Next to a longer leg, the short one is on the arc and the long one is a line.
    from_line = begins_arc & (_shifted(length, 1) > LENGTH_RATIO * length)
    into_line = ends_arc & (_shifted(length, -1) > LENGTH_RATIO * length)
    line_begins, line_ends = _shifted(into_line, 1), _shifted(from_line, -1)
    arc_near = np.where(from_line | (begins_arc & ~_smaller(near, far, LINE_RATIO)), far, near)
    arc_far = np.where(into_line | (ends_arc & ~_smaller(far, near, LINE_RATIO)), near, far)
    near, far = np.where(line_begins, 0.0, arc_near), np.where(line_ends, 0.0, arc_far)
    # A corner or an end of the run has no curvature: the other end of the leg is used.
    result = np.stack([np.where(known, near, far), np.where(far_known, far, near)], axis=1)
    result[last] = 0.0
    return result


def _shifted(values: npt.NDArray[Element], by: int) -> npt.NDArray[Element]:
    """Returns the values shifted by this many vertices, later (by > 0) or earlier (by < 0); 0 where there is none."""
    moved = np.zeros_like(values)
    if by > 0:
        moved[by:] = values[:-by]
    else:
        moved[:by] = values[-by:]
    return moved


def _grows_alike(growth: Floats, by: int) -> Flags:
    """Returns whether the leg `by` earlier (by > 0) or later (by < 0) has a curvature that grows in the same direction,
    and not much less. growth: (n,) 1/mm²."""
    other = _shifted(growth, by)
    return (growth * other > 0) & (np.abs(other) >= GROWTH_RATIO * np.abs(growth))


def _smaller(one: Floats, other: Floats, share: float) -> Flags:
    """Returns whether one has the same sign as the other and is less than a share of it."""
    return (one * other >= 0) & (np.abs(one) < share * np.abs(other))
