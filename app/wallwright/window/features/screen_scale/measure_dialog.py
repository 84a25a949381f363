"""Measuring the screen with a bank card or a ruler held against it, so that true size is true."""

from __future__ import annotations

import math

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFontMetricsF, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QHBoxLayout,
    QLabel,
    QRadioButton,
    QSizePolicy,
    QSlider,
    QVBoxLayout,
    QWidget,
)

from wallwright.document.language import tr
from wallwright.window.model import screen_scale
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.screen_size import lay_out_scrolling

CARD = (85.60, 53.98)
"""mm: width and height of a bank card (ISO/IEC 7810, ID-1; values from memory)."""
RULER = (100.0, 30.0)
"""mm: a piece of a ruler, and how high it is drawn."""
EDGE = 12.0
"""Logical pixels from the widget's side to the left edge that the thing is held against."""
STEPS = 2000
"""Of the slider, from half to twice what the screen says: a step is 0.06 mm on a card."""
GRIP = 9.0
"""Logical pixels around the right edge that take hold of it."""


class Gauge(QWidget):
    """A card or a ruler drawn at some pixels per mm; its right edge can be dragged."""

    dragged = Signal(float)
    """The logical pixels per mm that the pointer asks for."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.scale = 4.0
        """Logical pixels per mm."""
        self.thing = CARD
        self._held = False
        self.setMouseTracking(True)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(tr("Measuring frame"))
        self.setWhatsThis(tr("Life-size once the screen is measured. Drag its right edge."))

    def sizeHint(self) -> QSize:
        return QSize(round(EDGE * 2 + RULER[0] * self.scale * 1.3), round(EDGE * 2 + CARD[1] * self.scale * 1.1))

    def show_at(self, scale: float) -> None:
        self.scale = scale
        self.setMinimumSize(round(self.right + 2 * EDGE), round(2 * EDGE + self.thing[1] * scale))
        self.update()

    @property
    def right(self) -> float:
        """Where the right edge is, logical pixels."""
        return EDGE + self.thing[0] * self.scale

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self._held = abs(event.position().x() - self.right) <= GRIP

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._held and event.position().x() > EDGE:
            self.dragged.emit((event.position().x() - EDGE) / self.thing[0])
        near = self._held or abs(event.position().x() - self.right) <= GRIP
        self.setCursor(Qt.CursorShape.SizeHorCursor if near else Qt.CursorShape.ArrowCursor)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        self._held = False

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        ink = self.palette().text().color()
        width, height = self.thing[0] * self.scale, self.thing[1] * self.scale
        box = QRectF(EDGE, EDGE, width, height)
        painter.setPen(QPen(ink, 1.5))
        painter.setBrush(self.palette().base())
        # The corners of a card are round by 3.18 mm (ISO/IEC 7810, from memory).
        radius = 3.18 * self.scale if self.thing == CARD else 0.0
        painter.drawRoundedRect(box, radius, radius)
        if self.thing == RULER:
            self._paint_marks(painter)
        painter.setPen(QPen(self.palette().highlight().color(), 3.0))
        for x in (box.left(), box.right()):
            painter.drawLine(QPointF(x, 0), QPointF(x, self.height()))
        painter.end()

    def _paint_marks(self, painter: QPainter) -> None:
        font = QFontMetricsF(painter.font())
        for mm in range(1, int(RULER[0])):
            x = EDGE + mm * self.scale
            long = 12 if mm % 10 == 0 else 8 if mm % 5 == 0 else 5
            painter.drawLine(QPointF(x, EDGE), QPointF(x, EDGE + long))
            if mm % 10 == 0:
                text = str(mm // 10)
                painter.drawText(QPointF(x - font.horizontalAdvance(text) / 2, EDGE + 12 + font.ascent()), text)


class MeasureScreen(QDialog):
    """Keeps how large the screen's pixels are."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setWindowTitle(tr("Measure this screen"))
        self._screen = parent.screen()
        self._reported = screen_scale.reported(self._screen)
        self.value = screen_scale.pixels_per_mm(self._screen)
        """Device pixels per mm."""
        words = QLabel(
            tr(
                "Hold a bank card or a ruler against the screen, its left edge on the left line. Move the right "
                "line to its right edge with the slider, the arrow keys or the mouse."
            )
        )
        words.setWordWrap(True)
        self.card = QRadioButton(tr("Bank card, 85.6 mm wide"))
        explain(self.card, tr("Any card of this size: bank card, driving licence, customer card."))
        self.ruler = QRadioButton(tr("Ruler, 100 mm"))
        explain(self.ruler, tr("A ruler or a tape, from 0 to 100 mm."))
        self.card.setChecked(True)
        self.card.toggled.connect(self._choose)
        kinds = QHBoxLayout()
        kinds.addWidget(self.card)
        kinds.addWidget(self.ruler)
        kinds.addStretch(1)
        self.gauge = Gauge()
        self.gauge.dragged.connect(lambda scale: self._set(scale * self._ratio))
        self.slider = QSlider(Qt.Orientation.Horizontal)
        self.slider.setRange(0, STEPS)
        self.slider.setPageStep(20)
        explain(self.slider, tr("Moves the right line. Arrow keys move it by the smallest step."), tr("Width"))
        self.slider.valueChanged.connect(lambda step: self._set(self._reported * 2.0 ** (2 * step / STEPS - 1), False))
        self.number = QLabel()
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel)
        self.forget = buttons.addButton(tr("Use the screen's own size"), QDialogButtonBox.ButtonRole.ResetRole)
        explain(self.forget, tr("Use the size reported by the screen."))
        self.forget.clicked.connect(self._forget)
        buttons.accepted.connect(self._keep)
        buttons.rejected.connect(self.reject)
        body = QWidget()
        column = QVBoxLayout(body)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(words)
        column.addLayout(kinds)
        column.addWidget(self.gauge, 1)
        column.addWidget(self.slider)
        column.addWidget(self.number)
        self._set(self.value)
        lay_out_scrolling(self, body, buttons)
        self.slider.setFocus()

    @property
    def _ratio(self) -> float:
        return self.devicePixelRatioF()

    def _choose(self) -> None:
        self.gauge.thing = CARD if self.card.isChecked() else RULER
        self.gauge.show_at(self.gauge.scale)

    def _set(self, value: float, with_slider: bool = True) -> None:
        self.value = min(max(value, self._reported / 2), self._reported * 2)
        if with_slider:
            self.slider.blockSignals(True)
            self.slider.setValue(round((math.log2(self.value / self._reported) + 1) / 2 * STEPS))
            self.slider.blockSignals(False)
        self.gauge.show_at(self.value / self._ratio)
        self.number.setText(tr("{0:.3f} pixels per mm; the screen reports {1:.3f}.", self.value, self._reported))

    def _keep(self) -> None:
        screen_scale.keep(self._screen, self.value)
        self.accept()

    def _forget(self) -> None:
        screen_scale.keep(self._screen, None)
        self.accept()
