"""A field for two numbers in mm: a point of the wall or the body, or a size."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from wallwright.document.errors import BadValue
from wallwright.document.language import MINUS, current_language, tr
from wallwright.document.typed_numbers import evaluate_pair, shown
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.line_text import LineField, replace_text


def pair_text(x: float, y: float) -> str:
    """Returns two numbers with their unit, separated by a semicolon where the comma is the decimal sign."""
    between = "; " if current_language().decimal == "," else ", "
    return f"{shown(float(x))}{between}{shown(float(y))} mm".replace("-", MINUS)


class PairField(LineField):
    """Emits `entered` with x and y for new numbers, `refused` with a sentence if they are invalid. A single number changes
    the first value."""

    entered = Signal(float, float)
    refused = Signal(str)
    refused_unseen = Signal(str)
    """Emitted instead of `refused` if the field is not visible."""

    def __init__(self, title: str, help: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._title, self._value = title, (0.0, 0.0)
        explain(self, f"{help} {tr('One number alone changes only the first value.')}", title)
        self.editingFinished.connect(self._finish)

    def show_value(self, x: float, y: float) -> None:
        """Shows numbers unless text is half typed."""
        if (x, y) != self._value:
            self.clear_error()
        self._value = (x, y)
        if not self.isModified():  # half typed, even while another window has the focus
            replace_text(self, pair_text(x, y))
            self.setModified(False)

    def _finish(self) -> None:
        if not self.isModified():
            return
        self.setModified(False)
        try:
            x, y = evaluate_pair(self.text(), self._value[1])
        except BadValue as trouble:
            self._refuse(f"{trouble}.")
        except ValueError:
            self._refuse(tr("{0}: enter two numbers in mm, like {1}.", self._title, pair_text(*self._value)))
        else:
            self.clear_error()
            self.entered.emit(x, y)
        self.show_value(*self._value)

    def _refuse(self, sentence: str) -> None:
        if not self.show_error(sentence):
            self.refused_unseen.emit(sentence)
        self.refused.emit(sentence)
