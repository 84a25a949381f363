"""A picture of what was understood of an artwork. The one module of artwork that paints, with QtGui."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QImage, QPainter, QPainterPath, QPen, QPolygonF

from app.artwork.drawing import Drawing
from app.document.errors import BadFile
from app.document.language import tr

CAPS = {"butt": Qt.PenCapStyle.FlatCap, "round": Qt.PenCapStyle.RoundCap, "square": Qt.PenCapStyle.SquareCap}
JOINS = {
    "miter": Qt.PenJoinStyle.SvgMiterJoin, "round": Qt.PenJoinStyle.RoundJoin, "bevel": Qt.PenJoinStyle.BevelJoin,
}  # fmt: skip


def picture(drawing: Drawing, width: int, height: int) -> QImage:
    """The drawing on white, its page stretched to width by height pixels."""
    if not (0 < width <= 20_000 and 0 < height <= 20_000):
        raise BadFile(tr("A picture of {0} by {1} pixels cannot be painted; take 1 to 20000.", width, height))
    image = QImage(width, height, QImage.Format.Format_ARGB32_Premultiplied)
    image.fill(Qt.GlobalColor.white)
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.scale(width / drawing.width, height / drawing.height)
    for shape in drawing.shapes:
        path = QPainterPath()
        path.setFillRule(Qt.FillRule.OddEvenFill if shape.even_odd else Qt.FillRule.WindingFill)
        closed = shape.closed or (shape.is_region,) * len(shape.paths)
        for points, is_closed in zip(shape.paths, closed, strict=True):
            path.addPolygon(QPolygonF([QPointF(x, y) for x, y in points.tolist()]))
            if is_closed:
                path.closeSubpath()
        colour = QColor(shape.paint.colour)
        colour.setAlphaF(shape.paint.opacity)
        if shape.is_region:
            painter.fillPath(path, colour)
        else:
            pen = QPen(colour, shape.width)
            pen.setCapStyle(CAPS.get(shape.cap, CAPS["butt"]))
            pen.setJoinStyle(JOINS.get(shape.join, JOINS["miter"]))
            # QPen's limit counts from the line's middle, SVG's from edge to edge.
            pen.setMiterLimit(shape.miter_limit)
            painter.strokePath(path, pen)
    painter.end()
    return image


def paint_picture(drawing: Drawing, width: int, height: int, path: Path) -> None:
    """Writes the picture as PNG. Raises BadFile."""
    if not picture(drawing, width, height).save(str(path), "PNG"):
        raise BadFile(tr("{0} could not be written; choose another folder or free some space.", path))
