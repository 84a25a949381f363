"""The colours of an artwork as stripes: as they are, as the present pens draw them, and with one more pen."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter, QPixmap
from PySide6.QtWidgets import QLabel, QWidget

from wallwright.document.document import Pen
from wallwright.document.language import tr
from wallwright.strokes.palette import LINE_AREA, seen_colours
from wallwright.strokes.stroke_composition import ColourUse

WIDTH, ROW, GAP = 240, 18, 2
"""Pixels: of the stripes, of one row, and between rows."""
LEAST_SHARE = 0.02
"""Of the width for a colour, so that small ones are seen."""


class PenAdvicePicture(QLabel):
    """Three rows of stripes, as wide as the colours have ink."""

    def __init__(
        self, uses: Sequence[ColourUse], pens: Sequence[Pen], bought: Sequence[Pen], parent: QWidget | None = None
    ) -> None:
        """pens: that the person has; bought: those advised so far, this one last."""
        super().__init__(parent)
        ink = [(use.colour, use.area + LINE_AREA * use.length) for use in uses if use.area + use.length > 0]
        colours = [colour for colour, _ in ink]
        whole = sum(size for _, size in ink) or 1.0
        shares = [max(size / whole, LEAST_SHARE) for _, size in ink]
        now, then = seen_colours(colours, pens), seen_colours(colours, [*pens, *bought])
        ratio = self.devicePixelRatioF()
        pixmap = QPixmap(round(WIDTH * ratio), round((3 * ROW + 2 * GAP) * ratio))
        pixmap.setDevicePixelRatio(ratio)
        pixmap.fill(QColor("transparent"))
        painter = QPainter(pixmap)
        for row, seen in enumerate(({c: c for c in colours}, now, then)):
            left = 0.0
            for colour, share in zip(colours, shares, strict=True):
                wide = WIDTH * share / sum(shares)
                painter.fillRect(QRectF(left, row * (ROW + GAP), wide, ROW), QColor(seen[colour]))
                left += wide
        painter.end()
        self.setPixmap(pixmap)
        text = tr("Top: colours of the artwork. Middle: as your pens draw them. Bottom: with this pen.")
        self.setToolTip(text)
        self.setAccessibleName(text)
