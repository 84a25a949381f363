"""Wall, anchors and starting place."""

from __future__ import annotations

import functools
import math

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QImage, QPainter, QPalette, QPen

from app.document.document import Document
from app.document.language import tr
from app.window.canvas.view import View

ANCHOR = QColor("#1f6fb4")
PAPER = QColor("#fbfaf7")
"""The wall is light in dark mode too: ink is judged against a wall, not against the window."""
RULER = 22.0
"""Pixels of the rulers' breadth."""


def paint_wall(painter: QPainter, view: View, document: Document, palette: QPalette) -> None:
    wall = document.wall
    box = view.rect_to_screen(wall.left, wall.top, wall.right, wall.floor)
    painter.fillRect(box, PAPER)
    painter.setPen(QPen(QColor("#8a8578"), 1.0))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(box)


def paint_anchors(painter: QPainter, view: View, document: Document, selected: str) -> None:
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    for number, hanging in enumerate(document.hangings):
        chosen = selected == f"hanging:{number}"
        left, right = (view.to_screen(a.x, a.y) for a in (hanging.left, hanging.right))
        painter.setPen(
            QPen(QColor(ANCHOR.red(), ANCHOR.green(), ANCHOR.blue(), 110), 1.0, Qt.PenStyle.DotLine)
        )
        painter.drawLine(left, right)
        painter.setPen(QPen(QColor("#ffffff"), 1.5))
        painter.setBrush(ANCHOR)
        for point in (left, right):
            painter.drawEllipse(point, 8 if chosen else 6.5, 8 if chosen else 6.5)
        distance = math.hypot(hanging.right.x - hanging.left.x, hanging.right.y - hanging.left.y)
        tag(painter, (left + right) / 2 - QPointF(0, 12), f"{distance:.0f} mm")
        datum = view.to_screen(*hanging.datum)
        painter.setPen(QPen(ANCHOR, 2.0))
        painter.setBrush(QColor(255, 255, 255, 200))
        painter.drawEllipse(datum, 7, 7)
        painter.drawLine(datum - QPointF(11, 0), datum + QPointF(11, 0))
        painter.drawLine(datum - QPointF(0, 11), datum + QPointF(0, 11))
        tag(painter, datum + QPointF(0, 22), tr("start"))
    painter.restore()


def tag(painter: QPainter, centre: QPointF, text: str) -> None:
    """A word on light ground."""
    picture = _tag_picture(text, painter.font().toString(), painter.device().devicePixelRatioF())
    size = picture.deviceIndependentSize()
    painter.drawImage(
        QPointF(round(centre.x() - size.width() / 2), round(centre.y() - size.height() / 2)), picture
    )


@functools.lru_cache(maxsize=64)
def _tag_picture(text: str, font: str, ratio: float) -> QImage:
    """Kept: the same few words are in every frame."""
    given = QFont()
    given.fromString(font)
    metrics = QFontMetricsF(given)
    box = QRectF(0, 0, math.ceil(metrics.horizontalAdvance(text)) + 8, math.ceil(metrics.height()))
    image = QImage(
        math.ceil(box.width() * ratio),
        math.ceil(box.height() * ratio),
        QImage.Format.Format_ARGB32_Premultiplied,
    )
    image.setDevicePixelRatio(ratio)
    image.fill(Qt.GlobalColor.transparent)
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setFont(given)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(255, 255, 255, 205))
    painter.drawRoundedRect(box, 3, 3)
    painter.setPen(QColor("#1c2733"))
    painter.drawText(box, Qt.AlignmentFlag.AlignCenter, text)
    painter.end()
    return image
