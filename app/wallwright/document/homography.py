"""Homography from a photo to the wall, estimated from at least four points.

A homography H takes (x, y, 1) to (u w, v w, w). Estimated by the direct linear transformation with normalised points
(Hartley, "In defense of the eight-point algorithm", IEEE PAMI 19, 1997, for the normalisation; Hartley and Zisserman,
"Multiple View Geometry", chapter 4): exact for four points, least squares for more.

Own code, since image libraries that offer it are slow to import.
"""

from __future__ import annotations

import math

import numpy as np

from wallwright.document.arrays import Floats, Points
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.document.wall import Point


def homography(seen: Points, places: Points) -> Floats:
    """Returns the (3, 3) float64 map, scaled to H[2, 2] == 1, from seen (n, 2) to places (n, 2), n at least 4.

    Raises BadValue when three of four points lie on a line, so that the map is not determined.
    """
    a, from_seen = _normalised(seen)
    b, from_places = _normalised(places)
    ones, zeros = np.ones(len(a)), np.zeros((len(a), 3))
    rows = np.column_stack([a, ones])
    equations = np.vstack(
        [
            np.hstack([rows, zeros, -b[:, :1] * rows]),
            np.hstack([zeros, rows, -b[:, 1:] * rows]),
        ]
    )
    _, sizes, basis = np.linalg.svd(equations)
    matrix: Floats = basis[-1].reshape(3, 3)
    # The map is determined when the null space has one dimension, and valid when it can be inverted.
    if sizes[7] < 1e-6 * sizes[0] or abs(np.linalg.det(matrix)) < 1e-6:
        raise BadValue(tr("Three of the four points lie on one line. Click the corners of something wide and high"))
    matrix = np.linalg.inv(from_places) @ matrix @ from_seen
    depth = np.column_stack([seen, ones]) @ matrix[2]
    if abs(matrix[2, 2]) < 1e-12 * np.abs(matrix).max() or depth.min() * depth.max() <= 0:
        raise BadValue(tr("The four points are in the wrong order. Click them clockwise, starting at the top left"))
    scaled: Floats = matrix / matrix[2, 2]
    return scaled


def through(matrix: Floats, points: Points) -> Points:
    """Returns (n, 2) points mapped by a (3, 3) homography, in its units, such as from pixels to mm."""
    mapped = np.column_stack([points, np.ones(len(points))]) @ matrix.T
    return mapped[:, :2] / mapped[:, 2:]


def quadrilateral(top: float, right: float, bottom: float, left: float, diagonal: float) -> tuple[Point, ...]:
    """Returns four corners, mm, clockwise from the top left at (0, 0), from the lengths of the sides and of the diagonal
    from the top left to the bottom right. The top side is level. Raises BadValue when no quadrilateral has these lengths."""
    third = _apex((0.0, 0.0), (top, 0.0), diagonal, right, side=1.0)
    fourth = _apex((0.0, 0.0), third, left, bottom, side=1.0)
    return (0.0, 0.0), (top, 0.0), third, fourth


def _apex(a: Point, b: Point, from_a: float, from_b: float, side: float) -> Point:
    """Returns the point at given distances from a and b, to the right of the direction from a to b (y down)."""
    base = math.dist(a, b)
    along = (base**2 + from_a**2 - from_b**2) / (2 * base) if base else math.nan
    square = from_a**2 - along**2
    if not square > 0:
        raise BadValue(
            tr(
                "The distances {0:.0f}, {1:.0f} and {2:.0f} mm do not form a triangle. Measure again",
                base,
                from_a,
                from_b,
            )
        )
    ux, uy = (b[0] - a[0]) / base, (b[1] - a[1]) / base
    off = side * math.sqrt(square)
    return a[0] + along * ux - off * uy, a[1] + along * uy + off * ux


def _normalised(points: Points) -> tuple[Points, Floats]:
    """Returns the points moved to mean 0 and mean distance sqrt 2, and the (3, 3) map that does so."""
    middle = points.mean(axis=0)
    size = np.hypot(*(points - middle).T).mean()
    if not size > 0:
        raise BadValue(tr("The four points are the same. Click four different ones"))
    scale = math.sqrt(2) / size
    matrix = np.array([[scale, 0, -scale * middle[0]], [0, scale, -scale * middle[1]], [0, 0, 1]])
    return (points - middle) * scale, matrix
