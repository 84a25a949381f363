"""Parallel hatch: lines at an angle, a spacing apart, clipped exactly to a region."""

from __future__ import annotations

import numpy as np
from shapely.geometry.base import BaseGeometry

from app.artwork.regions import rings_of
from app.document.document import Fill
from app.strokes.fills.spacing import second_spacing_of, spacing_of

SHORTEST = 1e-6
"""mm; a hatch line through a mere corner of the region is no line."""


def hatch(region: BaseGeometry, fill: Fill, pen_width: float) -> list[np.ndarray]:
    """(2, 2) segments, mm: see `hatch_lines`."""
    return list(hatch_lines(region, spacing_of(fill, pen_width), fill.angle))


def cross_hatch(region: BaseGeometry, fill: Fill, pen_width: float) -> list[np.ndarray]:
    """Two hatches, each with its own angle and spacing."""
    second = hatch_lines(region, second_spacing_of(fill, pen_width), fill.angle + fill.cross_angle)
    return [*hatch(region, fill, pen_width), *second]


def hatch_lines(region: BaseGeometry, spacing: float, angle: float) -> np.ndarray:
    """(n, 2, 2) segments, mm, row by row. The lines of all regions lie on one lattice through the origin, so that
    neighbouring shapes with the same fill look like one. Consecutive lines run in opposite directions.

    A scan line meets the region's edges in an even number of points; between the first and second, third and
    fourth, ... it is inside. An edge owns one of its ends only, so a line through a corner counts it once.
    """
    rings = rings_of(region)
    if not rings:
        return np.zeros((0, 2, 2))
    cos, sin = np.cos(angle), np.sin(angle)
    along_of = np.array([cos, sin])
    across_of = np.array([-sin, cos])
    starts = np.concatenate([r[:-1] for r in rings])
    ends = np.concatenate([r[1:] for r in rings])
    u0, v0 = starts @ along_of, starts @ across_of / spacing
    u1, v1 = ends @ along_of, ends @ across_of / spacing
    swap = v0 > v1
    u0, u1 = np.where(swap, u1, u0), np.where(swap, u0, u1)
    v0, v1 = np.where(swap, v1, v0), np.where(swap, v0, v1)
    first, last = np.ceil(v0).astype(np.int64), np.ceil(v1).astype(np.int64)
    count = last - first
    edge = np.repeat(np.arange(len(count)), count)
    if not len(edge):
        return np.zeros((0, 2, 2))
    line = first[edge] + np.arange(len(edge)) - np.repeat(np.cumsum(count) - count, count)
    share = (line - v0[edge]) / (v1[edge] - v0[edge])
    u = u0[edge] + share * (u1[edge] - u0[edge])
    order = np.lexsort((u, line))
    u, line = u[order], line[order]
    a, b, number = u[0::2], u[1::2], line[0::2]
    keep = b - a > SHORTEST
    a, b, number = a[keep], b[keep], number[keep]
    flip = number % 2 != 0
    a, b = np.where(flip, b, a), np.where(flip, a, b)
    v = (number * spacing)[:, None] * across_of
    return np.stack([a[:, None] * along_of + v, b[:, None] * along_of + v], axis=1)


def rows_of(lines: np.ndarray, spacing: float, angle: float) -> np.ndarray:
    """(n,) number of the lattice's line that each hatch line (n, 2, 2) lies on."""
    return np.round(lines[:, 0] @ np.array([-np.sin(angle), np.cos(angle)]) / spacing).astype(np.int64)
