"""Where a frame shows the wall, and at which scales tiles are painted."""

from __future__ import annotations

import math

import msgspec
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QTransform

from wallwright.window.ink.tile import ALL


def step_scale(scale: float) -> float:
    """The nearest whole power of the square root of two."""
    return math.pow(2.0, round(2.0 * math.log2(scale)) / 2.0)


class ViewFrame(msgspec.Struct, frozen=True):
    """One painting of the view. Device pixels are what the screen has, counted from the view's corner."""

    view: QRectF
    """What of the wall is seen, mm."""
    scale: float
    """Device px/mm."""
    origin: QPointF
    """Device pixel of the wall's origin, whole numbers: panning moves the ink by whole pixels."""
    settled: bool
    """Whether the scale rests, so that tiles of just this scale are worth painting."""
    until: int = ALL
    """The moment up to which the drawing is shown."""

    @property
    def middle(self) -> QPointF:
        """Device pixel in the middle of the view."""
        return self.view.center() * self.scale + self.origin

    def tile_scale(self, moved: QTransform) -> float:
        """Scale of the tiles, px/mm, of a sheet that is shown moved."""
        if not moved.isScaling():  # nor turning: Qt counts that as scaling
            return self.scale if self.settled else step_scale(self.scale)
        return step_scale(self.scale * math.sqrt(max(abs(moved.determinant()), 1e-12)))

    def to_device(self, scale: float, moved: QTransform) -> QTransform:
        """From the pixels of a sheet's tiles at scale to device pixels."""
        if scale == self.scale and not moved.isScaling():
            x, y = round(moved.dx() * self.scale), round(moved.dy() * self.scale)
            return QTransform.fromTranslate(self.origin.x() + x, self.origin.y() + y)
        to_wall = QTransform.fromScale(1.0 / scale, 1.0 / scale) * moved
        return to_wall * QTransform(self.scale, 0, 0, self.scale, self.origin.x(), self.origin.y())
