"""The trade-off: margin over the anchors' distance and height, one cell for the best pair in it."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.document.language import tr
from app.statics.advice import COARSE, Advice
from app.window.canvas.zone_layer import colours_of

COLUMNS, ROWS = COARSE[0], COARSE[2]
"""Cells lie about the pairs that the search looks at first; its finer ones fall into them."""
STEPS = 8


class TradeOff(QWidget):
    """A click, or the arrow keys, choose a cell."""

    chosen = Signal(int)
    """Index into advice.looked_at."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._advice: Advice | None = None
        self.setMinimumSize(340, 260)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(tr("Margin over distance and height of the anchors"))
        self.setToolTip(
            tr("Each cell is the best pair with that distance and height. Click one to see it on the wall.")
        )

    def sizeHint(self) -> QSize:
        return QSize(460, 340)

    def show_advice(self, advice: Advice, top: float) -> None:
        """top: the ceiling, mm; heights are shown below it."""
        self._advice, self._top = advice, top
        tried = advice.looked_at
        self._low = np.array([tried[:, 2].min(), tried[:, 1].min()])
        self._span = np.maximum(np.ptp(tried[:, [2, 1]], axis=0), 1.0)
        column, row = self._cells(tried[:, 2], tried[:, 1])
        self._best = np.full((ROWS, COLUMNS), -1)
        for k in np.argsort(tried[:, 3], kind="stable"):
            self._best[row[k], column[k]] = k
        best = int(np.argmax(tried[:, 3]))
        self._cell = (int(row[best]), int(column[best]))
        self.update()

    def _cells(self, distance, height):
        column = np.rint((distance - self._low[0]) / self._span[0] * (COLUMNS - 1)).astype(int)
        row = np.rint((height - self._low[1]) / self._span[1] * (ROWS - 1)).astype(int)
        return column, row

    def _plot(self) -> QRectF:
        line = self.fontMetrics().height()
        left = self.fontMetrics().horizontalAdvance("00000") + line + 6
        return QRectF(left, line * 0.6, self.width() - left - line, self.height() - 3.4 * line)

    def paintEvent(self, event: QPaintEvent) -> None:
        if self._advice is None:
            return
        painter = QPainter(self)
        plot, font, line = self._plot(), self.fontMetrics(), self.fontMetrics().height()
        w, h = plot.width() / COLUMNS, plot.height() / ROWS
        top = max(float(self._advice.looked_at[:, 3].max()), 1e-6)
        for row in range(ROWS):
            for column in range(COLUMNS):
                k = self._best[row, column]
                cell = QRectF(plot.left() + column * w, plot.top() + row * h, w + 0.5, h + 0.5)
                if k < 0:
                    continue
                margin = float(self._advice.looked_at[k, 3])
                if margin <= 0:
                    painter.fillRect(cell, QColor(128, 128, 128, 60))
                    continue
                share = min(int(margin / top * STEPS), STEPS - 1) / (STEPS - 1)
                painter.fillRect(cell, QColor(*(int(v) for v in colours_of(np.array(share)))))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(self.palette().text().color(), 1))
        painter.drawRect(plot)
        for share in (0.0, 0.5, 1.0):
            distance, height = self._low + share * self._span
            text = f"{distance:.0f}"
            x = plot.left() + w / 2 + share * (plot.width() - w) - font.horizontalAdvance(text) / 2
            painter.drawText(QPointF(x, plot.bottom() + line), text)
            text = f"{height - self._top:.0f}"
            y = plot.top() + h / 2 + share * (plot.height() - h) + line * 0.3
            painter.drawText(QPointF(plot.left() - font.horizontalAdvance(text) - 5, y), text)
        box = QRectF(plot.left(), plot.bottom() + 1.2 * line, plot.width(), line * 1.2)
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, tr("Distance between the anchors, mm"))
        painter.save()
        painter.translate(line * 0.9, plot.center().y())
        painter.rotate(-90)
        box = QRectF(-plot.height() / 2, -line / 2, plot.height(), line)
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, tr("Below the ceiling, mm"))
        painter.restore()
        row, column = self._cell
        cell = QRectF(plot.left() + column * w, plot.top() + row * h, w, h).adjusted(-1.5, -1.5, 1.5, 1.5)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for colour, width in (("#ffffff", 4.0), ("#b3400a", 2.0)):
            painter.setPen(QPen(QColor(colour), width))
            painter.drawRect(cell)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        plot = self._plot()
        if self._advice is not None and plot.contains(event.position()):
            column = int((event.position().x() - plot.left()) / plot.width() * COLUMNS)
            row = int((event.position().y() - plot.top()) / plot.height() * ROWS)
            self._choose(min(row, ROWS - 1), min(column, COLUMNS - 1))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        step = {
            Qt.Key.Key_Left: (0, -1),
            Qt.Key.Key_Right: (0, 1),
            Qt.Key.Key_Up: (-1, 0),
            Qt.Key.Key_Down: (1, 0),
        }.get(event.key())
        if step is None or self._advice is None:
            super().keyPressEvent(event)
            return
        row, column = self._cell
        while 0 <= row + step[0] < ROWS and 0 <= column + step[1] < COLUMNS:
            row, column = row + step[0], column + step[1]
            if self._best[row, column] >= 0:
                self._choose(row, column)
                return

    def _choose(self, row: int, column: int) -> None:
        k = int(self._best[row, column])
        if k >= 0:
            self._cell = (row, column)
            self.update()
            self.chosen.emit(k)
