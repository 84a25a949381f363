"""Contour fill: the region's edge again and again, each a spacing further in, joined into runs."""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from wallwright.artwork.shape_regions import rings_of
from wallwright.document.arrays import Flags, Floats, Points
from wallwright.document.document import Fill
from wallwright.strokes.fills.progress import Progress, no_progress
from wallwright.strokes.fills.spacing import spacing_of

LONGEST_STEP = 1.6
"""Spacings from one ring to the next: at a sharp corner the rings are further apart than a spacing."""
MANY, SMOOTH = 20_000, 2e-3
"""From so many points on, rings have fewer: they may be moved by so many spacings."""


def contour(region: BaseGeometry, fill: Fill, pen_width: float, progress: Progress = no_progress) -> list[Floats]:
    """Polylines, mm, outermost ring first; the first ring lies a spacing inside the given region.

    A ring drawn all around is followed by the ring inside it that comes nearest, begun where it is nearest, so that the
    pen steps over without being lifted; where rings part into several, the others begin runs of their own.
    Each (n, 2).
    """
    spacing = spacing_of(fill, pen_width)
    runs: list[Points] = []
    open_runs: list[list[Points]] = []
    inner = region
    whole = max(region.area, 1e-300)
    while True:
        progress(1 - inner.area / whole)
        inner = further_in(inner, spacing)
        rings = rings_of(inner)
        if not rings:
            return runs + [np.concatenate(run) for run in open_runs]
        grown = []
        free = [True] * len(rings)
        shapes = np.array([shapely.LinearRing(ring) for ring in rings])
        for run in open_runs:
            end = shapely.Point(run[-1][-1])
            distance = np.where(free, shapely.distance(shapes, end), np.inf)
            nearest = int(np.argmin(distance))
            if distance[nearest] > LONGEST_STEP * spacing:
                runs.append(np.concatenate(run))
                continue
            free[nearest] = False
            run.append(_begun_near(rings[nearest], shapes[nearest], end))
            grown.append(run)
        open_runs = grown + [[ring] for ring, unused in zip(rings, free, strict=True) if unused]


def further_in(region: BaseGeometry, spacing: float) -> BaseGeometry:
    """The region pulled in by a spacing. Where it has many points, those that say nothing go: else each ring would have
    more of them than the one before, millions in the end."""
    inner = shapely.buffer(region, -spacing, join_style="round", quad_segs=8)
    return shapely.simplify(inner, SMOOTH * spacing) if shapely.get_num_coordinates(inner) > MANY else inner


def _begun_near(ring: Points, shape: shapely.LinearRing, place: shapely.Point) -> Points:
    """The closed ring (n, 2) begun at its point nearest to a place, which need not be a corner."""
    at = shapely.line_locate_point(shape, place)
    point = shapely.get_coordinates(shapely.line_interpolate_point(shape, at))
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(ring, axis=0).T))])
    first = int(np.searchsorted(along, at, side="right"))
    turned = np.concatenate([point, ring[first:-1], ring[:first], point])
    moves: Flags = np.any(np.diff(turned, axis=0) != 0, axis=1)
    result: Points = turned[np.append(True, moves)]
    return result
