"""The trade-off: margin over the anchors' distance and height, one cell for the best pair in it."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QEvent, QPoint, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QBrush,
    QColor,
    QHelpEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QPolygonF,
)
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget

from wallwright.document.language import tr
from wallwright.statics.anchor_placement import FIRST_GRID, AnchorProposal
from wallwright.window.canvas.colour_map import colours_of
from wallwright.window.widgets.theme import OnWall

COLUMNS, ROWS = FIRST_GRID[0], FIRST_GRID[2]
"""Cells lie about the pairs that the search looks at first; its finer ones fall into them."""
STEPS = 8
CHOSEN = OnWall.MEASURED.value
OUTSIDE, OUTSIDE_LINES = QColor(128, 128, 128, 60), QColor(110, 110, 110, 150)


STAR, STAR_INNER = 6.0, 2.6
"""Pixels from its middle to its points."""
UNDER_STAR = int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignBottom)


def _star_place(cell: QRectF) -> QPointF:
    """Within the cell, where the mark leaves its number free."""
    return cell.topRight() + QPointF(-STAR - 1, STAR + 1)


def _paint_star(painter: QPainter, at: QPointF) -> None:
    """Five points, white with a dark rim: seen on every colour."""
    turns = [math.tau * (i / 10 - 0.25) for i in range(10)]
    sizes = [STAR if i % 2 == 0 else STAR_INNER for i in range(10)]
    painter.setPen(QPen(QColor("#000000"), 1.0))
    painter.setBrush(QColor("#ffffff"))
    painter.drawPolygon(
        QPolygonF([at + QPointF(r * math.cos(t), r * math.sin(t)) for t, r in zip(turns, sizes, strict=True)])
    )


def _paint_outside(painter: QPainter, at: QPointF) -> None:
    _fill_outside(painter, QRectF(at.x() - 6, at.y() - 6, 12, 12))


def _fill_outside(painter: QPainter, box: QRectF) -> None:
    painter.fillRect(box, OUTSIDE)
    painter.fillRect(box, QBrush(OUTSIDE_LINES, Qt.BrushStyle.BDiagPattern))


def _paint_ring(painter: QPainter, at: QPointF) -> None:
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for colour, width in (("#ffffff", 4.5), ("#000000", 2.0)):
        painter.setPen(QPen(QColor(colour), width))
        painter.drawEllipse(at, 5.5, 5.5)


class TradeOffPlot(QWidget):
    """A click, or the arrow keys, choose a cell."""

    chosen = Signal(int)
    """Index into advice.evaluated."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._advice: AnchorProposal | None = None
        self.setMinimumSize(400, 320)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(tr("Reserve by distance and height of the anchors"))
        self.setToolTip(
            tr(
                "Each cell is the best pair of anchors with that distance and height. Click a cell to see it on "
                "the wall."
            )
        )

    def sizeHint(self) -> QSize:
        return QSize(460, 340)

    def show_advice(self, advice: AnchorProposal, ceiling: float, now: tuple[float, float]) -> None:
        """ceiling: mm; heights are shown below it. now: distance and height of the present anchors, mm."""
        self._advice, self._ceiling, self._now = advice, ceiling, now
        self._top = max(float(advice.evaluated[:, 3].max()), 1e-6)
        tried = advice.evaluated
        self._low = np.array([tried[:, 2].min(), tried[:, 1].min()])
        self._span = np.maximum(np.ptp(tried[:, [2, 1]], axis=0), 1.0)
        column, row = self._cells(tried[:, 2], tried[:, 1])
        self._best = np.full((ROWS, COLUMNS), -1)
        for k in np.argsort(tried[:, 3], kind="stable"):
            self._best[row[k], column[k]] = k
        best = int(np.argmax(tried[:, 3]))
        self._cell = self._best_cell = (int(row[best]), int(column[best]))
        self.update()

    def _cells(
        self, distance: npt.NDArray[np.float64], height: npt.NDArray[np.float64]
    ) -> tuple[npt.NDArray[np.int_], npt.NDArray[np.int_]]:
        """Column and row of each pair of anchors, by distance and height, mm."""
        column = np.rint((distance - self._low[0]) / self._span[0] * (COLUMNS - 1)).astype(int)
        row = np.rint((height - self._low[1]) / self._span[1] * (ROWS - 1)).astype(int)
        return column, row

    def _plot(self) -> QRectF:
        line = self.fontMetrics().height()
        left = self.fontMetrics().horizontalAdvance("00000") + line + 6
        return QRectF(left, line * 0.6, self.width() - left - line, self.height() - 8.4 * line)

    def paintEvent(self, event: QPaintEvent) -> None:
        if self._advice is None:
            return
        painter = QPainter(self)
        plot = self._plot()
        self._paint_cells(painter, plot, self._advice)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(self.palette().text().color(), 1))
        painter.drawRect(plot)
        self._paint_scales(painter, plot)
        self._paint_marks(painter, plot)
        self._paint_key(painter, plot)
        painter.end()

    def _paint_cells(self, painter: QPainter, plot: QRectF, advice: AnchorProposal) -> None:
        """Each in the colour of its step, with its number as far as there is room."""
        w, h = plot.width() / COLUMNS, plot.height() / ROWS
        font = self.fontMetrics()
        has_room = w > font.horizontalAdvance("00") + 4 and h > font.height()
        for row in range(ROWS):
            for column in range(COLUMNS):
                k = self._best[row, column]
                if k < 0:
                    continue
                x, y = round(plot.left() + column * w), round(plot.top() + row * h)
                far = round(plot.left() + (column + 1) * w), round(plot.top() + (row + 1) * h)
                cell = QRectF(x, y, far[0] - x, far[1] - y)
                margin = float(advice.evaluated[k, 3])
                if margin <= 0:
                    _fill_outside(painter, cell)
                    continue
                colour = self._colour(margin)
                painter.fillRect(cell, colour)
                if has_room:
                    painter.setPen(QColor("#ffffff") if colour.lightnessF() < 0.42 else QColor("#000000"))
                    is_best = (row, column) == self._best_cell
                    place = UNDER_STAR if is_best else int(Qt.AlignmentFlag.AlignCenter)
                    painter.drawText(cell.adjusted(3, 0, 0, 0) if is_best else cell, place, f"{100 * margin:.0f}")

    def _colour(self, margin: float) -> QColor:
        share = min(int(margin / self._top * STEPS), STEPS - 1) / (STEPS - 1)
        return QColor(*colours_of(np.array(share)).tolist())

    def _paint_scales(self, painter: QPainter, plot: QRectF) -> None:
        font, line = self.fontMetrics(), self.fontMetrics().height()
        w, h = plot.width() / COLUMNS, plot.height() / ROWS
        for share in (0.0, 0.5, 1.0):
            distance, height = self._low + share * self._span
            text = f"{distance:.0f}"
            x = plot.left() + w / 2 + share * (plot.width() - w) - font.horizontalAdvance(text) / 2
            painter.drawText(QPointF(x, plot.bottom() + line), text)
            text = f"{height - self._ceiling:.0f}"
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

    def _paint_marks(self, painter: QPainter, plot: QRectF) -> None:
        """A frame around the chosen cell, a star in the best one, a ring where the anchors are now."""
        self._paint_frame(painter, self._cell_box(plot, *self._cell))
        _paint_star(painter, _star_place(self._cell_box(plot, *self._best_cell)))
        now = self._place_of(plot, *self._now)
        if now is not None:
            _paint_ring(painter, now)

    def _cell_box(self, plot: QRectF, row: int, column: int) -> QRectF:
        w, h = plot.width() / COLUMNS, plot.height() / ROWS
        return QRectF(plot.left() + column * w, plot.top() + row * h, w, h)

    def _place_of(self, plot: QRectF, distance: float, height: float) -> QPointF | None:
        """Where a pair is on the plot; None when it is not on it."""
        share = (np.array([distance, height]) - self._low) / self._span
        cells = share * (COLUMNS - 1, ROWS - 1) + 0.5
        at = QPointF(plot.left() + cells[0] * plot.width() / COLUMNS, plot.top() + cells[1] * plot.height() / ROWS)
        return at if plot.contains(at) else None

    @staticmethod
    def _paint_frame(painter: QPainter, box: QRectF) -> None:
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for colour, width in (("#ffffff", 4.0), (CHOSEN, 2.0)):
            painter.setPen(QPen(QColor(colour), width))
            painter.drawRect(box.adjusted(-1.5, -1.5, 1.5, 1.5))

    def _paint_key(self, painter: QPainter, plot: QRectF) -> None:
        """What colours and marks mean: the colours with numbers in one line, the marks with words below."""
        font, line = self.fontMetrics(), self.fontMetrics().height()
        y, x = plot.bottom() + 2.9 * line, plot.left()
        painter.setPen(self.palette().text().color())
        title = tr("Reserve of the tightest limit, %:")
        painter.drawText(QPointF(x, y + font.ascent()), title)
        x += font.horizontalAdvance(title) + 8
        words, most = f"{100 * self._top:.0f}", plot.right()
        painter.drawText(QPointF(x, y + font.ascent()), "0")
        x += font.horizontalAdvance("0") + 4
        step = max(min((most - x - font.horizontalAdvance(words) - 4) / STEPS, 22.0), 6.0)
        for i in range(STEPS):
            painter.fillRect(QRectF(x + i * step, y + 1, step, line - 2), self._colour(self._top * (i + 0.5) / STEPS))
        painter.drawText(QPointF(x + STEPS * step + 4, y + font.ascent()), words)
        for entries, down in (
            (((_paint_ring, tr("now")), (_paint_star, tr("best")), (self._paint_chosen, tr("chosen"))), 1.35),
            (((_paint_outside, tr("some artwork outside the draw zone")),), 2.6),
            (((None, tr("empty: no room for such a pair")),), 3.85),
        ):
            x = plot.left()
            for paint, word in entries:
                if paint is not None:
                    paint(painter, QPointF(x + 0.6 * line, y + (down + 0.5) * line))
                    x += 1.4 * line
                painter.setPen(self.palette().text().color())
                painter.drawText(QPointF(x, y + down * line + font.ascent()), word)
                x += font.horizontalAdvance(word) + line

    def _paint_chosen(self, painter: QPainter, at: QPointF) -> None:
        self._paint_frame(painter, QRectF(at.x() - 4, at.y() - 4, 8, 8))

    def event(self, event: QEvent) -> bool:
        """Pointing at a cell tells its numbers."""
        if isinstance(event, QHelpEvent) and event.type() == QEvent.Type.ToolTip and self._advice is not None:
            at = self._at(event.pos())
            k = -1 if at is None else int(self._best[at])
            QToolTip.showText(event.globalPos(), self._pair_text(self._advice, k) if k >= 0 else self.toolTip(), self)
            return True
        return super().event(event)

    def _pair_text(self, advice: AnchorProposal, k: int) -> str:
        _, y, distance, margin = advice.evaluated[k].tolist()
        where = tr("{0:.0f} mm apart, {1:.0f} mm below the ceiling", distance, y - self._ceiling)
        if margin <= 0:
            return tr("{0}: some of the artwork would be outside the draw zone.", where)
        return tr("{0}: reserve {1:.0%}.", where, margin)

    def _at(self, point: QPoint | QPointF) -> tuple[int, int] | None:
        """Row and column under a point of the widget."""
        plot = self._plot()
        if not plot.contains(point):
            return None
        row = int((point.y() - plot.top()) / plot.height() * ROWS)
        column = int((point.x() - plot.left()) / plot.width() * COLUMNS)
        return min(row, ROWS - 1), min(column, COLUMNS - 1)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if self._advice is not None and (at := self._at(event.position())) is not None:
            self._choose(*at)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        step = {
            Qt.Key.Key_Left: (0, -1),
            Qt.Key.Key_Right: (0, 1),
            Qt.Key.Key_Up: (-1, 0),
            Qt.Key.Key_Down: (1, 0),
        }.get(Qt.Key(event.key()))
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
