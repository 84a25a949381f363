"""A slider with a field for a number of the document."""

from __future__ import annotations

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QSlider, QWidget

from wallwright.document.language import tr
from wallwright.document.quantity import Quantity
from wallwright.window.widgets.choices import calm
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.number_field import NumberField

STEPS = 200
LEAST_SLIDER, FIELD, BETWEEN = 72, 72, 6
"""Least width of a usable slider, width of the number field, and their distance, px."""
WIDE = 6.0
"""Range over default from which the lower part of the range gets more of the slider."""


class SliderField(QWidget):
    """Emits `slid` while the slider moves, `settled` when it is released, `entered` when a number was typed."""

    slid = Signal(object)
    settled = Signal()
    entered = Signal(object)
    refused_unseen = Signal(str)
    """Emitted for an invalid number if the field is not visible."""

    def __init__(self, quantity: Quantity, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.quantity = quantity
        wide = quantity.low >= 0 and quantity.high > WIDE * max(quantity.default, 1e-9)
        self._power = 3.0 if wide else 1.0
        self.slider = calm(QSlider(Qt.Orientation.Horizontal))
        self.slider.setRange(0, STEPS)
        explain(self.slider, quantity.shown_help, tr("{0}, slider", quantity.shown_title))
        self.field = NumberField(quantity, quantity.default)
        self.field.setMaximumWidth(FIELD)
        self.slider.setMinimumWidth(LEAST_SLIDER)
        self.setFocusProxy(self.slider)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(BETWEEN)
        row.addWidget(self.slider, 1)
        row.addWidget(self.field)
        self.slider.valueChanged.connect(self._moved)
        self.slider.sliderReleased.connect(self.settled)
        self.field.entered.connect(self.entered)
        self.field.refused_unseen.connect(self.refused_unseen)

    def show_value(self, value: float) -> None:
        self.field.show_value(value)
        if not self.slider.isSliderDown():
            share = (value - self.quantity.low) / (self.quantity.high - self.quantity.low)
            with QSignalBlocker(self.slider):
                self.slider.setValue(round(STEPS * min(max(share, 0.0), 1.0) ** (1 / self._power)))

    def _moved(self, step: int) -> None:
        low, high = self.quantity.low, self.quantity.high
        value = low + (high - low) * (step / STEPS) ** self._power
        self.slid.emit(round(value) if isinstance(self.quantity.default, int) else float(f"{value:.3g}"))
