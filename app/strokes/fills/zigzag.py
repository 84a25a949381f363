"""Zigzag: hatch lines joined into one run per cell, so that the pen is lifted less."""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from app.strokes.fills.hatch import hatch


def zigzag(region: BaseGeometry, spacing: float, angle: float, pen_width: float) -> list[np.ndarray]:
    """Polylines, mm: each hatch line is joined to one of the next line where the joint stays inside the region."""
    lines = hatch(region, spacing, angle, pen_width)
    if len(lines) < 2:
        return lines
    segments = np.array(lines)
    row = np.round(segments[:, 0] @ np.array([-np.sin(angle), np.cos(angle)]) / spacing).astype(np.int64)
    starts = np.searchsorted(row, row + 1, side="left")
    stops = np.searchsorted(row, row + 1, side="right")
    count = stops - starts
    a = np.repeat(np.arange(len(lines)), count)
    b = np.repeat(starts, count) + np.arange(len(a)) - np.repeat(np.cumsum(count) - count, count)
    if not len(a):
        return lines
    joints = np.stack([segments[a, 1], segments[b, 0]], axis=1)
    length = np.hypot(*(joints[:, 1] - joints[:, 0]).T)
    near = length < 4 * spacing
    a, b, joints, length = a[near], b[near], joints[near], length[near]
    # The joint runs along the region's edge: a hair's growth keeps rounding from cutting it.
    grown = shapely.buffer(region, 1e-3 * spacing)
    shapely.prepare(grown)
    inside = shapely.covers(grown, shapely.linestrings(joints))
    follow, led = {}, set()
    order = np.lexsort((b, a, length))
    for i in order[inside[order]].tolist():
        if int(a[i]) not in follow and int(b[i]) not in led:
            follow[int(a[i])] = int(b[i])
            led.add(int(b[i]))
    runs = []
    for first in range(len(lines)):
        if first in led:
            continue
        run, at = [lines[first]], first
        while at in follow:
            at = follow[at]
            run.append(lines[at])
        runs.append(np.concatenate(run))
    return runs
