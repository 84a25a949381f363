"""Remainder of a controller's formula: a smooth measured displacement in the formula's plane, both ways.

Monomials of degree two and three in coordinates scaled to the measured area. Lower degrees are position, size and rotation,
which other parameters cover. Coordinates outside the area are clamped to its edge: nothing was measured there, and a cubic
grows fast.
"""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Floats
from wallwright.document.calibration import FormulaRemainder
from wallwright.document.consistency import REMAINDER_COUNTS

MONOMIALS: tuple[tuple[int, int], ...] = ((2, 0), (1, 1), (0, 2), (3, 0), (2, 1), (1, 2), (0, 3))
"""Powers of u and v."""
COUNTS = REMAINDER_COUNTS
"""Possible numbers of monomials: those of the second degree, or of the third as well."""
STEEPEST = 0.5
"""Largest slope of a displacement, mm per mm: a steeper one is no small remainder, and may not be invertible."""
ROUNDS = 40


def basis(points: Floats, centre: tuple[float, float], reach: float, count: int) -> Floats:
    """Returns (n, count): the first monomials at points (n, 2), mm."""
    u, v = np.clip((points - np.asarray(centre)) / reach, -1.0, 1.0).T
    return np.column_stack([u**i * v**j for i, j in MONOMIALS[:count]])


def displacement(remainder: FormulaRemainder, points: Floats) -> Floats:
    """Returns (n, 2) mm: how far the controller moves points (n, 2), mm, before it applies its formula."""
    values = basis(points, remainder.centre, remainder.reach, len(remainder.right))
    moves: Floats = values @ np.column_stack([remainder.right, remainder.down])
    return moves


def with_remainder(remainder: FormulaRemainder | None, points: Floats) -> Floats:
    """Returns (n, 2) mm: the points given to the formula for points (n, 2), mm, of a drawing."""
    return points if remainder is None else points + displacement(remainder, points)


def without_remainder(remainder: FormulaRemainder | None, given: Floats) -> Floats:
    """Returns (n, 2) mm: the inverse of with_remainder, by fixed-point iteration; each round shrinks the error at least
    by STEEPEST."""
    if remainder is None:
        return given
    points = given
    for _ in range(ROUNDS):
        new = given - displacement(remainder, points)
        if not np.nanmax(np.abs(new - points), initial=0.0) > 1e-9:
            return new
        points = new
    return points


def is_small(remainder: FormulaRemainder) -> bool:
    """Returns whether the slope stays below STEEPEST everywhere."""
    degree = np.array([i + j for i, j in MONOMIALS[: len(remainder.right)]])
    coefficients = np.hypot(remainder.right, remainder.down)
    return bool((degree * coefficients).sum() / remainder.reach <= STEEPEST)
