"""A frame around a place of the wall that a check or a finding speaks of, for a moment."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, QRectF, Qt, QTimer
from PySide6.QtGui import QColor, QPainter, QPen

from wallwright.window.canvas.view import View
from wallwright.window.widgets.theme import OnWall, on_wall

SHOWN_MS = 4000
ROOM = 6.0
"""Pixels between the place and its frame."""
LEAST = 24.0
"""Pixels across a frame has at least."""


class Highlight(QObject):
    """One frame at a time."""

    def __init__(self, changed: Callable[[], None], parent: QObject) -> None:
        super().__init__(parent)
        self.box: tuple[float, float, float, float] | None = None
        self._changed = changed
        self._timer = QTimer(self, singleShot=True, interval=SHOWN_MS)
        self._timer.timeout.connect(self.forget)

    def show(self, box: tuple[float, float, float, float]) -> None:
        """Frames a box of the wall: left, top, right, bottom, mm."""
        self.box = box
        self._timer.start()
        self._changed()

    def forget(self) -> None:
        self.box = None
        self._changed()

    def paint(self, painter: QPainter, view: View) -> None:
        if self.box is None:
            return
        rect = QRectF(view.to_screen(*self.box[:2]), view.to_screen(*self.box[2:]))
        across = max(LEAST - rect.width(), 2 * ROOM) / 2
        down = max(LEAST - rect.height(), 2 * ROOM) / 2
        rect = rect.adjusted(-across, -down, across, down)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        # A light line under a dark one is seen on every ground.
        for colour, width in ((QColor("#ffffff"), 5.0), (on_wall(OnWall.MEASURED), 2.5)):
            painter.setPen(QPen(colour, width))
            painter.drawRoundedRect(rect, 4, 4)
