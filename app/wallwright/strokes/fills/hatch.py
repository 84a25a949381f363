"""Hatch: parallel lines at an angle, a spacing apart, clipped exactly to a region."""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from wallwright.artwork.shape_regions import all_rings
from wallwright.document.arrays import Floats, Integers, Objects
from wallwright.document.document import Fill
from wallwright.strokes.fills.progress import Progress, no_progress
from wallwright.strokes.fills.spacing import flat_spacing_of, second_spacing_of

SHORTEST = 1e-6
"""Shortest hatch line, mm: a shorter one only touches a corner of the region."""


def hatch(region: BaseGeometry, fill: Fill, pen_width: float, progress: Progress = no_progress) -> list[Floats]:
    """Returns (2, 2) segments, mm: see `hatch_lines`."""
    return list(hatches(np.array([region]), fill, pen_width)[0])


def cross_hatch(region: BaseGeometry, fill: Fill, pen_width: float, progress: Progress = no_progress) -> list[Floats]:
    """Returns two hatches, each with its own angle and spacing. Lines (2, 2), mm."""
    return list(cross_hatches(np.array([region]), fill, pen_width)[0])


def hatches(regions: Objects, fill: Fill, pen_width: float) -> tuple[Floats, Integers]:
    """Hatch many regions (n,): see `hatch_lines`."""
    return hatch_lines(regions, flat_spacing_of(fill, pen_width), fill.angle)


def cross_hatches(regions: Objects, fill: Fill, pen_width: float) -> tuple[Floats, Integers]:
    """Cross-hatch many regions; each region's second hatch follows its first.

    Lines (m, 2, 2), and the index of the region of each, (m,).
    """
    one, of_one = hatches(regions, fill, pen_width)
    two, of_two = hatch_lines(regions, second_spacing_of(fill, pen_width), fill.angle + fill.cross_angle)
    owner = np.concatenate([of_one, of_two])
    order = np.argsort(owner, kind="stable")
    return np.concatenate([one, two])[order], owner[order]


def hatch_lines(regions: Objects, spacing: float, angle: float) -> tuple[Floats, Integers]:
    """Returns (m, 2, 2) segments, mm, region by region and row by row, and the index of the region (n,) of each. The lines
    of all regions lie on one lattice through the origin, so that neighbouring shapes with the same fill look like one.
    Consecutive lines run in opposite directions.

    A scan line meets the region's edges in an even number of points; between the first and second, third and fourth, ... it
    is inside. An edge includes only one of its ends, so a line through a corner counts it once. Sums are computed one value
    at a time, so that a region has the same lines among others as by itself.
    """
    rings, region = all_rings(regions)
    points, ring = shapely.get_coordinates(rings, return_index=True)
    cos, sin = np.cos(angle), np.sin(angle)
    along, across = (
        points[:, 0] * cos + points[:, 1] * sin,
        (points[:, 1] * cos - points[:, 0] * sin) / spacing,
    )
    leg = np.flatnonzero(ring[1:] == ring[:-1])
    u0, v0, u1, v1 = along[leg], across[leg], along[leg + 1], across[leg + 1]
    owner = region[ring[leg]]
    swap = v0 > v1
    u0, u1 = np.where(swap, u1, u0), np.where(swap, u0, u1)
    v0, v1 = np.where(swap, v1, v0), np.where(swap, v0, v1)
    first, last = np.ceil(v0).astype(np.int64), np.ceil(v1).astype(np.int64)
    count = last - first
    edge = np.repeat(np.arange(len(count)), count)
    line = first[edge] + np.arange(len(edge)) - np.repeat(np.cumsum(count) - count, count)
    share = (line - v0[edge]) / (v1[edge] - v0[edge])
    u = u0[edge] + share * (u1[edge] - u0[edge])
    owner = owner[edge]
    order = np.lexsort((u, line, owner))
    u, line, owner = u[order], line[order], owner[order]
    a, b, number, owner = u[0::2], u[1::2], line[0::2], owner[0::2]
    keep = b - a > SHORTEST
    a, b, number, owner = a[keep], b[keep], number[keep], owner[keep]
    flip = number % 2 != 0
    a, b = np.where(flip, b, a), np.where(flip, a, b)
    along_of, v = np.array([cos, sin]), (number * spacing)[:, None] * np.array([-sin, cos])
    return np.stack([a[:, None] * along_of + v, b[:, None] * along_of + v], axis=1), owner


def rows_of(lines: Floats, spacing: float, angle: float) -> Integers:
    """Returns (n,): index of the lattice line of each hatch line (n, 2, 2)."""
    rows: Integers = np.round(lines[:, 0] @ np.array([-np.sin(angle), np.cos(angle)]) / spacing).astype(np.int64)
    return rows
