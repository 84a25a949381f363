"""Sketch of a wall with existing and proposed hangings, for the question whether to add some."""

from __future__ import annotations

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QPointF, QRectF, Qt
from PySide6.QtGui import QImage, QImageWriter, QPainter, QPen, QPolygonF

from wallwright.document.document import Document
from wallwright.document.placing import placement_corners
from wallwright.window.widgets.theme import OnWall, on_wall

WIDTH, HEIGHT = 300, 84
"""Largest width and height, px."""
FINER = 2
"""Supersampling factor, for sharp pictures on high-resolution screens."""
DROP = 0.2
"""Depth of the point where a hanging's belts meet in the sketch, as a share of the anchor distance."""


def hanging_sketch(document: Document, first_new: int) -> QImage:
    """Returns the wall to scale with keep-outs, artwork and the belts of each hanging: numbered and blue from first_new on,
    grey before."""
    wall = document.wall
    scale = min(WIDTH / wall.width, HEIGHT / wall.height)
    image = QImage(round(wall.width * scale * FINER), round(wall.height * scale * FINER), QImage.Format.Format_RGB32)
    image.fill(on_wall(OnWall.PAPER))
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.scale(scale * FINER, scale * FINER)
    painter.translate(-wall.left, -wall.top)
    thin = 1.0 / scale
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(on_wall(OnWall.EDGE).lighter(150))
    for keep_out in wall.keep_outs:
        painter.drawPolygon(QPolygonF([QPointF(*p) for p in keep_out.outline]))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(on_wall(OnWall.QUIET), thin, Qt.PenStyle.DashLine))
    for placement in document.placements:
        painter.drawPolygon(QPolygonF([QPointF(x, y) for x, y in placement_corners(placement).tolist()]))
    font = painter.font()
    font.setPixelSize(max(round(10 * thin), 1))
    painter.setFont(font)
    for number, hanging in enumerate(document.hangings):
        ink = on_wall(OnWall.CHOSEN if number >= first_new else OnWall.QUIET)
        left, right = QPointF(hanging.left.x, hanging.left.y), QPointF(hanging.right.x, hanging.right.y)
        low = (left + right) / 2 + QPointF(0.0, DROP * (right.x() - left.x()))
        painter.setPen(QPen(ink, (2 if number >= first_new else 1) * thin))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPolyline(QPolygonF([left, low, right]))
        painter.setBrush(ink)
        for anchor in (left, right):
            painter.drawEllipse(anchor, 2.5 * thin, 2.5 * thin)
        place = QRectF(low.x() - 20 * thin, low.y() + thin, 40 * thin, 13 * thin)
        painter.drawText(place, Qt.AlignmentFlag.AlignCenter, str(number + 1))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(on_wall(OnWall.EDGE), 2 * thin))
    painter.drawRect(QRectF(wall.left, wall.top, wall.width, wall.height))
    painter.end()
    return image


def as_rich_text(image: QImage, name: str) -> str:
    """Returns the picture as rich text. name: description for screen readers."""
    data = QByteArray()
    buffer = QBuffer(data)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    QImageWriter(buffer, b"png").write(image)
    encoded = bytes(data.toBase64().data()).decode("ascii")
    return (
        f"<img src='data:image/png;base64,{encoded}' width='{image.width() // FINER}' "
        f"height='{image.height() // FINER}' alt='{name}'>"
    )
