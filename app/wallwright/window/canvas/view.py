"""Between wall and screen: where the view is and how large."""

from __future__ import annotations

import msgspec
from PySide6.QtCore import QPointF, QRectF

SMALLEST, LARGEST = 0.005, 50.0
"""Logical pixels per mm."""


class View(msgspec.Struct, frozen=True):
    """The wall point at the widget's top left corner, and the scale in logical pixels per mm."""

    left: float = 0.0
    top: float = 0.0
    scale: float = 0.2

    def to_screen(self, x: float, y: float) -> QPointF:
        return QPointF((x - self.left) * self.scale, (y - self.top) * self.scale)

    def to_wall(self, point: QPointF) -> tuple[float, float]:
        return self.left + point.x() / self.scale, self.top + point.y() / self.scale

    def rect_to_screen(self, left: float, top: float, right: float, bottom: float) -> QRectF:
        return QRectF(self.to_screen(left, top), self.to_screen(right, bottom))

    def zoomed(self, factor: float, at: QPointF) -> View:
        """Larger or smaller with the wall point under `at` staying there."""
        scale = min(max(self.scale * factor, SMALLEST), LARGEST)
        x, y = self.to_wall(at)
        return View(x - at.x() / scale, y - at.y() / scale, scale)

    def moved(self, dx: float, dy: float) -> View:
        """Moved by logical pixels: what is on screen moves by (dx, dy)."""
        return msgspec.structs.replace(self, left=self.left - dx / self.scale, top=self.top - dy / self.scale)

    @staticmethod
    def fitting(box: tuple[float, float, float, float], width: float, height: float, margin: float = 40.0) -> View:
        """The box (left, top, right, bottom, mm) in the middle of a widget."""
        w, h = max(box[2] - box[0], 1.0), max(box[3] - box[1], 1.0)
        scale = min(max(width - 2 * margin, 10) / w, max(height - 2 * margin, 10) / h)
        scale = min(max(scale, SMALLEST), LARGEST)
        return View((box[0] + box[2] - width / scale) / 2, (box[1] + box[3] - height / scale) / 2, scale)
