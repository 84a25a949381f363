"""Third page: what the readings say, and keeping it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetrics, QImage, QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHBoxLayout,
    QHeaderView,
    QLabel,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
    QWizardPage,
)

from wallwright.document.document import Document
from wallwright.document.language import tr
from wallwright.document.wall import Hanging, Wall
from wallwright.statics.calibration.drawing_fit import fit_survey
from wallwright.statics.calibration.error_maps import ErrorMaps, error_maps
from wallwright.statics.calibration.fit import CalibrationResult
from wallwright.statics.calibration.report_text import changes, moved_sentence, remarks
from wallwright.window.canvas.colour_map import colours_of
from wallwright.window.canvas.view import View
from wallwright.window.canvas.wall_layer import ANCHOR, PAPER
from wallwright.window.features.calibration.state import CalibrationState
from wallwright.window.model.background_work import BackgroundWork
from wallwright.window.widgets.whole_text import keep_whole_in_tips

STEPS = 6
"""Colours of a map."""


class CalibrationWorker(BackgroundWork):
    """Fits beside the window. Read `found`, or `trouble`, when it has finished."""

    def __init__(self, document: Document, index: int, parent: QWidget) -> None:
        super().__init__(parent)
        self._document, self._index = document, index
        self.found: tuple[CalibrationResult, ErrorMaps] | None = None

    def work(self) -> None:
        document, hanging = self._document, self._document.hangings[self._index]
        outcome = fit_survey(document.machine, hanging)
        self.found = outcome, error_maps(document.wall, document.machine, hanging, outcome)


@dataclass(frozen=True)
class _Shown:
    """What a map shows."""

    wall: Wall
    hanging: Hanging
    x: npt.NDArray[np.float64]
    y: npt.NDArray[np.float64]
    """(c,) and (r,) mm."""
    values: npt.NDArray[np.float64]
    """(r, c) mm; nan: nothing is known."""
    high: float
    """mm at the upper end of the colours."""
    text: str


class ErrorMap(QWidget):
    """One map of errors in mm, in steps, with its own scale."""

    def __init__(self, title: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._title = title
        self._shown: _Shown | None = None
        self.setMinimumSize(200, 180)
        self.setAccessibleName(title)

    def sizeHint(self) -> QSize:
        return QSize(260, 220)

    def show_map(
        self, wall: Wall, hanging: Hanging, maps: ErrorMaps, values: npt.NDArray[np.float64], high: float
    ) -> None:
        """values: (r, c) mm over the grid of maps, nan outside the draw zone; high: mm at the upper end of the colours."""
        known = values[np.isfinite(values)]
        typical = float(np.sqrt((known**2).mean())) if len(known) else 0.0
        text = tr("{0:.1f} mm on average, up to {1:.1f} mm", typical, float(known.max(initial=0.0)))
        self._shown = _Shown(wall, hanging, maps.x, maps.y, values, high, text)
        self.setAccessibleDescription(text)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        font = painter.fontMetrics()
        painter.setPen(self.palette().text().color())
        painter.drawText(QRectF(0, 0, self.width(), font.height()), Qt.AlignmentFlag.AlignHCenter, self._title)
        if self._shown is not None:
            self._paint_map(painter, font, self._shown)
            self._paint_scale(painter, font, self._shown)
        painter.end()

    def _paint_map(self, painter: QPainter, font: QFontMetrics, shown: _Shown) -> None:
        wall, x, y = shown.wall, shown.x, shown.y
        top = font.height() + 4
        box = (wall.left, wall.top, wall.right, wall.floor)
        view = View.fitting(box, self.width(), self.height() - 2 * top - font.height(), 4)
        painter.save()
        painter.translate(0, top)
        painter.fillRect(view.rect_to_screen(*box), PAPER)
        share = np.floor(np.clip(shown.values / max(shown.high, 1e-9), 0, 0.999) * STEPS) / (STEPS - 1)
        pixels = np.zeros((*share.shape, 4), dtype=np.uint8)
        pixels[..., :3] = colours_of(np.nan_to_num(share))
        pixels[..., 3] = np.where(np.isfinite(shown.values), 255, 0)
        pixels = np.ascontiguousarray(pixels)
        image = QImage(pixels.data, share.shape[1], share.shape[0], QImage.Format.Format_RGBA8888)
        dx, dy = (x[1] - x[0]) / 2, (y[1] - y[0]) / 2
        painter.drawImage(view.rect_to_screen(x[0] - dx, y[0] - dy, x[-1] + dx, y[-1] + dy), image)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(ANCHOR)
        for anchor in (shown.hanging.left, shown.hanging.right):
            painter.drawEllipse(view.to_screen(anchor.x, anchor.y), 4.0, 4.0)
        painter.restore()

    def _paint_scale(self, painter: QPainter, font: QFontMetrics, shown: _Shown) -> None:
        line = font.height()
        bar = QRectF(self.width() * 0.2, self.height() - 2 * line - 2, self.width() * 0.6, line * 0.7)
        for k in range(STEPS):
            piece = QRectF(bar.left() + k * bar.width() / STEPS, bar.top(), bar.width() / STEPS + 1, bar.height())
            r, g, b = colours_of(k / (STEPS - 1)).tolist()
            painter.fillRect(piece, QColor(r, g, b))
        painter.setPen(self.palette().text().color())
        painter.drawText(QPointF(bar.left() - font.horizontalAdvance("0 ") - 2, bar.bottom()), "0")
        painter.drawText(QPointF(bar.right() + 4, bar.bottom()), tr("{0:.1f} mm", shown.high))
        painter.drawText(QRectF(0, self.height() - line, self.width(), line), Qt.AlignmentFlag.AlignHCenter, shown.text)


class ResultPage(QWizardPage):
    """Table of what changed, remarks, and two maps."""

    def __init__(self, state: CalibrationState, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._state = state
        self._fitting: CalibrationWorker | None = None
        self.outcome: CalibrationResult | None = None
        """Set once it is shown, so that nobody keeps what they have not seen."""
        self.setTitle(tr("3. Result"))
        takes_drawing = state.document.machine.controller.takes == "drawing"
        self.setSubTitle(
            tr(
                "Applying changes the machine and the hanging; you can undo it. Then export the job again: its files and "
                "the numbers to type change."
            )
            if takes_drawing
            else tr(
                "Applying changes the machine and the hanging; you can undo it. The next job uses the belts as they are: "
                "do not reset them."
            )
        )
        self.table = QTableWidget(0, 4)
        keep_whole_in_tips(self.table, Qt.TextElideMode.ElideRight)
        self.table.setHorizontalHeaderLabels([tr("Value"), tr("Before"), tr("After"), tr("Uncertainty")])
        self.table.verticalHeader().hide()
        self.table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.table.setAccessibleName(tr("What the readings show"))
        self.table.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        self.table.horizontalHeader().setStretchLastSection(True)
        self.remarks = QLabel(tr("Fitting…"))
        self.remarks.setWordWrap(True)
        self.remarks.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self._before = ErrorMap(tr("Before: expected within ±"))
        self._after = ErrorMap(tr("After: expected within ±"))
        maps = QVBoxLayout()
        maps.addWidget(self._before)
        maps.addWidget(self._after)
        left = QVBoxLayout()
        left.addWidget(self.table, 3)
        left.addWidget(self.remarks, 1)
        row = QHBoxLayout(self)
        row.addLayout(left, 3)
        row.addLayout(maps, 2)

    def initializePage(self) -> None:
        self.abandon()
        self.outcome = None
        self.table.setRowCount(0)
        self.remarks.setText(tr("Fitting…"))
        document, index = self._state.document, self._state.index
        fitting = self._fitting = CalibrationWorker(document, index, self)
        fitting.finished.connect(lambda: self._show(fitting, document.wall, document.hangings[index]))
        fitting.start()
        self.completeChanged.emit()

    def _show(self, fitting: CalibrationWorker, wall: Wall, hanging: Hanging) -> None:
        """wall, hanging: as they were when the fit began."""
        if fitting.found is None:
            self.remarks.setText(fitting.trouble)
            return
        self.outcome, maps = fitting.found
        rows = changes(self.outcome)
        self.table.setRowCount(len(rows))
        for row, texts in enumerate(rows):
            for column, text in enumerate(texts):
                item = QTableWidgetItem(text)
                if column in (1, 2):
                    item.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
                self.table.setItem(row, column, item)
        sentences = [moved_sentence(maps.moved), *remarks(self.outcome, self._state.survey)]
        self.remarks.setText("\n\n".join(filter(None, sentences)))
        # One scale for both, or the better map would look as bad as the worse one; up to the largest number named below.
        high = max(float(v[np.isfinite(v)].max(initial=0.0)) for v in (maps.before, maps.after))
        self._before.show_map(wall, hanging, maps, maps.before, high)
        self._after.show_map(wall, hanging, maps, maps.after, high)
        self.completeChanged.emit()

    def abandon(self) -> None:
        if self._fitting is not None:
            self._fitting.abandon()

    def isComplete(self) -> bool:
        return self.outcome is not None
