"""The view shown in a frame, and the scales of tiles."""

from __future__ import annotations

import math

import msgspec
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QTransform

from wallwright.window.ink.tile import ALL


def step_scale(scale: float) -> float:
    """Returns the nearest integer power of the square root of two."""
    return math.pow(2.0, round(2.0 * math.log2(scale)) / 2.0)


class ViewFrame(msgspec.Struct, frozen=True):
    """The view in one frame. Device pixels are those of the screen, counted from the view's corner."""

    view: QRectF
    """Visible part of the wall, mm."""
    scale: float
    """Scale, device px/mm."""
    origin: QPointF
    """Device pixel of the wall's origin, an integer, so that panning moves the ink by whole pixels."""
    settled: bool
    """Whether the scale has settled, so that tiles are painted at exactly this scale."""
    until: int = ALL
    """Moment up to which the drawing is shown."""

    @property
    def middle(self) -> QPointF:
        """Middle of the view, device pixels."""
        return self.view.center() * self.scale + self.origin

    def tile_scale(self, moved: QTransform) -> float:
        """Returns the scale of the tiles, px/mm, of a sheet shown with a transform."""
        if not moved.isScaling():  # Qt counts rotation as scaling too
            return self.scale if self.settled else step_scale(self.scale)
        return step_scale(self.scale * math.sqrt(max(abs(moved.determinant()), 1e-12)))

    def to_device(self, scale: float, moved: QTransform) -> QTransform:
        """Returns the transform from pixels of a sheet's tiles at a scale to device pixels."""
        if scale == self.scale and not moved.isScaling():
            x, y = round(moved.dx() * self.scale), round(moved.dy() * self.scale)
            return QTransform.fromTranslate(self.origin.x() + x, self.origin.y() + y)
        to_wall = QTransform.fromScale(1.0 / scale, 1.0 / scale) * moved
        return to_wall * QTransform(self.scale, 0, 0, self.scale, self.origin.x(), self.origin.y())
