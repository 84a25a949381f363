"""Coverage of strokes painted by Qt with a round pen, as an independent measure of tone."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QImage, QPainter, QPen, QPolygonF


def inked(
    lines: Sequence[np.ndarray], pen_width: float, size: tuple[float, float], per_width: float = 10
) -> np.ndarray:
    """Returns (rows, columns) bool: ink of polylines, mm, on a sheet of size (width, height), mm, at per_width pixels
    per pen width."""
    scale = per_width / pen_width
    image = QImage(round(size[0] * scale), round(size[1] * scale), QImage.Format.Format_Grayscale8)
    image.fill(255)
    painter = QPainter(image)
    painter.scale(scale, scale)
    cap, join = Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin
    painter.setPen(QPen(Qt.GlobalColor.black, pen_width, Qt.PenStyle.SolidLine, cap, join))
    for line in lines:
        painter.drawPolyline(QPolygonF([QPointF(x, y) for x, y in line.tolist()]))
    painter.end()
    rows = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.bytesPerLine())
    return rows[:, : image.width()] < 128
