"""Parts of a region too thin for the pen: drawn once, along their middle."""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

LEAST_LENGTH = 1.0
"""In pen widths: a thin part shorter than this is covered by its neighbours' ink, or is a speck."""
LEAST_AREA = 0.05
"""In squares of the pen width."""
STEP = 0.35
"""In pen widths: points along the edge between which the middle is found."""


def thin_parts(region: BaseGeometry, inside: BaseGeometry, width: float) -> list[np.ndarray]:
    """Centrelines of what a pen of some width, kept inside, cannot reach. inside: the region pulled in by width / 2."""
    reached = shapely.buffer(inside, width / 2 * 1.02, join_style="mitre", mitre_limit=4.0)
    rest = shapely.get_parts(shapely.difference(region, reached))
    rest = rest[shapely.area(rest) > LEAST_AREA * width * width]
    lines = [line for part in rest for line in middle_lines(part, width)]
    return [line for line in lines if np.hypot(*np.diff(line, axis=0).T).sum() >= LEAST_LENGTH * width]


def middle_lines(part: BaseGeometry, width: float) -> list[np.ndarray]:
    """Polylines (n, 2) along the middle of a polygon, mm, about as wide as a pen at most.

    Chordal axis (Prasad, "Morphological analysis of shapes", CNLS Newsletter 139, 1997): points close together on
    the edge are triangulated; the middles of the sides that cross the part are joined from triangle to triangle, through
    the centre of those with three such sides. Branches shorter than the part is wide there are its corners, and go.
    """
    from scipy.spatial import Delaunay  # slow to import

    edge = shapely.segmentize(part.boundary, STEP * width)
    points = np.unique(shapely.get_coordinates(edge), axis=0)
    if len(points) < 4:
        return []
    triangles = Delaunay(points, qhull_options="QJ Pp").simplices
    centres = points[triangles].mean(axis=1)
    triangles = triangles[shapely.contains_xy(part, centres)]
    if not len(triangles):
        return []
    sides = np.sort(triangles[:, [[0, 1], [1, 2], [2, 0]]], axis=2)
    middles = points[sides].mean(axis=2)
    along_edge = shapely.dwithin(shapely.points(middles.reshape(-1, 2)), part.boundary, 1e-6 * width)
    crossing = ~along_edge.reshape(-1, 3)
    count = crossing.sum(axis=1)
    ways = []
    sleeves = np.flatnonzero(count == 2)
    ways.append(middles[sleeves][crossing[sleeves]].reshape(-1, 2, 2))
    joints = np.flatnonzero(count == 3)
    ways.append(
        np.stack(
            [middles[joints], np.repeat(centres_of(points, triangles[joints]), 3, axis=1)], axis=2
        ).reshape(-1, 2, 2)
    )
    ends = np.flatnonzero(count == 1)
    # At an end the line runs on to the corner between the two edges.
    opposite = triangles[ends][np.roll(crossing[ends], -1, axis=1)]
    ways.append(np.stack([middles[ends][crossing[ends]], points[opposite]], axis=1))
    whole = np.concatenate(ways)
    if not len(whole):
        return []
    return _chains(whole, width)


def centres_of(points: np.ndarray, triangles: np.ndarray) -> np.ndarray:
    return points[triangles].mean(axis=1)[:, None]


def _chains(ways: np.ndarray, width: float) -> list[np.ndarray]:
    """Pieces (n, 2, 2) merged at their ends, side branches shorter than a pen width left out."""
    merged = shapely.get_parts(shapely.line_merge(shapely.MultiLineString(list(np.round(ways, 9)))))
    lines = [shapely.get_coordinates(line) for line in merged]
    if len(lines) == 1:
        return lines
    ends = np.round(np.array([[line[0], line[-1]] for line in lines]), 9).reshape(-1, 2)
    _, node, degree = np.unique(ends, axis=0, return_inverse=True, return_counts=True)
    free = (degree[node.ravel()] == 1).reshape(-1, 2)
    branch = free.any(axis=1) & ~free.all(axis=1) & (shapely.length(merged) < width)
    if not branch.any():
        return lines
    kept = merged[~branch] if not branch.all() else merged
    again = shapely.get_parts(shapely.line_merge(shapely.MultiLineString(list(kept))))
    return [shapely.get_coordinates(line) for line in again]
