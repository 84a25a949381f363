"""Small pictures of strokes, for recent projects and line styles."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QBrush, QColor, QImage, QPainter

from wallwright.artwork.ink_layers import blank_layer, multiplied
from wallwright.document.document import Pen
from wallwright.strokes.strokes import Strokes
from wallwright.window.ink.thinning import kept_points, segments_of
from wallwright.window.ink.tile import draw_pen

FINER = 4
"""Supersampling factor."""


def ink_image(
    strokes: Strokes, pens: Sequence[Pen], size: QSize, corner: tuple[float, float], scale: float, faintest: float
) -> QImage:
    """Renders ink on a transparent ground. corner: wall position of the top left corner, mm; scale: px/mm; faintest: least
    width of lines that are no fill, px."""
    start, end = segments_of(strokes, kept_points(strokes, 0.7 / scale))
    places = (strokes.points - corner) * scale * FINER
    lines = np.hstack([places[start], places[end]]).T
    counts = np.diff(strokes.offsets)
    of_pen, is_fill = np.repeat(strokes.pen, counts)[end], np.repeat(strokes.is_fill, counts)[end]
    layers = []
    for number in np.unique(of_pen).tolist():
        if number < len(pens):
            pen = pens[number]
            # Supersampled, with hard edges for fills: antialiased edges within one pixel would lose much ink.
            layer = blank_layer(size * FINER)
            fine = QPainter(layer)
            # Fills keep their true width for the correct tone; single lines must be visible.
            width = pen.width * scale
            for of, wide, soft in ((is_fill, width, False), (~is_fill, max(faintest, width), True)):
                fine.setRenderHint(QPainter.RenderHint.Antialiasing, soft)
                draw_pen(fine, lines[:, (of_pen == number) & of], QBrush(QColor(pen.colour)), wide * FINER, FINER)
            fine.end()
            ways = Qt.AspectRatioMode.IgnoreAspectRatio, Qt.TransformationMode.SmoothTransformation
            layers.append((layer.scaled(size, *ways), 1.0))
    return multiplied(size, layers)
