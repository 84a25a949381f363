"""Contour fill: rings parallel to the region's edge, each inset by a spacing, joined into continuous runs.

Where rings lie side by side, the remaining core is narrower than two of them: it is drawn along its own centreline, or as a
dot, so that no gap stays.
"""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from wallwright.artwork.shape_regions import rings_of
from wallwright.document.arrays import Flags, Floats, Points
from wallwright.document.document import Fill
from wallwright.strokes.fills.progress import Progress, no_progress
from wallwright.strokes.fills.spacing import flat_spacing_of
from wallwright.strokes.thin_parts import middle_lines

LONGEST_STEP = 1.6
"""Longest step from one ring to the next, in spacings: at a sharp corner the rings are further apart than a spacing."""
SIDE_BY_SIDE = 1.1
"""Largest ring distance, in pen widths, at which the fill is meant to leave no gaps."""
LEAST_CORE = 0.03
"""Smallest visible core in the middle, in squares of the pen width."""
LEAST_CORNER = 0.25
"""Smallest visible gap in the tip of a corner, in squares of the pen width: it occurs in corners of less than about 50
degrees."""
DAB = 0.1
"""Movement of the pen in a dot, in pen widths."""
MANY, SMOOTH = 20_000, 2e-3
"""Number of points above which rings are simplified, and the tolerance, in spacings."""


def contour(region: BaseGeometry, fill: Fill, pen_width: float, progress: Progress = no_progress) -> list[Floats]:
    """Returns polylines, mm, outermost ring first; the first ring lies a spacing inside the given region.

    Each closed ring is followed by the nearest ring inside it, begun at its nearest point, so that the pen steps over
    without being lifted; where a ring splits into several, the others begin runs of their own. Each (n, 2).
    """
    spacing = flat_spacing_of(fill, pen_width)
    runs: list[Points] = []
    open_runs: list[list[Points]] = []
    inner = region
    whole = max(region.area, 1e-300)
    has_cores = spacing <= SIDE_BY_SIDE * pen_width
    while True:
        progress(1 - inner.area / whole)
        outer, inner = inner, further_in(inner, spacing)
        rings = rings_of(inner)
        cores = cores_between(outer, inner, pen_width) if has_cores else []
        if not rings:
            return runs + [_with_core(run, cores, spacing) for run in open_runs] + cores
        grown = []
        free = [True] * len(rings)
        shapes = np.array([shapely.LinearRing(ring) for ring in rings])
        for run in open_runs:
            end = shapely.Point(run[-1][-1])
            distance = np.where(free, shapely.distance(shapes, end), np.inf)
            nearest = int(np.argmin(distance))
            if distance[nearest] > LONGEST_STEP * spacing:
                runs.append(_with_core(run, cores, spacing))
                continue
            free[nearest] = False
            run.append(_begun_near(rings[nearest], shapes[nearest], end))
            grown.append(run)
        runs.extend(cores)
        open_runs = grown + [[ring] for ring, unused in zip(rings, free, strict=True) if unused]


def cores_between(outer: BaseGeometry, inner: BaseGeometry, pen_width: float) -> list[Points]:
    """Returns lines (n, 2), mm, that cover the gap left by the ink along the edges of two nested regions."""
    bare = shapely.buffer(outer, -pen_width / 2, join_style="mitre")
    if bare.is_empty:
        return []
    reached = shapely.buffer(inner, pen_width / 2 * 1.01, quad_segs=8)
    rest = shapely.get_parts(shapely.difference(bare, reached))
    rest = rest[shapely.area(rest) > LEAST_CORE * pen_width**2]
    corners = shapely.buffer(inner, pen_width / 2 * 1.01, join_style="mitre", mitre_limit=4.0)
    is_core = shapely.area(shapely.difference(rest, corners)) > LEAST_CORE * pen_width**2
    rest = rest[is_core | (shapely.area(rest) > LEAST_CORNER * pen_width**2)]
    if not len(rest):
        return []
    lines, part = middle_lines(rest, pen_width)
    long = shapely.length(lines) > pen_width / 2
    found = [shapely.get_coordinates(line) for line in lines[long]]
    is_short = ~np.isin(np.arange(len(rest)), part[long])
    middles = shapely.get_coordinates(shapely.point_on_surface(rest[is_short]))
    half = np.array([DAB * pen_width / 2, 0.0])
    return found + [np.array([middle - half, middle + half]) for middle in middles]


def _with_core(run: list[Points], cores: list[Points], spacing: float) -> Points:
    """Returns the run extended by the core that begins or ends beside its own end, if there is one; that core is removed
    from the list."""
    end = run[-1][-1]
    ends = [(float(np.hypot(*(core[at] - end))), number, at) for number, core in enumerate(cores) for at in (0, -1)]
    if not ends:
        return np.concatenate(run)
    away, number, at = min(ends)
    if away > LONGEST_STEP * spacing:
        return np.concatenate(run)
    core = cores.pop(number)
    return np.concatenate([*run, core if at == 0 else core[::-1]])


def further_in(region: BaseGeometry, spacing: float) -> BaseGeometry:
    """Returns the region inset by a spacing. Redundant points of large regions are removed: otherwise each ring would
    have more of them than the one before, millions in the end."""
    inner = shapely.buffer(region, -spacing, join_style="round", quad_segs=8)
    return shapely.simplify(inner, SMOOTH * spacing) if shapely.get_num_coordinates(inner) > MANY else inner


def _begun_near(ring: Points, shape: shapely.LinearRing, place: shapely.Point) -> Points:
    """Returns the closed ring (n, 2) begun at its point nearest to a place, which need not be a corner."""
    at = shapely.line_locate_point(shape, place)
    point = shapely.get_coordinates(shapely.line_interpolate_point(shape, at))
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(ring, axis=0).T))])
    first = int(np.searchsorted(along, at, side="right"))
    turned = np.concatenate([point, ring[first:-1], ring[:first], point])
    moves: Flags = np.any(np.diff(turned, axis=0) != 0, axis=1)
    result: Points = turned[np.append(True, moves)]
    return result
