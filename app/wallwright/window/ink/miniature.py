"""Strokes in small pictures: of recent projects, and of line styles."""

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
"""Times that ink is painted enlarged."""


def ink_image(
    strokes: Strokes, pens: Sequence[Pen], size: QSize, corner: tuple[float, float], scale: float, faintest: float
) -> QImage:
    """Ink on clear ground. corner: mm of the wall at the picture's top left; scale: pixels for a mm; faintest: pixels of the
    thinnest line that is no fill."""
    start, end = segments_of(strokes, kept_points(strokes, 0.7 / scale))
    places = (strokes.points - corner) * scale * FINER
    lines = np.hstack([places[start], places[end]]).T
    counts = np.diff(strokes.offsets)
    of_pen, is_fill = np.repeat(strokes.pen, counts)[end], np.repeat(strokes.is_fill, counts)[end]
    layers = []
    for number in np.unique(of_pen).tolist():
        if number < len(pens):
            pen = pens[number]
            # Enlarged and averaged, and hard edges for fills: side by side in one pixel, soft edges leave much ink out.
            layer = blank_layer(size * FINER)
            fine = QPainter(layer)
            # Fills keep their true width, so that their tone is right; single lines must be seen.
            width = pen.width * scale
            for of, wide, soft in ((is_fill, width, False), (~is_fill, max(faintest, width), True)):
                fine.setRenderHint(QPainter.RenderHint.Antialiasing, soft)
                draw_pen(fine, lines[:, (of_pen == number) & of], QBrush(QColor(pen.colour)), wide * FINER, FINER)
            fine.end()
            ways = Qt.AspectRatioMode.IgnoreAspectRatio, Qt.TransformationMode.SmoothTransformation
            layers.append((layer.scaled(size, *ways), 1.0))
    return multiplied(size, layers)
