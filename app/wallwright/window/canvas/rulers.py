"""Rulers along the top and left edge, from an origin on the wall: in mm, cm and m or in inches and feet by scale."""

from __future__ import annotations

import math

import msgspec
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QFont, QPainter, QPalette

from wallwright.document.language import current_language, format_number
from wallwright.document.origin import Origin
from wallwright.window.canvas.pixmap_cache import PixmapCache
from wallwright.window.canvas.view import View
from wallwright.window.canvas.wall_layer import RULER

INCH = 25.4
"""mm, exactly (international yard and pound agreement, 1959)."""
FOOT = 304.8
AT_WALL_FRAME = Origin("anchor", 0.0, 0.0)
APART = 60.0
"""Pixels at least between two numbers."""
BESIDE, BAND = 3, 7
"""Distance between a mark and its number, and length of the marks at the ruler's inner edge, px."""


class Marks(msgspec.Struct, frozen=True):
    """How a ruler is divided."""

    step: float
    """mm between numbers."""
    parts: int
    """Small marks make so many parts of a step."""
    unit: str
    size: float
    """mm of the unit."""


def marks_for(scale: float, inches: bool) -> Marks:
    """For a scale in logical pixels per mm."""
    wanted = APART / scale
    if not inches:
        power = 10.0 ** math.floor(math.log10(wanted))
        factor = next(f for f in (1, 2, 5, 10) if power * f >= wanted * (1 - 1e-9))
        step = power * factor
        unit, size = ("m", 1000.0) if step >= 100 else ("cm", 10.0) if step >= 10 else ("mm", 1.0)
        return Marks(step, 4 if factor == 2 else 5, unit, size)
    # Binary fractions of an inch, then feet: 12 inches each.
    for step, parts in ((1 / 16, 2), (1 / 8, 2), (1 / 4, 4), (1 / 2, 4), (1, 4), (2, 4), (4, 4), (6, 6)):
        if step * INCH >= wanted:
            return Marks(step * INCH, parts, "in", INCH)
    feet = marks_for(scale * FOOT, False)  # in steps of 1, 2, 5 feet, from one foot on
    step = max(feet.step, 1.0)
    return Marks(step * FOOT, 4 if step == 1 else feet.parts, "ft", FOOT)


def label(value: float, marks: Marks) -> str:
    """What stands at a mark, value in mm."""
    return format_number(round(value / marks.size, 4) + 0.0, "g")


class Rulers:
    """Kept as pictures along the view: numbers cost more than anything else that is the same from frame to frame."""

    def __init__(self) -> None:
        self._top, self._left = PixmapCache(down=False), PixmapCache(across=False)

    def paint(
        self,
        painter: QPainter,
        view: View,
        width: float,
        height: float,
        palette: QPalette,
        inches: bool = False,
        origin: Origin = AT_WALL_FRAME,
    ) -> None:
        """width, height: of the widget, logical pixels; origin: where both rulers have 0."""
        marks = marks_for(view.scale, inches)
        painter.save()
        font = painter.font()
        font.setPointSizeF(max(font.pointSizeF() * 0.8, 6.5))
        of = (inches, palette.cacheKey(), font.toString(), current_language().decimal, origin.x, origin.y, origin.is_up)

        def top(painter: QPainter, view: View, area: QRectF) -> None:
            _begin(painter, area, palette, font)
            _paint_marks(painter, marks, view.left - origin.x, view.scale, area.width())

        def left(painter: QPainter, view: View, area: QRectF) -> None:
            painter.save()
            _begin(painter, area, palette, font)
            painter.rotate(-90)
            painter.scale(-1, 1)  # the same marks, mirrored back where numbers are written
            _paint_marks(painter, marks, view.top - origin.y, view.scale, area.height(), True, origin.is_up)
            painter.restore()

        self._top.paint(painter, view, QRectF(0, 0, width, RULER), of, top)
        self._left.paint(painter, view, QRectF(0, 0, RULER, height), of, left)
        _begin(painter, QRectF(), palette, font)
        ground = palette.color(QPalette.ColorRole.Window)
        for low, high in _cut(painter, marks, view.left - origin.x, view.scale, width):
            painter.fillRect(QRectF(low, 0, high - low, RULER - BAND), ground)
        for low, high in _cut(painter, marks, view.top - origin.y, view.scale, height, True, origin.is_up):
            painter.fillRect(QRectF(0, low, RULER - BAND, high - low), ground)
        _begin(painter, QRectF(0, 0, RULER, RULER), palette, font)
        painter.drawText(QRectF(0, 0, RULER, RULER), Qt.AlignmentFlag.AlignCenter, marks.unit)
        painter.restore()


def _cut(
    painter: QPainter,
    marks: Marks,
    start: float,
    scale: float,
    length: float,
    mirrored: bool = False,
    is_backwards: bool = False,
) -> list[tuple[float, float]]:
    """Returns the spans, px along the ruler, of numbers that the corner or the end of the ruler would cut. Arguments as for
    `_paint_marks`."""
    found = []
    for i in range(math.floor(start / marks.step), math.ceil((start + length / scale) / marks.step) + 1):
        at = (i * marks.step - start) * scale
        value = i * marks.step
        wide = painter.fontMetrics().horizontalAdvance(label(-value if is_backwards else value, marks))
        low, high = (at - BESIDE - wide, at - BESIDE) if mirrored else (at + BESIDE, at + BESIDE + wide)
        if low < RULER < high or low < length < high:
            found.append((low - 1, high + 1))
    return found


def _begin(painter: QPainter, area: QRectF, palette: QPalette, font: QFont) -> None:
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    painter.fillRect(area, palette.color(QPalette.ColorRole.Window))
    painter.setFont(font)
    painter.setPen(palette.color(QPalette.ColorRole.WindowText))


def _paint_marks(
    painter: QPainter,
    marks: Marks,
    start: float,
    scale: float,
    length: float,
    mirrored: bool = False,
    is_backwards: bool = False,
) -> None:
    """start: mm from the origin to where the ruler begins; is_backwards: numbers count against its direction."""
    small = marks.step / marks.parts
    for i in range(math.floor(start / small), math.ceil((start + length / scale) / small) + 1):
        at = (i * small - start) * scale
        if i % marks.parts:
            painter.drawLine(QPointF(at, RULER - 3), QPointF(at, RULER))
            continue
        painter.drawLine(QPointF(at, RULER - BAND), QPointF(at, RULER))
        text = label(-i * small if is_backwards else i * small, marks)
        if mirrored:
            painter.save()
            painter.translate(at - BESIDE, 0)
            painter.scale(-1, 1)
            painter.drawText(QRectF(0, 0, APART, RULER - 6), Qt.AlignmentFlag.AlignVCenter, text)
            painter.restore()
        else:
            painter.drawText(QRectF(at + BESIDE, 0, APART, RULER - 6), Qt.AlignmentFlag.AlignVCenter, text)
