"""The ink of a job as a picture for the hanging sheet: the pens' inks multiplied, as on the wall and in the window."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QImage, QPainter, QPen, QPolygonF

from wallwright.artwork.ink_layers import blank_layer, multiplied
from wallwright.document.arrays import Floats
from wallwright.document.document import Pen
from wallwright.strokes.strokes import Strokes

MOST_POINTS = 200_000
"""Points painted at most: beyond that every n-th one, which at this size nobody can tell."""
FINER = 2
"""Times that ink is painted enlarged, then averaged: side by side in one dot, soft edges leave ink out."""
MOST_DOTS = 6_000_000
"""Of the picture, before it is averaged: 24 MB a layer."""


def ink_picture(
    strokes: Strokes, pens: tuple[Pen, ...], scale: float, thinnest: float, shade: Callable[[str], str]
) -> tuple[QImage, QRectF] | None:
    """The ink with its place on the wall, mm; None without ink. scale: dots for a mm. thinnest: width of a line that is no
    fill, mm, at least. shade: gives a pen's colour as it is to look."""
    if not len(strokes):
        return None
    widest = max([thinnest, *(pen.width for pen in pens)])
    low, high = strokes.points.min(axis=0) - widest, strokes.points.max(axis=0) + widest
    across = float(np.prod(high - low))
    fine = min(FINER * scale, np.sqrt(MOST_DOTS / across))
    size = QSize(*np.maximum(np.ceil((high - low) * fine).astype(int), 1).tolist())
    every = max(1, len(strokes.points) // MOST_POINTS)
    layers = [
        (_layer(strokes, number, pens[number], size, low, fine, thinnest, every, shade), 1.0)
        for number in np.unique(strokes.pen).tolist()
    ]
    small = (size / (fine / scale)).expandedTo(QSize(1, 1)) if fine > scale else size
    ways = Qt.AspectRatioMode.IgnoreAspectRatio, Qt.TransformationMode.SmoothTransformation
    picture = multiplied(size, layers).scaled(small, *ways)
    left, top = low.tolist()
    return picture, QRectF(left, top, size.width() / fine, size.height() / fine)


def _layer(
    strokes: Strokes,
    number: int,
    pen: Pen,
    size: QSize,
    corner: Floats,
    fine: float,
    thinnest: float,
    every: int,
    shade: Callable[[str], str],
) -> QImage:
    """One pen's strokes, opaque, fine dots for a mm from a corner (2,) of the wall, mm."""
    layer = blank_layer(size)
    painter = QPainter(layer)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.scale(fine, fine)
    painter.translate(*(-corner).tolist())
    colour = QColor(shade(pen.colour))
    fill, line = (QPen(colour, width) for width in (pen.width, max(pen.width, thinnest)))
    for look in (fill, line):
        look.setCapStyle(Qt.PenCapStyle.RoundCap)
        look.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    for i in np.flatnonzero(strokes.pen == number).tolist():
        points = strokes[i]
        if every > 1 and len(points) > 2 * every:
            points = np.concatenate([points[::every], points[-1:]])
        painter.setPen(fill if strokes.is_fill[i] else line)
        painter.drawPolyline(QPolygonF([QPointF(x, y) for x, y in points.tolist()]))
    painter.end()
    return layer
