"""Corners of a polyline replaced by arcs."""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from wallwright.document.arrays import Floats, Integers, Points

ARC_STEP = np.radians(15)
"""Turn between two points of an arc, rad: its chords are then within a hundredth of its radius."""


def rounded_within(line: Points, radius: float, region: BaseGeometry) -> Points:
    """Returns the polyline (n, 2) with an arc for each corner whose arc lies in a (prepared) region; see `rounded`.

    All in mm.
    """
    line = line[np.append(True, np.any(np.diff(line, axis=0) != 0, axis=1))]
    if len(line) < 3:
        return line
    radii = np.full(len(line) - 2, radius)
    arc, owner = _arcs(line, radii)
    few = np.bincount(owner) < 2
    arc, owner = arc[~few[owner]], owner[~few[owner]]
    if len(arc):
        corners, number = np.unique(owner, return_inverse=True)
        fits = shapely.covers(region, shapely.linestrings(arc, indices=number))
        radii[corners[~fits]] = 0.0
    return rounded(line, radii)


def rounded(line: Points, radius: Floats) -> Points:
    """Returns the polyline (n, 2) with each of its n - 2 corners replaced by a tangent arc: of the given radius (n - 2,),
    mm, or less where that would take more than half of a side. Its ends and straight corners are unchanged."""
    return np.concatenate([line[:1], _arcs(line, radius)[0], line[-1:]])


def _arcs(line: Points, radius: Floats) -> tuple[Points, Integers]:
    """Returns the points of all arcs, and the corner of each."""
    steps = np.diff(line, axis=0)
    length = np.hypot(*steps.T)
    along = steps / length[:, None]
    before, after = along[:-1], along[1:]
    turn = np.arctan2(before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0], (before * after).sum(axis=1))
    half = np.tan(np.minimum(np.abs(turn), np.radians(179.9)) / 2)
    cut = np.minimum(radius * half, np.minimum(length[:-1], length[1:]) / 2)
    bends = (half > 1e-6) & (cut > 0)
    r = cut / np.where(bends, half, 1.0)
    count = np.where(bends, np.ceil(np.abs(turn) / ARC_STEP).astype(np.int64) + 1, 1)
    owner = np.repeat(np.arange(len(count)), count)
    number = np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)
    part = number / np.maximum(count[owner] - 1, 1) * turn[owner]
    # From the start of the arc: after turning by an angle, the chord has turned by half of it.
    chord = 2 * r[owner] * np.sin(np.abs(part) / 2)
    heading = np.arctan2(before[owner, 1], before[owner, 0]) + part / 2
    begin = line[1:-1] - cut[:, None] * before
    arc = begin[owner] + chord[:, None] * np.column_stack([np.cos(heading), np.sin(heading)])
    return np.where(bends[owner][:, None], arc, line[1:-1][owner]), owner
