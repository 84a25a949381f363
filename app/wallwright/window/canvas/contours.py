"""Regions and lines of equal value over a grid, mm, and their way to the screen. Imports shapely and contourpy."""

from __future__ import annotations

from itertools import pairwise
from typing import cast

import numpy as np
import numpy.typing as npt
from contourpy import FillType, LineType, contour_generator
from PySide6.QtCore import QPointF
from PySide6.QtGui import QPainterPath, QPolygonF
from shapely import LineString, MultiLineString, MultiPolygon, Polygon, get_coordinates, get_parts, get_rings
from shapely.geometry.base import BaseGeometry

from wallwright.statics.draw_zone import DrawZone

Array = npt.NDArray[np.float64]


class Contours:
    """Of values (r, c) at the points of a grid, x (c,) and y (r,) mm; linear between the points, nothing where values are
    not finite."""

    def __init__(self, x: Array, y: Array, values: Array) -> None:
        self._generator = contour_generator(
            x, y, np.ma.masked_invalid(values), fill_type=FillType.OuterOffset, line_type=LineType.Separate
        )

    def region(self, low: float, high: float) -> MultiPolygon:
        """Where values are between two numbers."""
        parts = []
        for points, offsets in zip(*self._generator.filled(low, high), strict=True):
            outer, *holes = (points[a:b] for a, b in pairwise(offsets.tolist()))
            parts.append(Polygon(outer, holes))
        return MultiPolygon(parts)

    def lines(self, levels: list[float]) -> MultiLineString:
        """Where values are one of some numbers."""
        found: list[LineString] = []
        for level in levels:
            lines = cast("list[Array]", self._generator.lines(level))  # of LineType.Separate
            found += [LineString(line) for line in lines if len(line) > 1]
        return MultiLineString(found)


def coarse_region(zone: DrawZone) -> MultiPolygon:
    """A draw zone to about half a cell of its grid: where at least half of the points around are inside.

    The points around weigh 1, 2, 1 in each direction, which rounds the steps of the grid's cells.
    """
    share = np.pad((zone.bits == 0).astype(np.float64), 1, mode="edge")
    share = (share[:-2] + 2 * share[1:-1] + share[2:]) / 4
    share = (share[:, :-2] + 2 * share[:, 1:-1] + share[:, 2:]) / 4
    return Contours(zone.x, zone.y, share).region(0.5, np.inf)


def region_path(region: BaseGeometry) -> QPainterPath:
    """The rings of a (multi)polygon; filled where a point is within an odd number of them."""
    path = QPainterPath()
    for ring in get_rings(get_parts(region)):
        path.addPolygon(QPolygonF([QPointF(x, y) for x, y in get_coordinates(ring).tolist()]))
    return path
