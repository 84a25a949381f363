"""What is painted only while something is dragged: the rectangle that selects, and the numbers at the pointer."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPalette, QPen

from app.window.canvas.artwork_layer import CHOSEN
from app.window.canvas.drag import Drag
from app.window.canvas.view import View


def paint_drag(painter: QPainter, view: View, drag: Drag, at: QPointF, palette: QPalette) -> None:
    """at: the pointer on the widget."""
    painter.save()
    if drag.band is not None:
        painter.setPen(QPen(CHOSEN, 1.0, Qt.PenStyle.DashLine))
        painter.setBrush(QColor(CHOSEN.red(), CHOSEN.green(), CHOSEN.blue(), 30))
        painter.drawRect(view.rect_to_screen(*drag.band.getCoords()))
    if drag.readout:
        _paint_readout(painter, drag.readout, at, palette)
    painter.restore()


def _paint_readout(painter: QPainter, text: str, at: QPointF, palette: QPalette) -> None:
    font = QFontMetricsF(painter.font())
    size = font.size(0, text)
    box = QRectF(at.x() + 18, at.y() + 14, size.width() + 12, size.height() + 6)
    device = painter.device()
    room = QRectF(
        0, 0, device.width() / device.devicePixelRatio(), device.height() / device.devicePixelRatio()
    )
    box.moveRight(min(box.right(), room.right() - 4))
    box.moveBottom(min(box.bottom(), room.bottom() - 4))
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(palette.color(QPalette.ColorRole.Mid))
    painter.setBrush(palette.color(QPalette.ColorRole.ToolTipBase))
    painter.drawRoundedRect(box, 3, 3)
    painter.setPen(palette.color(QPalette.ColorRole.ToolTipText))
    painter.drawText(box, Qt.AlignmentFlag.AlignCenter, text)
