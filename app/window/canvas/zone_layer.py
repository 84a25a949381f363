"""The draw zone as a colour map with contour lines at its edge, and its legend."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QPointF, QRectF, QSizeF, Qt
from PySide6.QtGui import (
    QBrush,
    QColor,
    QFontMetricsF,
    QImage,
    QPainter,
    QPainterPath,
    QPalette,
    QPen,
    QPixmap,
    QPolygonF,
)

from app.document.document import Document
from app.document.language import tr, written
from app.statics.zone import LAYERS, Zone
from app.window.canvas.view import View
from app.window.canvas.wall_layer import PAPER

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
AROUND = 500.0
"""Logical pixels that a kept picture reaches beyond the view, so that panning goes on in it."""


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


@dataclass(frozen=True)
class _Kept:
    """A picture of the zone for one scale: what is seen, and some way around it."""

    pixmap: QPixmap
    corner: View
    """Its top left corner."""
    width: float
    """Logical pixels."""
    height: float

    @staticmethod
    def made(view: View, seen: QRectF, ratio: float, paint: Callable[[QPainter, View], None]) -> _Kept:
        corner = view.moved(AROUND, AROUND)
        width, height = seen.width() + 2 * AROUND, seen.height() + 2 * AROUND
        pixmap = QPixmap(math.ceil(width * ratio), math.ceil(height * ratio))
        pixmap.setDevicePixelRatio(ratio)
        pixmap.fill(Qt.GlobalColor.transparent)
        painter = QPainter(pixmap)
        paint(painter, corner)
        painter.end()
        return _Kept(pixmap, corner, width, height)

    def _offset(self, view: View) -> QPointF:
        """Where its corner is on screen: at a whole pixel, so that it is copied and not drawn anew."""
        at = view.to_screen(self.corner.left, self.corner.top)
        return QPointF(round(at.x()), round(at.y()))

    def covers(self, view: View, seen: QRectF) -> bool:
        return QRectF(self._offset(view), QSizeF(self.width, self.height)).contains(seen)

    def paint(self, painter: QPainter, view: View) -> None:
        painter.drawPixmap(self._offset(view), self.pixmap)


class ZoneLayer:
    """A painted zone; made anew for each zone or layer."""

    def __init__(self, document: Document, zone: Zone, layer: str, exact_edge: bool = True) -> None:
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

        from app.statics.zone_edge import cell_region, zone_polygons

        self._edge = QPainterPath()
        region = zone_polygons(document.wall, document.machine, zone) if exact_edge else cell_region(zone)
        pieces = [np.zeros((0, 2, 2))]
        for polygon in get_parts(region):
            for ring in (polygon.exterior, *polygon.interiors):
                corners = get_coordinates(ring)
                pieces.append(np.stack([corners[:-1], corners[1:]], axis=1))
                self._edge.addPolygon(QPolygonF([QPointF(*p) for p in corners.tolist()]))
        self._at: tuple[float, float] | None = None
        """Scale and device pixels of the last frame."""
        self._kept: _Kept | None = None
        self.edge = np.concatenate(pieces)
        """(m, 2, 2) segments of the zone's edge, mm."""

    def paint(self, painter: QPainter, view: View, palette: QPalette) -> None:
        """Paints the zone; while the wall is only moved about, from a picture of it at this scale."""
        device = painter.device()
        seen = QRectF(0, 0, device.width(), device.height())
        if (view.scale, device.devicePixelRatioF()) != self._at:
            # A new scale may hold for one frame only, as in a zoom: a picture would cost more than it saves.
            self._at, self._kept = (view.scale, device.devicePixelRatioF()), None
            self._paint(painter, view)
            return
        if self._kept is None or not self._kept.covers(view, seen):
            self._kept = _Kept.made(view, seen, device.devicePixelRatioF(), self._paint)
        self._kept.paint(painter, view)

    def _paint(self, painter: QPainter, view: View) -> None:
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

    def paint_legend(self, painter: QPainter, corner: QPointF, palette: QPalette) -> None:
        """A scale with numbers, its bottom right corner at a point of the widget."""
        layer = LAYERS[self.name]
        font = QFontMetricsF(painter.font())
        title = f"{tr(layer.title)}, {layer.unit}"
        width = max(190.0, font.horizontalAdvance(title) + 20)
        box = QRectF(corner.x() - width, corner.y() - 4.2 * font.height(), width, 4.2 * font.height())
        painter.save()
        base = QColor(palette.color(QPalette.ColorRole.Base))
        base.setAlpha(225)
        painter.setPen(palette.color(QPalette.ColorRole.Mid))
        painter.setBrush(base)
        painter.drawRoundedRect(box, 4, 4)
        painter.setPen(palette.color(QPalette.ColorRole.Text))
        inner = box.adjusted(10, 6, -10, -6)
        painter.drawText(inner, Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft, title)
        bar = QRectF(inner.left(), inner.top() + font.height() + 4, inner.width(), font.height() * 0.8)
        for i in range(STEPS):
            r, g, b = (int(v) for v in colours_of(np.array(i / (STEPS - 1))))
            piece = QRectF(bar.left() + i * bar.width() / STEPS, bar.top(), bar.width() / STEPS, bar.height())
            painter.fillRect(piece, PAPER)  # as it shows on the wall, thin over its paper
            painter.fillRect(piece, QBrush(QColor(r, g, b, OPACITY)))
        painter.drawText(
            inner, Qt.AlignmentFlag.AlignBottom | Qt.AlignmentFlag.AlignLeft, written(self.low, ".1f")
        )
        painter.drawText(
            inner, Qt.AlignmentFlag.AlignBottom | Qt.AlignmentFlag.AlignRight, written(self.high, ".1f")
        )
        painter.restore()
