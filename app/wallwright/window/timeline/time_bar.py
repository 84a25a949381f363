"""The bar of time: each pen's block in its colour, a scale of hours and minutes, and the moment shown."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QHelpEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QSlider, QToolTip, QWidget

from wallwright.document.document import Pen
from wallwright.document.language import duration, tr
from wallwright.window.timeline.player import Player

MS = 1000
"""Steps of the slider in a second."""
TICKS = (10, 20, 30, 60, 120, 300, 600, 1200, 1800, 3600, 7200, 4 * 3600, 12 * 3600, 24 * 3600)
"""s between two marks of the scale."""
LEAST_GAP = 70.0
"""Pixels between two marks."""
MARGIN = 7.0
LEAST_LETTERS = 7
"""Of a pen's name that its block has room for at least."""


TOO_LIKE = 40
"""Of 255 lightness: a pen's colour that differs less from the window's is framed."""


def short(time: float) -> str:
    """A time on the scale, in whole seconds: exact, without zero parts."""
    hours, minutes, seconds = int(time // 3600), int(time // 60) % 60, int(time % 60)
    parts = ((hours, tr("{0} h", hours)), (minutes, tr("{0} min", minutes)), (seconds, tr("{0} s", seconds)))
    return " ".join(text for number, text in parts if number) or "0"


class TimeBar(QSlider):
    """A slider in ms. Its keys are a slider's: arrows by a second, page keys by a twentieth of the job, Home and End."""

    def __init__(self, player: Player, parent: QWidget | None = None) -> None:
        super().__init__(Qt.Orientation.Horizontal, parent)
        self._player = player
        self._blocks = np.empty((0, 2))
        self._pens: tuple[Pen, ...] = ()
        self.setAccessibleName(tr("Moment in the job"))
        self.setWhatsThis(
            tr(
                "The job over time, each pen in its colour. Click or drag to see a moment on the wall. Arrow "
                "keys move by seconds, the space bar plays, End shows the whole job."
            )
        )
        self.setToolTip(tr("Click a moment to see it on the wall."))
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setSingleStep(MS)
        self.valueChanged.connect(self._slid)

    def sizeHint(self) -> QSize:
        return QSize(400, self.fontMetrics().height() * 2 + 10)

    def minimumSizeHint(self) -> QSize:
        return QSize(60, self.sizeHint().height())

    def show_blocks(self, blocks: np.ndarray, pens: tuple[Pen, ...]) -> None:
        """blocks (b, 2): begin and end of each, s; pens: one a block."""
        self._blocks, self._pens = blocks, pens
        self.blockSignals(True)
        self.setRange(0, max(round(self._player.length * MS), 0))
        self.setPageStep(max(self.maximum() // 20, MS))
        self.blockSignals(False)
        self.follow()

    def follow(self) -> None:
        """Shows the player's time."""
        self.blockSignals(True)
        self.setValue(self.maximum() if self._player.now >= self._player.length else int(self._player.now * MS))
        self.blockSignals(False)
        self.update()

    def _slid(self, value: int) -> None:
        self._player.seek(self._player.length if value >= self.maximum() else value / MS)

    # Where times are.

    def _x(self, time: float) -> float:
        return MARGIN + (self.width() - 2 * MARGIN) * time / max(self._player.length, 1e-9)

    def _time(self, x: float) -> float:
        return self._player.length * (x - MARGIN) / max(self.width() - 2 * MARGIN, 1)

    def tip_at(self, x: float) -> str:
        """The pen that draws at a place, logical pixels, and for how long: not every block has room for its name."""
        time = self._time(x)
        for (begin, end), pen in zip(self._blocks.tolist(), self._pens, strict=True):
            if begin <= time < end:
                return f"{pen.name}: {duration(end - begin)}\n{self.toolTip()}"
        return self.toolTip()

    def event(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.ToolTip and isinstance(event, QHelpEvent):
            QToolTip.showText(event.globalPos(), self.tip_at(event.pos().x()), self)
            return True
        return super().event(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton and self._player.length:
            self._player.pause()
            self._player.seek(self._time(event.position().x()))

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if event.buttons() & Qt.MouseButton.LeftButton and self._player.length:
            self._player.seek(self._time(event.position().x()))

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        pass  # the slider's own handle is not there to be let go of

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Space:
            self._player.toggle()
        else:
            super().keyPressEvent(event)

    # Painting.

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        line = self.fontMetrics().height()
        bar = QRectF(MARGIN, 3, self.width() - 2 * MARGIN, line + 2)
        painter.setOpacity(1.0 if self.isEnabled() else 0.4)
        painter.fillRect(bar, self.palette().mid())
        for (begin, end), pen in zip(self._blocks.tolist(), self._pens, strict=True):
            self._paint_block(
                painter, QRectF(self._x(begin), bar.top(), self._x(end) - self._x(begin), bar.height()), pen
            )
        if self._player.length:
            self._paint_scale(painter, bar)
            self._paint_moment(painter, bar)
        if self.hasFocus():
            painter.setPen(QPen(self.palette().highlight().color(), 2))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(bar.adjusted(-3, -2, 3, 2))
        painter.end()

    def _paint_block(self, painter: QPainter, box: QRectF, pen: Pen) -> None:
        colour = QColor(pen.colour)
        painter.fillRect(box, colour)
        if abs(colour.lightness() - self.palette().window().color().lightness()) < TOO_LIKE:
            painter.setPen(self.palette().mid().color())  # black ink in a dark window, yellow in a light one
            painter.drawRect(box.adjusted(0, 0, -1, -1))
        painter.setPen(QPen(self.palette().window().color(), 2))
        painter.drawLine(box.topLeft(), box.bottomLeft())
        # The name too: colours alone do not tell red from green to everybody.
        metrics = self.fontMetrics()
        if min(metrics.horizontalAdvance(pen.name), LEAST_LETTERS * metrics.averageCharWidth()) + 8 < box.width():
            name = metrics.elidedText(pen.name, Qt.TextElideMode.ElideRight, int(box.width()) - 8)
            painter.setPen(QColor("#ffffff") if colour.lightness() < 140 else QColor("#000000"))
            painter.drawText(box, Qt.AlignmentFlag.AlignCenter, name)

    def _paint_scale(self, painter: QPainter, bar: QRectF) -> None:
        per_second = bar.width() / self._player.length
        step = next((t for t in TICKS if t * per_second >= LEAST_GAP), TICKS[-1])
        painter.setPen(self.palette().text().color())
        room = self.fontMetrics().horizontalAdvance(duration(36_060)) / 2
        for time in np.arange(0, self._player.length, step).tolist():
            x = self._x(time)
            painter.drawLine(QPointF(x, bar.bottom()), QPointF(x, bar.bottom() + 3))
            if x + room < self.width():
                at = QRectF(x - room, bar.bottom() + 2, 2 * room, self.height() - bar.bottom() - 2)
                flags = Qt.AlignmentFlag.AlignHCenter
                if time == 0:
                    at.moveLeft(x)
                    flags = Qt.AlignmentFlag.AlignLeft
                painter.drawText(at, flags | Qt.AlignmentFlag.AlignVCenter, short(time))

    def _paint_moment(self, painter: QPainter, bar: QRectF) -> None:
        x = self._x(self._player.now)
        ink, paper = self.palette().text().color(), self.palette().base().color()
        painter.setPen(QPen(paper, 4))
        painter.drawLine(QPointF(x, bar.top() - 2), QPointF(x, bar.bottom() + 2))
        painter.setPen(QPen(ink, 2))
        painter.drawLine(QPointF(x, bar.top() - 2), QPointF(x, bar.bottom() + 2))
        painter.setBrush(ink)
        painter.drawPolygon(
            QPolygonF([QPointF(x - 4, bar.top() - 3), QPointF(x + 4, bar.top() - 3), QPointF(x, bar.top() + 3)])
        )
