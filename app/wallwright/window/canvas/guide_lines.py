"""The vertical and horizontal guide lines that artwork is put by: where they are, how they look, how they are dragged."""

from __future__ import annotations

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QPainter, QPen

from wallwright.document import edits_guide_lines as edits
from wallwright.document.document import Document, GuideLine
from wallwright.document.language import tr
from wallwright.document.origin import Origin
from wallwright.window.canvas.context import CanvasContext
from wallwright.window.canvas.interaction import Drag, Keys, Point, snap_point
from wallwright.window.canvas.snapping import Snapping, lines_for
from wallwright.window.canvas.view import View
from wallwright.window.canvas.wall_layer import RULER
from wallwright.window.model.items import GuideLineItem, Item
from wallwright.window.widgets.theme import OnWall, on_wall

COLOUR = on_wall(OnWall.GUIDE)
REACH = 4.0
"""Logical pixels around a line within which the pointer is on it."""


def line_words(origin: Origin, line: GuideLine) -> str:
    """Which line it is and where."""
    if line.is_vertical:
        return tr("Vertical, {0}", origin.across_text(line.at))
    return tr("Horizontal, {0}", origin.along_text(line.at))


def paint_guide_lines(painter: QPainter, view: View, document: Document, selected: Item | None) -> None:
    """Paints all guide lines over the whole canvas; selected: may be one of them."""
    device = painter.device()
    for number, line in enumerate(document.guide_lines):
        if selected == GuideLineItem(number):
            painter.setPen(QPen(COLOUR, 2.0))
        else:
            painter.setPen(QPen(COLOUR, 1.0, Qt.PenStyle.DashDotLine))
        if line.is_vertical:
            x = view.to_screen(line.at, 0).x()
            painter.drawLine(QPointF(x, 0), QPointF(x, device.height()))
        else:
            y = view.to_screen(0, line.at).y()
            painter.drawLine(QPointF(0, y), QPointF(device.width(), y))


def line_at(document: Document, view: View, at: QPointF) -> int | None:
    """Number of the line under a point of the widget."""
    for number, line in reversed(list(enumerate(document.guide_lines))):
        there = view.to_screen(line.at, line.at)
        if abs(there.x() - at.x() if line.is_vertical else there.y() - at.y()) <= REACH:
            return number
    return None


def ruler_at(at: QPointF) -> str:
    """ "vertical" on the left ruler, from which vertical lines are pulled, "horizontal" on the upper one; else ""."""
    on_left, on_top = at.x() < RULER, at.y() < RULER
    return "" if on_left == on_top else "vertical" if on_left else "horizontal"


class GuideLineDrag(Drag):
    """Moves a line, or pulls a new one out of a ruler; released on a ruler it is removed."""

    def __init__(self, context: CanvasContext, number: int | None, is_vertical: bool) -> None:
        """number: None for a new line, which is there once the pointer has left the ruler."""
        self._context, self._models, self._is_vertical = context, context.models, is_vertical
        self._first = context.models.project.document
        self._is_new = number is None
        self._number = len(self._first.guide_lines) if number is None else number
        self._has_line = not self._is_new
        lines = [line for line in lines_for(self._first, without_guide_line=number) if line.is_vertical == is_vertical]
        self._snapping = Snapping(lines)
        if not self._is_new:
            self._models.selection.select(GuideLineItem(self._number))

    def move(self, to: Point, keys: Keys) -> None:
        snap = snap_point(self._context, self._snapping, to, keys)
        self.guides = snap.guides
        at, by = (to[0], snap.dx) if self._is_vertical else (to[1], snap.dy)
        at = at + by if self.guides else round(at)
        self._has_line = True
        if self._is_new:
            title, changed = tr("Add a guide line"), edits.add_guide_line(self._first, self._is_vertical, at)
        else:
            title, changed = tr("Move a guide line"), edits.move_guide_line(self._first, self._number, at)
        if self._models.project.edit(title, changed, merge="drag"):
            self.readout = line_words(self._models.origin.present, changed.guide_lines[self._number])

    def finish(self, moved: bool) -> None:
        if not moved or not self._has_line:
            return
        at = self._context.pointer_at
        if (at.x() if self._is_vertical else at.y()) < RULER:
            self._models.project.abandon_step()
            if not self._is_new:
                removed = edits.remove_guide_line(self._first, self._number)
                self._models.project.edit(tr("Remove a guide line"), removed)
        elif self._is_new:
            self._models.selection.select(GuideLineItem(self._number))
