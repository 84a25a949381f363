"""Keep-outs: hatched, named, with handles at the corners and sides of the selected one."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QFontMetricsF, QPainter, QPen, QPolygonF

from wallwright.document.document import Document
from wallwright.document.wall import KeepOut
from wallwright.window.canvas.artwork_layer import CHOSEN
from wallwright.window.canvas.view import View
from wallwright.window.canvas.wall_layer import tag
from wallwright.window.model.items import KeepOutItem
from wallwright.window.widgets.theme import OnWall, on_wall

LEAST_NAME = 80.0
"""Logical pixels for the name of a keep-out that is narrower."""


def paint_keep_outs(painter: QPainter, view: View, document: Document, selected: KeepOutItem | None) -> None:
    """selected: has handles."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    for number, keep_out in enumerate(document.wall.keep_outs):
        chosen = selected == KeepOutItem(number)
        shape = QPolygonF([view.to_screen(*p) for p in keep_out.outline])
        painter.setPen(QPen(CHOSEN, 2.0) if chosen else QPen(on_wall(OnWall.QUIET), 1.0))
        painter.setBrush(QColor(214, 210, 200, 190))
        painter.drawPolygon(shape)
        painter.setBrush(QBrush(QColor(120, 116, 108, 120), Qt.BrushStyle.BDiagPattern))
        painter.drawPolygon(shape)
        box = shape.boundingRect()
        metrics = QFontMetricsF(painter.font())
        if metrics.horizontalAdvance(keep_out.name) + 4 < box.width():
            tag(painter, box.center(), keep_out.name)
        else:  # beside it; the page of a keep-out has its whole name
            room = max(LEAST_NAME, box.width())
            name = metrics.elidedText(keep_out.name, Qt.TextElideMode.ElideMiddle, room)
            tag(painter, QPointF(box.center().x(), box.bottom() + 12), name)
        if chosen:
            _paint_handles(painter, view, keep_out)
    painter.restore()


def corner_points(view: View, keep_out: KeepOut) -> list[QPointF]:
    """Where the corners are on the widget."""
    return [view.to_screen(*p) for p in keep_out.outline]


def side_points(view: View, keep_out: KeepOut) -> list[QPointF]:
    """Where the middles of the sides are on the widget, the side after each corner."""
    corners = corner_points(view, keep_out)
    return [(a + b) / 2 for a, b in zip(corners, [*corners[1:], corners[0]], strict=True)]


def _paint_handles(painter: QPainter, view: View, keep_out: KeepOut) -> None:
    painter.setPen(QPen(CHOSEN, 1.5))
    painter.setBrush(QColor("#ffffff"))
    for at in side_points(view, keep_out):
        painter.drawEllipse(at, 3.5, 3.5)
    for at in corner_points(view, keep_out):
        painter.drawRect(QRectF(at.x() - 4.5, at.y() - 4.5, 9, 9))
