"""Parts of a region too thin for the pen: drawn once, along their middle."""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from app.artwork.regions import rings_of

LEAST_LENGTH = 1.0
"""In pen widths: a thin part shorter than this is covered by its neighbours' ink, or is a speck."""
LEAST_AREA = 0.05
"""In squares of the pen width."""
STEP, LEAST_STEP = 0.5, 0.03
"""Between points along the edge from which the middle is found: in mean widths of the part, as Delaunay's triangles
keep to the edge only where it is sampled more finely than it is wide; at least so many pen widths."""
FLAT = 1e-7
"""In mean widths of the part: nearer to the edge is on it."""
SMOOTH = 0.1
"""In mean widths of the part: how far the line may be moved to be straighter."""


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
    the centre of those with three such sides. Branches shorter than the part is wide are its corners, and go.
    """
    from scipy.spatial import Delaunay  # slow to import

    thickness = 2 * part.area / part.length
    edge = shapely.segmentize(part, max(STEP * thickness, LEAST_STEP * width))
    rings = [ring[:-1] for ring in rings_of(edge)]
    points = np.concatenate(rings)
    if len(points) < 4:
        return []
    onward = np.concatenate(
        [np.roll(np.arange(len(r)), -1) + n for r, n in zip(rings, _before(rings), strict=True)]
    )
    triangles = Delaunay(points, qhull_options="QJ Pp").simplices
    shapely.prepare(part)
    x, y, z = np.moveaxis(points[triangles], 1, 0)
    double_area = np.abs(
        (y[:, 0] - x[:, 0]) * (z[:, 1] - x[:, 1]) - (y[:, 1] - x[:, 1]) * (z[:, 0] - x[:, 0])
    )
    # Points of a straight edge make triangles too, flat ones.
    triangles = triangles[(double_area > FLAT * thickness**2) & shapely.contains_xy(part, (x + y + z) / 3)]
    if not len(triangles):
        return []
    sides = triangles[:, [[0, 1], [1, 2], [2, 0]]]
    a, b = sides[..., 0], sides[..., 1]
    crossing = (onward[a] != b) & (onward[b] != a)
    middles = points[sides].mean(axis=2)
    boundary = part.boundary
    shapely.prepare(boundary)
    crossing[crossing] = ~shapely.dwithin(boundary, shapely.points(middles[crossing]), FLAT * thickness)
    count = crossing.sum(axis=1)
    sleeves, joints, ends = (np.flatnonzero(count == n) for n in (2, 3, 1))
    centres = np.repeat(points[triangles[joints]].mean(axis=1)[:, None], 3, axis=1)
    # At an end the line runs on to the corner between the two edges.
    corners = points[triangles[ends][np.roll(crossing[ends], -1, axis=1)]]
    ways = np.concatenate(
        [
            middles[sleeves][crossing[sleeves]].reshape(-1, 2, 2),
            np.stack([middles[joints], centres], axis=2).reshape(-1, 2, 2),
            np.stack([middles[ends][crossing[ends]], corners], axis=1),
        ]
    )
    return _chains(ways, thickness) if len(ways) else []


def _before(rings: list[np.ndarray]) -> np.ndarray:
    """How many points there are before each ring's."""
    return np.cumsum([0] + [len(ring) for ring in rings[:-1]])


def _chains(ways: np.ndarray, thickness: float) -> list[np.ndarray]:
    """Pieces (n, 2, 2) merged at their ends. Side branches no longer than the part is wide are left out, and again,
    for they may branch themselves."""
    merged = _merged(shapely.linestrings(np.round(ways, 9)))
    while len(merged) > 1:
        starts, stops = (shapely.get_coordinates(shapely.get_point(merged, n)) for n in (0, -1))
        ends = np.concatenate([starts, stops])
        _, node, degree = np.unique(ends, axis=0, return_inverse=True, return_counts=True)
        free = (degree[node.ravel()] == 1).reshape(2, -1)
        twig = free.any(axis=0) & (shapely.length(merged) <= thickness)
        if not twig.any() or twig.all():
            break
        merged = _merged(merged[~twig])
    return [shapely.get_coordinates(line) for line in shapely.simplify(merged, SMOOTH * thickness)]


def _merged(lines: np.ndarray) -> np.ndarray:
    return shapely.get_parts(shapely.line_merge(shapely.multilinestrings(lines)))
