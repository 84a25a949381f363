"""State icons: OK, note, warning, error. Each has its own shape and colour, for light and dark ground."""

from __future__ import annotations

from enum import Enum

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPalette, QPen, QPixmap, QPolygonF

from wallwright.window.widgets.theme import Role, colour

GRID = 16.0
"""Side of the square in which the shapes are defined."""


class State(Enum):
    """State of an icon. The values are the roles of their colours."""

    OK = Role.OK
    NOTE = Role.NOTE
    WARNING = Role.WARNING
    ERROR = Role.ERROR
    BUSY = Role.BUSY


def colour_of(state: State, palette: QPalette) -> QColor:
    return colour(state.value, palette)


def paint_state(painter: QPainter, place: QRectF, state: State, palette: QPalette, share: float = 0.0) -> None:
    """Paints an icon into a square. share: progress of BUSY, 0 to 1."""
    shade = colour_of(state, palette)
    glyph = QPen(palette.color(QPalette.ColorRole.Window), 1.8)
    glyph.setCapStyle(Qt.PenCapStyle.RoundCap)
    glyph.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.translate(place.topLeft())
    painter.scale(place.width() / GRID, place.height() / GRID)
    if state is State.BUSY:
        _paint_busy(painter, shade, share)
        painter.restore()
        return
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(shade)
    if state is State.WARNING:
        painter.setPen(QPen(shade, 2.0, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin))
        painter.drawPolygon(QPolygonF([QPointF(8, 2.2), QPointF(14.4, 13.6), QPointF(1.6, 13.6)]))
    elif state is State.ERROR:
        corners = ((5, 1), (11, 1), (15, 5), (15, 11), (11, 15), (5, 15), (1, 11), (1, 5))
        painter.drawPolygon(QPolygonF([QPointF(*corner) for corner in corners]))
    else:
        painter.drawEllipse(QPointF(8, 8), 7.0, 7.0)
    painter.setPen(glyph)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    if state is State.OK:
        painter.drawPolyline([QPointF(4.8, 8.2), QPointF(7.1, 10.6), QPointF(11.4, 5.6)])
    elif state is State.ERROR:
        painter.drawLine(QPointF(5.5, 5.5), QPointF(10.5, 10.5))
        painter.drawLine(QPointF(10.5, 5.5), QPointF(5.5, 10.5))
    elif state is State.NOTE:
        painter.drawLine(QPointF(8, 7.4), QPointF(8, 11.4))
        painter.drawPoint(QPointF(8, 4.6))
    else:
        painter.drawLine(QPointF(8, 5.6), QPointF(8, 9.2))
        painter.drawPoint(QPointF(8, 12.0))
    painter.restore()


def _paint_busy(painter: QPainter, shade: QColor, share: float) -> None:
    ring = QRectF(2, 2, 12, 12)
    faint = QColor(shade)
    faint.setAlphaF(0.35)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(faint, 2.4))
    painter.drawEllipse(ring)
    painter.setPen(QPen(shade, 2.4))
    painter.drawArc(ring, 90 * 16, -round(360 * 16 * min(max(share, 0.0), 1.0)))


def state_pixmap(state: State, palette: QPalette, side: int = 16, ratio: float = 2.0) -> QPixmap:
    """Returns the icon as a pixmap, sharp on high-resolution screens. side: logical px."""
    pixmap = QPixmap(QSize(round(side * ratio), round(side * ratio)))
    pixmap.fill(Qt.GlobalColor.transparent)
    pixmap.setDevicePixelRatio(ratio)
    painter = QPainter(pixmap)
    paint_state(painter, QRectF(0, 0, side, side), state, palette)
    painter.end()
    return pixmap
