"""The plumb and level lines that artwork is put by: where they are and how they look."""

from __future__ import annotations

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from wallwright.document.document import Document, GuideLine
from wallwright.document.language import format_number, tr
from wallwright.document.wall import Wall
from wallwright.window.canvas.view import View
from wallwright.window.canvas.wall_layer import RULER

COLOUR = QColor("#0f7a6c")
REACH = 4.0
"""Pixels around a line that take hold of it."""


def line_words(wall: Wall, line: GuideLine) -> str:
    """Where a line is, as a person measures it on the wall."""
    if line.plumb:
        return tr("Plumb, {0} mm from the left", format_number(line.at - wall.left, ".0f"))
    return tr("Level, {0} mm above the floor", format_number(wall.floor - line.at, ".0f"))


def paint_guide_lines(painter: QPainter, view: View, document: Document, selected: str) -> None:
    device = painter.device()
    for number, line in enumerate(document.guide_lines):
        chosen = selected == f"line:{number}"
        painter.setPen(
            QPen(COLOUR, 2.0 if chosen else 1.0, Qt.PenStyle.SolidLine if chosen else Qt.PenStyle.DashDotLine)
        )
        if line.plumb:
            x = view.to_screen(line.at, 0).x()
            painter.drawLine(QPointF(x, 0), QPointF(x, device.height()))
        else:
            y = view.to_screen(0, line.at).y()
            painter.drawLine(QPointF(0, y), QPointF(device.width(), y))


def line_at(document: Document, view: View, at: QPointF) -> int | None:
    """Number of the line under a point of the widget."""
    for number, line in reversed(list(enumerate(document.guide_lines))):
        there = view.to_screen(line.at, line.at)
        if abs(there.x() - at.x() if line.plumb else there.y() - at.y()) <= REACH:
            return number
    return None


def ruler_at(at: QPointF) -> str:
    """ "plumb" on the left ruler, from which plumb lines are pulled, "level" on the upper one; else ""."""
    on_left, on_top = at.x() < RULER, at.y() < RULER
    return "" if on_left == on_top else "plumb" if on_left else "level"
