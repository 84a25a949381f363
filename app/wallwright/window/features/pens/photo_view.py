"""A photo of the friction figure: four marks to drag, the figure as it lies between them, and the lines that were found."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QImage,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QPolygonF,
    QResizeEvent,
    QTransform,
    QWheelEvent,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from wallwright.artwork.raster.raster import Pixels
from wallwright.document.arrays import Points
from wallwright.document.language import tr
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.focus_ring import FocusRing
from wallwright.window.widgets.theme import Role, colour

MARK = QColor("#ff2d95")
FOUND = QColor("#00c8ff")
HALO = QColor("#101010")
"""On a photo, whose colours nobody knows: each line has a dark one around it."""
RADIUS, REACH = 9.0, 18.0
"""Pixels of the screen: a mark, and how near to it a press takes it."""
ZOOM = 1.25
"""For each notch of the wheel."""
MOST_ZOOM = 8.0
"""Pixels of the screen for one of the photo."""
STEP, LONG_STEP = 1.0, 10.0
"""Pixels of the photo for an arrow key, and with Shift."""
ARROWS = {
    Qt.Key.Key_Left: (-1, 0),
    Qt.Key.Key_Right: (1, 0),
    Qt.Key.Key_Up: (0, -1),
    Qt.Key.Key_Down: (0, 1),
}


@dataclass(frozen=True)
class PhotoLines:
    """Lines over the photo, in its pixels."""

    lines: Sequence[Points] = ()
    """(n, 2) each."""
    are_found: bool = False
    """Whether they were seen in the photo; otherwise they are where they should be by the marks."""
    labels: Sequence[tuple[tuple[float, float], str]] = ()
    """Where a text is, and the text."""


class PhotoView(QWidget):
    """Zoomed by the wheel, moved by dragging beside the marks."""

    moving = Signal()
    """A mark is where it was not before."""
    moved = Signal()
    """A mark was let go."""

    def __init__(self) -> None:
        super().__init__()
        self._image = QImage()
        self._scale, self._corner, self._is_whole = 1.0, QPointF(), True
        self.marks: Points = np.zeros((0, 2))
        """(4, 2) pixels of the photo; none before it is read."""
        self._chosen: int | None = None
        """Mark that the arrow keys move."""
        self._dragged: int | None = None
        self._pressed: QPointF | None = None
        self._shown = PhotoLines()
        self.setMinimumSize(420, 260)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        explain(
            self,
            tr(
                "Drag the four marks to the ends of lines. Wheel: zoom. Drag beside the marks: pan. Keys 1 to 4 choose a "
                "mark, arrow keys move it, with Shift further."
            ),
            tr("Photo of the figure"),
        )
        FocusRing(self)

    def sizeHint(self) -> QSize:
        return QSize(900, 520)

    def show_photo(self, pixels: Pixels) -> None:
        """(rows, columns, 3) sRGB."""
        rows, columns = pixels.shape[:2]
        data = np.ascontiguousarray(pixels)
        self._image = QImage(data.tobytes(), columns, rows, 3 * columns, QImage.Format.Format_RGB888).copy()
        self._fit()

    def show_marks(self, marks: Points) -> None:
        """(4, 2) pixels of the photo."""
        self.marks = np.array(marks, dtype=float)
        self.update()

    def show_lines(self, lines: PhotoLines) -> None:
        self._shown = lines
        self.update()

    def on_screen(self, place: Sequence[float]) -> QPointF:
        """Of a place in the photo, pixels."""
        return self._corner + QPointF(*place) * self._scale

    def _fit(self) -> None:
        """All of the photo, in the middle."""
        if self._image.isNull():
            return
        self._is_whole = True
        self._scale = min(self.width() / self._image.width(), self.height() / self._image.height())
        room = QPointF(self.width(), self.height()) - QPointF(self._image.width(), self._image.height()) * self._scale
        self._corner = room / 2
        self.update()

    # Input.

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if self._is_whole:
            self._fit()

    def wheelEvent(self, event: QWheelEvent) -> None:
        notches = event.angleDelta().y() / 120
        whole = min(self.width() / max(self._image.width(), 1), self.height() / max(self._image.height(), 1))
        scale = min(self._scale * ZOOM**notches, max(MOST_ZOOM, whole))
        if scale <= whole:
            self._fit()
        else:
            at = event.position()
            self._corner = at - (at - self._corner) * (scale / self._scale)
            self._scale, self._is_whole = scale, False
        event.accept()
        self.update()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() != Qt.MouseButton.LeftButton:
            return
        self._dragged = self._mark_at(event.position())
        if self._dragged is not None:
            self._chosen = self._dragged
        self._pressed = event.position()
        self.update()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._pressed is None:
            is_near = self._mark_at(event.position()) is not None
            self.setCursor(Qt.CursorShape.SizeAllCursor if is_near else Qt.CursorShape.ArrowCursor)
            return
        way = event.position() - self._pressed
        self._pressed = event.position()
        if self._dragged is not None:
            self._move(self._dragged, way.x() / self._scale, way.y() / self._scale)
        elif not self._is_whole:
            self._corner += way
            self.update()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if event.button() != Qt.MouseButton.LeftButton:
            return
        was_dragged, self._dragged, self._pressed = self._dragged, None, None
        if was_dragged is not None:
            self.moved.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        number = event.key() - Qt.Key.Key_1
        if 0 <= number < len(self.marks):
            self._chosen = number
            self.update()
        elif self._chosen is not None and event.key() in ARROWS:
            step = LONG_STEP if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else STEP
            x, y = ARROWS[Qt.Key(event.key())]
            self._move(self._chosen, step * x, step * y)
        else:
            super().keyPressEvent(event)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        if self._chosen is not None and event.key() in ARROWS and not event.isAutoRepeat():
            self.moved.emit()
        else:
            super().keyReleaseEvent(event)

    def _mark_at(self, place: QPointF) -> int | None:
        """The mark under a place of the screen."""
        away = [(self.on_screen(mark) - place).manhattanLength() for mark in self.marks.tolist()]
        return int(np.argmin(away)) if away and min(away) <= REACH else None

    def _move(self, number: int, right: float, down: float) -> None:
        moved = self.marks[number] + (right, down)
        self.marks[number] = np.clip(moved, 0, (self._image.width(), self._image.height()))
        self.moving.emit()
        self.update()

    # Painting.

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform, self._scale < 1)
        painter.fillRect(self.rect(), colour(Role.DESK, self.palette()))
        if not self._image.isNull():
            size = QPointF(self._image.width(), self._image.height()) * self._scale
            painter.drawImage(QRectF(self._corner, self._corner + size), self._image)
            self._paint_lines(painter)
            self._paint_marks(painter)
        painter.end()

    def _paint_lines(self, painter: QPainter) -> None:
        shown = self._shown
        to_screen = QTransform.fromTranslate(self._corner.x(), self._corner.y()).scale(self._scale, self._scale)
        style = Qt.PenStyle.SolidLine if shown.are_found else Qt.PenStyle.DashLine
        lines = [to_screen.map(QPolygonF([QPointF(x, y) for x, y in line.tolist()])) for line in shown.lines]
        for pen in (QPen(HALO, 3.0), QPen(FOUND if shown.are_found else MARK, 1.4, style)):
            painter.setPen(pen)
            for line in lines:
                painter.drawPolyline(line)
        for place, text in shown.labels:
            self._paint_label(painter, self.on_screen(place), text)

    def _paint_label(self, painter: QPainter, middle: QPointF, text: str) -> None:
        box = QRectF(painter.fontMetrics().boundingRect(text)).adjusted(-5, -2, 5, 2)
        box.moveCenter(middle)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(16, 16, 16, 190))
        painter.drawRoundedRect(box, 4, 4)
        painter.setPen(QColor("#ffffff"))
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, text)
        painter.setBrush(Qt.BrushStyle.NoBrush)

    def _paint_marks(self, painter: QPainter) -> None:
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for number, mark in enumerate(self.marks.tolist()):
            at = self.on_screen(mark)
            is_chosen = number == self._chosen and self.hasFocus()
            for pen in (QPen(HALO, 5.0 if is_chosen else 4.0), QPen(MARK, 3.0 if is_chosen else 2.0)):
                painter.setPen(pen)
                painter.drawEllipse(at, RADIUS, RADIUS)
                painter.drawLine(at - QPointF(3, 0), at + QPointF(3, 0))
                painter.drawLine(at - QPointF(0, 3), at + QPointF(0, 3))
