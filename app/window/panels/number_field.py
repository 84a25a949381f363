"""A field for a number of the document: with its unit, its range, its help, and arithmetic ("2.4 m / 3")."""

from __future__ import annotations

import ast
import operator
import re

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QLineEdit, QWidget

from app.document.errors import BadValue
from app.document.language import present, tr
from app.document.quantity import Quantity

FACTORS = {
    "mm": {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8},
    "kg": {"kg": 1.0, "g": 0.001},
    "s": {"s": 1.0, "ms": 0.001, "min": 60.0},
    "°": {"°": 1.0, "deg": 1.0},
    "A": {"A": 1.0, "mA": 0.001},
}
OPERATORS = {
    ast.Add: operator.add, ast.Sub: operator.sub, ast.Mult: operator.mul, ast.Div: operator.truediv,
    ast.USub: operator.neg, ast.UAdd: operator.pos,
}  # fmt: skip


def evaluate(text: str, unit: str) -> float:
    """The value of "2.4 m / 3" in `unit`. Raises BadValue with a sentence.

    Numbers without a unit are in the field's own; comma and point are both decimal signs, but where the person's
    language groups thousands by one of them, as in 1,000, that one is refused rather than guessed at.
    """
    if grouped := re.search(rf"\d[{'.' if present().decimal == ',' else ','}]\d{{3}}(?!\d)", text):
        raise BadValue(
            tr("'{0}' can be read in two ways; write it without a sign between the thousands", grouped[0])
        )
    factors = FACTORS.get(unit, {unit: 1.0} if unit else {})
    plain = text.strip().replace("−", "-").replace("×", "*").replace(",", ".")

    def scaled(match: re.Match[str]) -> str:
        number, name = match[1], match[2]
        if name not in factors:
            raise BadValue(
                tr(
                    "'{0}' is not a unit that fits here; use {1}",
                    name,
                    ", ".join(factors) or tr("a plain number"),
                )
            )
        return f"({number}*{factors[name]!r})"

    plain = re.sub(r"((?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*([a-zA-Z°Ω·/²³]*[a-zA-Z°Ω²³])", scaled, plain)
    try:
        value = _value(ast.parse(plain, mode="eval").body)
    except (SyntaxError, ValueError, TypeError, ZeroDivisionError, RecursionError, OverflowError) as error:
        raise BadValue(tr("'{0}' is not a number or a sum of numbers", text)) from error
    return value


def _value(node: ast.AST) -> float:
    if isinstance(node, ast.Constant) and isinstance(node.value, int | float):
        return float(node.value)
    if isinstance(node, ast.BinOp) and type(node.op) in OPERATORS:
        return OPERATORS[type(node.op)](_value(node.left), _value(node.right))
    if isinstance(node, ast.UnaryOp) and type(node.op) in OPERATORS:
        return OPERATORS[type(node.op)](_value(node.operand))
    raise ValueError("not arithmetic")


def shown(value: float) -> str:
    """A number as a person reads it: at most two decimals, of small ones four, none that say nothing."""
    if not isinstance(value, float):
        return str(value)
    text = f"{value:.{2 if abs(value) >= 10 else 4}f}".rstrip("0").rstrip(".")
    return ("0" if text == "-0" else text).replace(".", present().decimal)


class NumberField(QLineEdit):
    """Emits `entered` with the value in the document's unit when a person has entered a good one."""

    entered = Signal(object)
    refused = Signal(str)

    def __init__(self, quantity: Quantity, value: float, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.quantity = quantity
        self._is_whole = isinstance(value, int) and isinstance(quantity.default, int)
        self.setAccessibleName(tr(quantity.title))
        low, high = quantity.to_shown(quantity.low), quantity.to_shown(quantity.high)
        unit = quantity.shown_unit
        span = tr("{0} to {1} {2}", shown(float(low)), shown(float(high)), unit).rstrip()
        tip = f"{tr(quantity.help)}\n{span}"
        if quantity.reason:
            tip += "\n" + tr("Default: {0}", tr(quantity.reason))
        self.setToolTip(tip)
        self.setWhatsThis(tip)
        self.setMinimumWidth(70)
        self._several = False
        self.show_value(value)
        self.editingFinished.connect(self._finish)

    def show_value(self, value: float) -> None:
        self._value = value
        if not (self.hasFocus() and self.isModified()):
            number = self.quantity.to_shown(value)
            text = shown(number if self._is_whole else float(number))
            is_word = value == 0 and self.quantity.zero
            self.setText(tr(self.quantity.zero) if is_word else f"{text} {self.quantity.shown_unit}".strip())
            self.setModified(False)

    def show_several(self) -> None:
        """There is no one value: the field is empty until one is entered for all."""
        self._several = True
        self.clear()
        self.setPlaceholderText(tr("Several"))
        self.setModified(False)

    def _is_zero(self) -> bool:
        """Whether the word for naught was typed, or the field emptied where there is one."""
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
            number = 0.0 if self._is_zero() else evaluate(self.text(), self.quantity.shown_unit)
            value = self.quantity.from_shown(number)
            if fault := self.quantity.fault(value):
                raise BadValue(fault)
            slack = 1e-9 * max(abs(self.quantity.high), 1)
            if not self.quantity.low - slack <= value <= self.quantity.high + slack:
                low, high = (
                    shown(float(self.quantity.to_shown(v))) for v in (self.quantity.low, self.quantity.high)
                )
                unit = self.quantity.shown_unit
                raise BadValue(
                    tr(
                        "{0}: {1} {4} is not between {2} and {3} {4}",
                        tr(self.quantity.title),
                        shown(float(number)),
                        low,
                        high,
                        unit,
                    )
                )
        except BadValue as trouble:
            if self._several:
                self.show_several()
            else:
                self.show_value(self._value)
            named = (
                str(trouble)
                if tr(self.quantity.title) in str(trouble)
                else f"{tr(self.quantity.title)}: {trouble}"
            )
            self.refused.emit(f"{named}.")
            return
        value = round(value) if self._is_whole else min(max(value, self.quantity.low), self.quantity.high)
        self.show_value(value)
        self.entered.emit(value)
