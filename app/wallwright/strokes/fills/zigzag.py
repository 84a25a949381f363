"""Zigzag fill: hatch lines joined into one run per cell, with rounded turns so that the body does not swing."""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from wallwright.artwork.shape_regions import rings_of
from wallwright.document.arrays import Floats, Objects, Points
from wallwright.document.document import Fill
from wallwright.strokes.fills.hatch import hatch_lines, rows_of
from wallwright.strokes.fills.progress import Progress, no_progress
from wallwright.strokes.fills.rounding import rounded_within
from wallwright.strokes.fills.spacing import flat_spacing_of
from wallwright.strokes.line_geometries import line_strings

LONGEST_JOINT = 4.0
"""Longest joint along the edge from one line to the next, in spacings: for longer ones a lift is faster."""


def zigzag(region: BaseGeometry, fill: Fill, pen_width: float, progress: Progress = no_progress) -> list[Floats]:
    """Returns polylines, mm. Each hatch line is joined to one of the next row, straight where that stays inside and
    otherwise along the region's edge: one run for each cell in which every row is one line. Each (n, 2)."""
    spacing = flat_spacing_of(fill, pen_width)
    lines, _ = hatch_lines(np.array([region]), spacing, fill.angle)
    if len(lines) < 2:
        return list(lines)
    # Joints run along the region's edge: growing it slightly keeps rounding errors from cutting them.
    grown = shapely.buffer(region, 1e-3 * spacing)
    shapely.prepare(grown)
    follow, joints = _followers(lines, fill.angle, spacing, region, grown, lambda done: progress(0.5 * done))
    led = set(follow.values())
    runs: list[Points] = []
    for first in range(len(lines)):
        if first in led:
            continue
        run: list[Points] = [lines[first]]
        at = first
        while at in follow:
            run += [joints[at]] if at in joints else []
            at = follow[at]
            run.append(lines[at])
        runs.append(np.concatenate(run))
    rounded = []
    for number, line in enumerate(runs):
        progress(0.5 + 0.5 * number / len(runs))
        rounded.append(rounded_within(line, spacing / 2, grown))
    return rounded


def _followers(
    lines: Floats,
    angle: float,
    spacing: float,
    region: BaseGeometry,
    grown: BaseGeometry,
    progress: Progress,
) -> tuple[dict[int, int], dict[int, Floats]]:
    """Returns the successor of each line, and the points between them where the joint is not straight."""
    row = rows_of(lines, spacing, angle)
    starts = np.searchsorted(row, row + 1, side="left")
    count = np.searchsorted(row, row + 1, side="right") - starts
    a = np.repeat(np.arange(len(lines)), count)
    b = np.repeat(starts, count) + np.arange(len(a)) - np.repeat(np.cumsum(count) - count, count)
    ways = np.stack([lines[a, 1], lines[b, 0]], axis=1)
    length = np.hypot(*(ways[:, 1] - ways[:, 0]).T)
    near = length < LONGEST_JOINT * spacing
    a, b, ways, length = a[near], b[near], ways[near], length[near]
    straight = np.asarray(shapely.covers(grown, line_strings(ways))) if len(a) else np.zeros(0, dtype=bool)
    edges = np.array([shapely.LineString(ring) for ring in rings_of(region)])
    tree = shapely.STRtree(edges)
    follow: dict[int, int] = {}
    joints: dict[int, Floats] = {}
    led: set[int] = set()
    for number, i in enumerate(np.lexsort((b, a, length, ~straight)).tolist()):
        if number % 16 == 0:
            progress(number / len(a))
        here, there = int(a[i]), int(b[i])
        if here in follow or there in led:
            continue
        if not straight[i]:
            way = _along_edge(edges, tree, ways[i], LONGEST_JOINT * spacing)
            if way is None:
                continue
            joints[here] = way
        follow[here] = there
        led.add(there)
    return follow, joints


def _along_edge(edges: Objects, tree: shapely.STRtree, way: Points, longest: float) -> Points | None:
    """Returns the corners of the edge on the short way between two points on it; None: on different edges, or too far."""
    ends = np.asarray(shapely.points(way), dtype=np.object_)
    one, other = tree.nearest(ends).tolist()
    if one != other:
        return None
    edge = edges[one]
    from_, to = shapely.line_locate_point(edge, ends)
    around = edge.length
    if abs(to - from_) > around / 2:  # the short way passes the ring's seam
        to += around if to < from_ else -around
    if abs(to - from_) > longest:
        return None
    points = shapely.get_coordinates(edge)[:-1]
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    along = np.concatenate([along - around, along, along + around])
    between = np.flatnonzero((along > min(from_, to)) & (along < max(from_, to)))
    if to < from_:
        between = between[::-1]
    return points[between % len(points)]
