"""One continuous line: a short tour through stippled points (Kaplan and Bosch, "TSP art", Bridges 2005).

A tour through points spread evenly with density n has the length k sqrt(n) per unit of area (Beardwood, Halton, Hammersley
1959), so the density of points is the square of the wanted tone. The pen does not pass through the points but rounds them:
a corner makes a hanging body stop and swing; a curve as wide as there is room for takes a third less time.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from scipy.spatial import cKDTree

from wallwright.artwork.raster.pen_layers import Tones
from wallwright.document.arrays import Floats, Points
from wallwright.document.language import tr
from wallwright.document.picture import OneLine
from wallwright.strokes.pictures.point_relaxation import spread
from wallwright.strokes.tour.search import descend

NEIGHBOURS = 7
"""Number of nearest points that the local search considers for each point."""
AT_ONCE = 10_000
"""Number of ends processed between two checks for cancel."""
LONGEST_LINK = 5.0
"""Length, in line widths, from which a link over blank ground is cut."""
BEND_POINTS = 4
"""Number of points per bend: it turns by about 70 degrees, and turns below 20 degrees count as a curve."""
NOMINAL = np.array([0.0, 0.7, 0.8, 0.9, 1.0, 1.1, 1.25, 1.4, 1.6])
COVERED = np.array([0.0, 0.597, 0.679, 0.760, 0.838, 0.905, 0.963, 0.990, 1.0])
"""Share of the wall under a rounded line about points of density (nominal / line width)², as measured."""


def one_line(
    tones: Tones,
    pen_width: float,
    style: OneLine,
    progress: Callable[[float], None],
    tell: Callable[[str], None],
) -> list[Floats]:
    """Returns one polyline, mm; for one layer of several, as few as possible. Each piece (n, 2)."""
    density = (np.interp(tones.tone, COVERED, NOMINAL) / pen_width) ** 2
    wanted, most = float(density.sum()) * tones.cell**2, style.turns * 1000
    if wanted > most:
        share = float(np.sqrt(most / wanted))
        tell(
            tr(
                "its tone needs a line of {0:.0f} thousand turns; with {1:g} thousand it is drawn at {2:.0f} % "
                "of the tone. Use a broader pen, a smaller picture or more turns.",
                wanted / 1000,
                style.turns,
                100 * share,
            )
        )
        density *= share**2
    points = spread(density, tones.cell, lambda done: progress(0.7 * done), tones.seed)
    if len(points) < 2:
        return []
    path = tour_through(points, lambda done: progress(0.7 + 0.3 * done))
    pieces = lifted(path, tones, pen_width) if tones.is_layer else [path]
    return [bent(piece) for piece in pieces]


def bent(path: Points) -> Points:
    """Returns the path (n, 2) along parabolas from the midpoint of each leg to that of the next, tangent to both: a
    quadratic B-spline, as wide at every turn as its legs allow. It keeps the ends of the path."""
    if len(path) < 3:
        return path
    middle = (path[1:] + path[:-1]) / 2
    t = np.linspace(0, 1, BEND_POINTS, endpoint=False)[:, None]
    a, b, c = middle[:-1, None], path[1:-1, None], middle[1:, None]
    bends = (1 - t) ** 2 * a + 2 * t * (1 - t) * b + t**2 * c
    return np.concatenate([path[:1], bends.reshape(-1, 2), middle[-1:], path[-1:]])


def lifted(path: Points, tones: Tones, pen_width: float) -> list[Points]:
    """Returns a layer's line cut where it would cross the area of another pen, which may be wet.

    path and pieces: (n, 2) mm.
    """
    begin, move = path[:-1], np.diff(path, axis=0)
    long = np.flatnonzero(np.hypot(*move.T) > LONGEST_LINK * pen_width)
    share = (np.arange(16) + 0.5) / 16
    on_the_way = begin[long, None] + share[:, None] * move[long, None]
    blank = tones.at(on_the_way.reshape(-1, 2)).reshape(-1, 16) <= 0
    cuts = long[blank.mean(axis=1) > 0.5] + 1
    return [piece for piece in np.split(path, cuts) if len(piece) > 1]


def tour_through(points: Points, progress: Callable[[float], None]) -> Points:
    """Returns the points (n, 2), which follow Hilbert's curve, in the order of a shorter open path.

    The local search of the stroke order is used, for strokes without length: the ends 2 i and 2 i + 1 are both the point i.
    """
    n = len(points)
    if n < 5:
        return points
    distance, other = map(np.asarray, cKDTree(points).query(points, k=min(NEIGHBOURS + 1, n)))
    progress(0.2)
    # The last two ends are those of the start, which is not a stroke: the path may end anywhere.
    near = np.full((2 * n + 2, 2 * (other.shape[1] - 1)), -1, dtype=np.int32)
    near[:-2] = np.repeat(2 * np.repeat(other[:, 1:], 2, axis=1), 2, axis=0)
    near[:-2, 1::2] += 1
    reach = np.zeros(near.shape)
    reach[:-2] = np.repeat(np.repeat(distance[:, 1:], 2, axis=1), 2, axis=0)
    ends = np.concatenate([np.repeat(points, 2, axis=0), points[:1], points[:1]])
    tour = np.arange(2 * n + 2, dtype=np.int32)
    # At unit speed and without a ramp, time equals length.
    given = ends, near, reach, np.array([1.0, 1e18]), tour, tour.copy()
    for first in range(0, 2 * n, AT_ONCE):
        progress(0.2 + 0.8 * first / (2 * n))
        descend(*given, first, min(first + AT_ONCE, 2 * n))
    ring = tour[::2] // 2
    seam = int(np.argmax(ring == n))
    path = np.append(ring[seam + 1 :], ring[:seam])
    return points[path if tour[2 * seam] == 2 * n else path[::-1]]
