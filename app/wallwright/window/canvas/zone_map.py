"""A number over the draw zone as a map: bands of colour with contour lines between them.

Bands and lines are outlines in mm, so they stay smooth however far the wall is zoomed in.
"""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QPointF
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen, QPolygonF
from shapely import get_coordinates, get_parts, intersection
from shapely.geometry.base import BaseGeometry

from wallwright.statics.draw_zone import DrawZone
from wallwright.window.canvas.colour_map import MAP_OPACITY, STEPS, colours_of
from wallwright.window.canvas.contours import Array, Contours, region_path

CONTOUR = QColor(28, 39, 51, 120)
HIGHEST = 99.0
"""Percentile of the values in the zone at which the colours end: a few extreme points would take all of them."""
CELLS_BEYOND = 2
"""Grid cells by which values go on beyond where they are known; the map is cut at the zone's edge."""


class ZoneMap:
    """One layer of one draw zone."""

    def __init__(self, zone: DrawZone, region: BaseGeometry, name: str) -> None:
        """region: the zone as a (multi)polygon, mm, to which the map is cut; name: of a layer of LAYERS."""
        self.name = name
        values = zone.layer(name)
        known = values[(zone.bits == 0) & np.isfinite(values)]
        self.low, self.high = 0.0, 1.0
        """The numbers at the two ends of the colours, in the layer's unit."""
        if len(known):
            self.low, self.high = float(known.min()), float(np.percentile(known, HIGHEST))
        levels = np.linspace(self.low, max(self.high, self.low + 1e-9), STEPS + 1)[1:-1].tolist()
        contours = Contours(zone.x, zone.y, _extended(values))
        self._bands: list[tuple[QColor, QPainterPath]] = []
        for share, low, high in zip(np.linspace(0, 1, STEPS), [-np.inf, *levels], [*levels, np.inf], strict=True):
            r, g, b = colours_of(share).tolist()
            band = intersection(contours.region(low, high), region)
            self._bands.append((QColor(r, g, b, MAP_OPACITY), region_path(band)))
        lines = intersection(contours.lines(levels), region)
        self.lines: list[Array] = [get_coordinates(line) for line in get_parts(lines)]
        """(k, 2) points of each contour line, mm."""
        self._lines = QPainterPath()
        for line in self.lines:
            self._lines.addPolygon(QPolygonF([QPointF(x, y) for x, y in line.tolist()]))

    def paint(self, painter: QPainter) -> None:
        """Paints the map; painter: in mm of the wall."""
        # The lines cover the borders of the bands: soft ones would cost three times as much at every step of a zoom.
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        for colour, path in self._bands:
            painter.fillPath(path, colour)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        pen = QPen(CONTOUR, 1.0)
        pen.setCosmetic(True)
        painter.strokePath(self._lines, pen)


def _extended(values: Array) -> Array:
    """(r, c) values that go on for a few cells beyond where they are known, as the mean of their known neighbours."""
    for _ in range(CELLS_BEYOND):
        around = np.pad(values, 1, constant_values=np.nan)
        neighbours = np.stack([around[:-2, 1:-1], around[2:, 1:-1], around[1:-1, :-2], around[1:-1, 2:]])
        is_known = np.isfinite(neighbours)
        count = is_known.sum(axis=0)
        mean = np.where(is_known, neighbours, 0.0).sum(axis=0) / np.maximum(count, 1)
        values = np.where(np.isfinite(values) | (count == 0), values, mean)
    return values
