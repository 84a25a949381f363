"""Shapes of the body and of keep-outs on the wall, valid for any outline that a person enters.

An outline may have no area (three collinear or coincident corners) or cross itself. The area to avoid is never smaller than
what was drawn: a keep-out is its line and everything that the line encloses; a self-crossing body becomes the convex hull
of its corners.
"""

from __future__ import annotations

import functools
from typing import TYPE_CHECKING

import numpy as np

from wallwright.document.edits_keep_outs import box_of, is_simple
from wallwright.document.wall import Point

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

Outline = tuple[Point, ...]
LEAST_BODY = 10.0
"""Smallest width of a body outline, mm: no body with two motors is narrower; a smaller outline is a mistake."""


@functools.lru_cache(maxsize=64)
def keep_out_area(outline: Outline) -> BaseGeometry:
    """Returns a keep-out's outline and all that it encloses, mm: a line or a point if it encloses nothing."""
    import shapely  # slow to import: kept out of the window's start

    if is_simple(outline):
        return shapely.Polygon(outline)
    corners = [*outline, outline[0]]
    line = shapely.Point(outline[0]) if len(set(outline)) == 1 else shapely.LineString(corners)
    faces = shapely.get_parts(shapely.polygonize([shapely.unary_union(line)]))
    return shapely.union_all([line, *faces])


@functools.lru_cache(maxsize=16)
def body_outline(outline: Outline) -> Outline:
    """Returns a simple outline of the body, mm: as given, or its hull if it crosses itself; never narrower than
    LEAST_BODY."""
    import shapely

    left, top, right, bottom = box_of(outline)
    if min(right - left, bottom - top) >= LEAST_BODY:
        if is_simple(outline):
            return outline
        hull = shapely.MultiPoint(outline).convex_hull
        if hull.area >= LEAST_BODY**2:
            return tuple(map(tuple, shapely.get_coordinates(hull)[:-1].tolist()))
        # Corners on a slanted line.
        wide = shapely.MultiPoint(outline).convex_hull.buffer(LEAST_BODY / 2, quad_segs=1, cap_style="square")
        return tuple(map(tuple, shapely.get_coordinates(wide.convex_hull)[:-1].tolist()))
    more_x, more_y = (max(0.0, LEAST_BODY - size) / 2 for size in (right - left, bottom - top))
    left, top, right, bottom = left - more_x, top - more_y, right + more_x, bottom + more_y
    return (left, top), (right, top), (right, bottom), (left, bottom)


def area_of(outline: Outline) -> float:
    """Returns the area of a simple outline, mm² (the shoelace formula)."""
    x, y = np.array(outline, dtype=float).T
    return abs(float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum())) / 2
