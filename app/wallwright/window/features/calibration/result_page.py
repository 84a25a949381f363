"""Third page: what the readings say, and keeping it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QImage, QPainter, QPaintEvent
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
from wallwright.statics.calibration.drawing_fit import fit_survey
from wallwright.statics.calibration.error_maps import ErrorMaps, error_maps
from wallwright.statics.calibration.fit import CalibrationResult
from wallwright.statics.calibration.report_text import changes, remarks
from wallwright.window.canvas.view import View
from wallwright.window.canvas.wall_layer import ANCHOR, PAPER
from wallwright.window.canvas.zone_layer import colours_of
from wallwright.window.model.background_work import BackgroundWork

if TYPE_CHECKING:
    from wallwright.window.features.calibration.wizard import CalibrationWizard

STEPS = 6


class CalibrationWorker(BackgroundWork):
    """Fits beside the window. Read `outcome` and `maps`, or `trouble`, when it has finished."""

    def __init__(self, document: Document, index: int, parent: QWidget) -> None:
        super().__init__(parent)
        self._document, self._index = document, index
        self.outcome: CalibrationResult | None = None
        self.maps: ErrorMaps | None = None

    def work(self) -> None:
        document, hanging = self._document, self._document.hangings[self._index]
        outcome = fit_survey(document.machine, hanging)
        self.maps = error_maps(document.wall, document.machine, hanging, outcome)
        self.outcome = outcome


class ErrorMap(QWidget):
    """One map of errors in mm, in steps, with its own scale."""

    def __init__(self, title: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._title, self._values = title, None
        self.setMinimumSize(200, 180)
        self.setAccessibleName(title)

    def sizeHint(self) -> QSize:
        return QSize(260, 220)

    def show_map(
        self, document: Document, index: int, maps: ErrorMaps, values: np.ndarray, high: float
    ) -> None:
        self._document, self._index, self._maps, self._values = document, index, maps, values
        good = values[np.isfinite(values)]
        typical = float(np.sqrt((good**2).mean())) if len(good) else 0.0
        self._high = high
        self._words = tr("{0:.1f} mm on average, up to {1:.1f} mm", typical, float(good.max(initial=0.0)))
        self.setAccessibleDescription(self._words)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        font = painter.fontMetrics()
        painter.setPen(self.palette().text().color())
        painter.drawText(
            QRectF(0, 0, self.width(), font.height()), Qt.AlignmentFlag.AlignHCenter, self._title
        )
        if self._values is None:
            return
        wall, maps = self._document.wall, self._maps
        top = font.height() + 4
        view = View.fitting(
            (wall.left, wall.top, wall.right, wall.floor),
            self.width(),
            self.height() - 2 * top - font.height(),
            4,
        )
        painter.translate(0, top)
        painter.fillRect(view.rect_to_screen(wall.left, wall.top, wall.right, wall.floor), PAPER)
        share = np.floor(np.clip(self._values / max(self._high, 1e-9), 0, 0.999) * STEPS) / (STEPS - 1)
        pixels = np.zeros((*share.shape, 4), dtype=np.uint8)
        pixels[..., :3] = colours_of(np.nan_to_num(share))
        pixels[..., 3] = np.where(np.isfinite(self._values), 255, 0)
        pixels = np.ascontiguousarray(pixels)
        image = QImage(pixels.data, share.shape[1], share.shape[0], QImage.Format.Format_RGBA8888)
        dx, dy = (maps.x[1] - maps.x[0]) / 2, (maps.y[1] - maps.y[0]) / 2
        painter.drawImage(
            view.rect_to_screen(maps.x[0] - dx, maps.y[0] - dy, maps.x[-1] + dx, maps.y[-1] + dy), image
        )
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(ANCHOR)
        hanging = self._document.hangings[self._index]
        for anchor in (hanging.left, hanging.right):
            painter.drawEllipse(view.to_screen(anchor.x, anchor.y), 4.0, 4.0)
        painter.resetTransform()
        self._paint_scale(painter, font)

    def _paint_scale(self, painter: QPainter, font) -> None:
        line = font.height()
        bar = QRectF(self.width() * 0.2, self.height() - 2 * line - 2, self.width() * 0.6, line * 0.7)
        for k in range(STEPS):
            r, g, b = (int(v) for v in colours_of(np.array(k / (STEPS - 1))))
            piece = QRectF(
                bar.left() + k * bar.width() / STEPS, bar.top(), bar.width() / STEPS + 1, bar.height()
            )
            painter.fillRect(piece, (r << 16) | (g << 8) | b | 0xFF000000)
        painter.setPen(self.palette().text().color())
        painter.drawText(QPointF(bar.left() - font.horizontalAdvance("0 ") - 2, bar.bottom()), "0")
        painter.drawText(QPointF(bar.right() + 4, bar.bottom()), tr("{0:.1f} mm", self._high))
        painter.drawText(
            QRectF(0, self.height() - line, self.width(), line), Qt.AlignmentFlag.AlignHCenter, self._words
        )


class ResultPage(QWizardPage):
    """Table of what changed, remarks, and two maps."""

    def __init__(self, wizard: CalibrationWizard) -> None:
        super().__init__(wizard)
        self._wizard = wizard
        self._fitting: CalibrationWorker | None = None
        self.outcome: CalibrationResult | None = None
        """Set once it is shown: nobody keeps what they have not seen."""
        self.setTitle(tr("3. Result"))
        self.setSubTitle(
            tr("Keeping it writes these numbers into machine and hanging; it can be undone. The next job counts on the "
               "belts as they are: do not reset them.")
        )  # fmt: skip
        self.table = QTableWidget(0, 4)
        self.table.setHorizontalHeaderLabels([tr("Number"), tr("Was"), tr("Is"), tr("Known to")])
        self.table.verticalHeader().hide()
        self.table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.table.setAccessibleName(tr("What the readings say"))
        self.table.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        self.table.horizontalHeader().setStretchLastSection(True)
        self.remarks = QLabel(tr("Fitting …"))
        self.remarks.setWordWrap(True)
        self.remarks.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self._before = ErrorMap(tr("Before: the pen was off by"))
        self._after = ErrorMap(tr("After: expect within ±"))
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
        self.remarks.setText(tr("Fitting …"))
        self._document = self._wizard.session.document
        self._fitting = CalibrationWorker(self._document, self._wizard.index, self)
        self._fitting.finished.connect(self._show)
        self._fitting.start()
        self.completeChanged.emit()

    def _show(self) -> None:
        fitting = self._fitting
        if fitting.outcome is None:
            self.remarks.setText(fitting.trouble)
            return
        self.outcome = fitting.outcome
        rows = changes(fitting.outcome)
        self.table.setRowCount(len(rows))
        for row, texts in enumerate(rows):
            for column, text in enumerate(texts):
                item = QTableWidgetItem(text)
                if column in (1, 2):
                    item.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
                self.table.setItem(row, column, item)
        self.remarks.setText("\n\n".join(remarks(fitting.outcome, self._wizard.hanging.survey)))
        index = self._wizard.index
        maps = fitting.maps
        # One scale for both, or the better map would look as bad as the worse one.
        high = max(
            float(np.nanpercentile(v, 98)) if np.isfinite(v).any() else 1.0 for v in (maps.before, maps.after)
        )
        self._before.show_map(self._document, index, maps, maps.before, high)
        self._after.show_map(self._document, index, maps, maps.after, high)
        self.completeChanged.emit()

    def abandon(self) -> None:
        if self._fitting is not None:
            self._fitting.abandon()

    def isComplete(self) -> bool:
        return self.outcome is not None
