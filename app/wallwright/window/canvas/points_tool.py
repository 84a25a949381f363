"""Clicking a number of points, one after the other."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QPen

from wallwright.window.canvas.artwork_layer import CHOSEN
from wallwright.window.canvas.context import CanvasContext
from wallwright.window.canvas.interaction import Content, Keys, Point, Tool
from wallwright.window.canvas.wall_layer import tag


class PointsTool(Tool):
    """Nothing snaps: the points are those of the photo."""

    content = Content.WALL

    def __init__(self, context: CanvasContext, words: Sequence[str], picked: Callable[[list[Point]], None]) -> None:
        """words: what to click, a line for each point; picked: called with the points on the wall, mm."""
        super().__init__(context)
        self._words, self._picked = tuple(words), picked
        self._points: list[Point] = []
        self.words = self._words[0]

    def press(self, at: Point, keys: Keys) -> None:
        self._points.append(at)
        if len(self._points) == len(self._words):
            self.done()
            self._picked(self._points)
        else:
            self.words = self._words[len(self._points)]

    def double_click(self, at: Point) -> None:
        self.press(at, Keys())

    def key(self, event: QKeyEvent) -> bool:
        if event.key() == Qt.Key.Key_Backspace and self._points:
            self._points.pop()
            self.words = self._words[len(self._points)]
            return True
        return super().key(event)

    def paint(self, painter: QPainter) -> None:
        for number, point in enumerate(self._points, 1):
            at = self.context.view.to_screen(*point)
            painter.setPen(QPen(QColor("#ffffff"), 3.5))
            for width, colour in ((3.5, QColor("#ffffff")), (1.5, CHOSEN)):
                painter.setPen(QPen(colour, width))
                painter.drawLine(at - QPointF(9, 0), at + QPointF(9, 0))
                painter.drawLine(at - QPointF(0, 9), at + QPointF(0, 9))
            tag(painter, at + QPointF(14, -12), str(number))
