"""A field for a number of the document, with unit, range, help and arithmetic ("2.4 m / 3")."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.document.quantity import Quantity
from wallwright.document.typed_numbers import in_text, value_of
from wallwright.window.widgets.line_text import LineField, replace_text


class NumberField(LineField):
    """Emits `entered` with a valid value in the document's unit."""

    entered = Signal(object)
    refused = Signal(str)
    refused_unseen = Signal(str)
    """Emitted instead of `refused` if the field is not visible."""

    def __init__(self, quantity: Quantity, value: float, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.quantity = quantity
        self._is_whole = isinstance(value, int) and isinstance(quantity.default, int)
        self.setAccessibleName(quantity.shown_title)
        low, high = quantity.to_shown(quantity.low), quantity.to_shown(quantity.high)
        unit = quantity.shown_unit
        span = tr("{0} to {1} {2}", in_text(float(low)), in_text(float(high)), unit).rstrip()
        tip = f"{quantity.shown_help}\n{span}"
        if quantity.reason:
            tip += "\n" + tr("Default: {0}", tr(quantity.reason))
        self.setToolTip(tip)
        self.setWhatsThis(tip)
        self.setMinimumWidth(70)
        self._several, self._value = False, value
        self.show_value(value)
        self.editingFinished.connect(self._finish)

    def show_value(self, value: float) -> None:
        if value != self._value:
            self.clear_error()
        self._value = value
        if not self.isModified():  # half typed, even while another window has the focus
            number = self.quantity.to_shown(value)
            text = in_text(number if self._is_whole else float(number))
            is_word = value == 0 and self.quantity.zero
            replace_text(self, tr(self.quantity.zero) if is_word else f"{text} {self.quantity.shown_unit}".strip())
            self.setModified(False)

    def show_several(self) -> None:
        """Shows an empty field for several different values, until one is entered for all."""
        self._several = True
        self.clear()
        self.setPlaceholderText(tr("Several"))
        self.setModified(False)

    def _is_zero(self) -> bool:
        """Whether the word for zero was typed, or the field was emptied where there is such a word."""
        word = tr(self.quantity.zero)
        return bool(word) and self.text().strip().lower() in ("", word.lower())

    def _finish(self) -> None:
        if not self.isModified():
            return
        if self._several and not self.text().strip():
            self.setModified(False)
            return
        self.setModified(False)
        try:
            value = 0.0 if self._is_zero() else value_of(self.quantity, self.text())
        except BadValue as trouble:
            if self._several:
                self.show_several()
            else:
                self.show_value(self._value)
            named = (
                str(trouble) if self.quantity.shown_title in str(trouble) else f"{self.quantity.shown_title}: {trouble}"
            )
            if not self.show_error(f"{named}."):
                self.refused_unseen.emit(f"{named}.")
            self.refused.emit(f"{named}.")
            return
        self.clear_error()
        value = round(value) if self._is_whole else value
        self.show_value(value)
        self.entered.emit(value)
