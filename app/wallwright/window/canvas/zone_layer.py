"""The draw zone as a colour map with contour lines at its edge, and its legend."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import (
    QColor,
    QImage,
    QPainter,
    QPainterPath,
    QPen,
    QPolygonF,
)

from wallwright.document.document import Document
from wallwright.statics.draw_zone import DrawZone
from wallwright.window.canvas.view import View

# Nine steps of cividis (Nuñez, Anderton, Renslow, "Optimizing colormaps with consideration for color vision
# deficiency", PLoS ONE 13, 2018; values from memory): perceptually uniform, the same to colour-blind eyes.
CIVIDIS = np.array(
    [[0, 34, 78], [18, 53, 112], [59, 73, 108], [87, 93, 109], [112, 113, 115], [138, 134, 120], [165, 156, 116],
     [195, 180, 105], [253, 234, 69]], dtype=float,
)  # fmt: skip
STEPS = 8
OPACITY = 110
FINER = 4
"""Picture points for each grid point each way: steps then follow the lines of equal value, not the grid."""
CONTOUR = (28, 39, 51, 120)


def colours_of(share: np.ndarray) -> np.ndarray:
    """(..., 3) uint8 for values in 0..1."""
    at = np.clip(share, 0, 1) * (len(CIVIDIS) - 1)
    return np.stack(
        [np.interp(at, np.arange(len(CIVIDIS)), CIVIDIS[:, i]) for i in range(3)], axis=-1
    ).astype(np.uint8)


def _finer(values: np.ndarray, times: int) -> np.ndarray:
    """(r, c) values of cells as (r * times, c * times), linear between the cells' middles; nan spreads by a cell."""
    for axis in (0, 1):
        if times == 1 or values.shape[axis] < 2:
            continue
        n = values.shape[axis]
        at = np.clip((np.arange(n * times) + 0.5) / times - 0.5, 0, n - 1)
        low = np.minimum(at.astype(np.int64), n - 2)
        share = (at - low)[:, None] if axis == 0 else at - low
        below, above = np.take(values, low, axis), np.take(values, low + 1, axis)
        # Where only one side is known, it goes on: the picture is cut at the zone's edge anyway.
        below, above = np.where(np.isnan(below), above, below), np.where(np.isnan(above), below, above)
        values = below + share * (above - below)
    return values


class ZoneLayer:
    """A painted zone; made anew for each zone or layer."""

    def __init__(self, document: Document, zone: DrawZone, layer: str, exact_edge: bool = True) -> None:
        """exact_edge: False leaves the edge as coarse as the grid, which is quick enough for every mouse move."""
        self.zone, self.name = zone, layer
        values = zone.layer(layer)
        inside = zone.bits == 0
        seen = values[inside & np.isfinite(values)]
        self.low, self.high = (float(seen.min()), float(np.percentile(seen, 99))) if len(seen) else (0.0, 1.0)
        span = max(self.high - self.low, 1e-9)
        values = _finer(values, FINER if exact_edge else 1)
        # In steps, with contour lines between them, so that colour is not the only carrier.
        step = np.floor(np.clip((np.nan_to_num(values) - self.low) / span, 0, 0.999) * STEPS).astype(np.int16)
        pixels = np.zeros((*values.shape, 4), dtype=np.uint8)
        pixels[..., :3] = colours_of(np.arange(STEPS) / (STEPS - 1))[step]
        pixels[..., 3] = np.where(np.isfinite(values), OPACITY, 0)
        if exact_edge:
            border = np.zeros(step.shape, dtype=bool)
            border[:, 1:] |= step[:, 1:] != step[:, :-1]
            border[1:] |= step[1:] != step[:-1]
            pixels[border & np.isfinite(values)] = CONTOUR
        self._pixels = np.ascontiguousarray(pixels)
        rows, columns = values.shape
        self._image = QImage(self._pixels.data, columns, rows, 4 * columns, QImage.Format.Format_RGBA8888)
        half_x, half_y = (zone.x[1] - zone.x[0]) / 2, (zone.y[1] - zone.y[0]) / 2
        self._box = (zone.x[0] - half_x, zone.y[0] - half_y, zone.x[-1] + half_x, zone.y[-1] + half_y)
        from shapely import get_coordinates, get_parts  # takes a moment, and the first page has no zone

        from wallwright.statics.zone_boundary import cell_region, zone_polygons

        self._edge = QPainterPath()
        region = zone_polygons(document.wall, document.machine, zone) if exact_edge else cell_region(zone)
        pieces = [np.zeros((0, 2, 2))]
        for polygon in get_parts(region):
            for ring in (polygon.exterior, *polygon.interiors):
                corners = get_coordinates(ring)
                pieces.append(np.stack([corners[:-1], corners[1:]], axis=1))
                self._edge.addPolygon(QPolygonF([QPointF(*p) for p in corners.tolist()]))
        self.edge = np.concatenate(pieces)
        """(m, 2, 2) segments of the zone's edge, mm."""

    def paint(self, painter: QPainter, view: View) -> None:
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.scale(view.scale, view.scale)
        painter.translate(-view.left, -view.top)
        painter.save()
        painter.setClipPath(self._edge, Qt.ClipOperation.IntersectClip)
        left, top, right, bottom = self._box
        painter.drawImage(QRectF(left, top, right - left, bottom - top), self._image)
        painter.restore()
        pen = QPen(QColor("#1c2733"), 1.5)  # the wall is light in dark mode too
        pen.setCosmetic(True)
        painter.setPen(pen)
        painter.drawPath(self._edge)
        painter.restore()
