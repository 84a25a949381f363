"""Parsing of typed numbers with units, arithmetic ("2.4 m / 3") and either decimal sign.

Used by the fields of the window and the options of the commands, so that a text means the same in both.
"""

from __future__ import annotations

import ast
import math
import operator
import re
from collections.abc import Callable

from wallwright.document.errors import BadValue
from wallwright.document.language import MINUS, current_language, tr
from wallwright.document.quantity import Quantity

FACTORS = {
    "mm": {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8},
    "kg": {"kg": 1.0, "g": 0.001},
    "s": {"s": 1.0, "ms": 0.001, "min": 60.0},
    "min": {"min": 1.0, "h": 60.0, "s": 1 / 60},
    "°": {"°": 1.0, "deg": 1.0},
    "A": {"A": 1.0, "mA": 0.001},
}
"""Conversion factors: how many of the stored unit make one of each other unit."""
BINARY_OPERATORS: dict[type[ast.operator], Callable[[float, float], float]] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
}
UNARY_OPERATORS: dict[type[ast.unaryop], Callable[[float], float]] = {
    ast.USub: operator.neg,
    ast.UAdd: operator.pos,
}
_WITH_UNIT = re.compile(r"(?<![\w.])((?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?+)\s*([a-zA-Z°Ω·/²³]*[a-zA-Z°Ω²³%])")
"""Matches a number with its unit. The exponent is possessive (?+): the e of 1e-5 is no unit."""
SLACK = 1e-9
"""Relative tolerance of a limit for rounding: 180 degrees are slightly more than the stored limit."""


def evaluate(text: str, unit: str) -> float:
    """Returns the value of a text such as "2.4 m / 3" in `unit`. Raises BadValue with a sentence.

    Numbers without a unit are in `unit`. Comma and point are both decimal signs, but one that may group thousands in the
    person's language, as in 1,000, is refused as ambiguous.
    """
    if grouped := re.search(rf"\d[{'.' if current_language().decimal == ',' else ','}]\d{{3}}(?!\d)", text):
        raise BadValue(tr("“{0}” can be read in two ways. Write it without a thousands separator", grouped[0]))
    factors = FACTORS.get(unit, {unit: 1.0} if unit else {})
    plain = text.strip().replace(MINUS, "-").replace("×", "*").replace(",", ".")
    if not _WITH_UNIT.fullmatch(f"1 {unit}"):  # such as 1/s, which would be evaluated as arithmetic
        plain = plain.replace(unit, "")

    def scaled(match: re.Match[str]) -> str:
        number, name = match[1], match[2]
        if name not in factors:
            raise BadValue(
                tr(
                    "“{0}” is not a unit that fits here. Use {1}",
                    name,
                    ", ".join(factors) or tr("a plain number"),
                )
            )
        return f"({number}*{factors[name]!r})"

    plain = _WITH_UNIT.sub(scaled, plain)
    try:
        value = _value(ast.parse(plain, mode="eval").body)
    except (SyntaxError, ValueError, TypeError, ZeroDivisionError, RecursionError, OverflowError) as error:
        raise BadValue(tr("“{0}” is not a number or a calculation", text)) from error
    if not math.isfinite(value):
        raise BadValue(tr("“{0}” is not a number or a calculation", text))
    return value


def _value(node: ast.AST) -> float:
    if isinstance(node, ast.Constant) and isinstance(node.value, int | float):
        return float(node.value)
    if isinstance(node, ast.BinOp) and type(node.op) in BINARY_OPERATORS:
        return BINARY_OPERATORS[type(node.op)](_value(node.left), _value(node.right))
    if isinstance(node, ast.UnaryOp) and type(node.op) in UNARY_OPERATORS:
        return UNARY_OPERATORS[type(node.op)](_value(node.operand))
    raise ValueError("not arithmetic")


def evaluate_pair(text: str, second: float | None = None) -> tuple[float, float]:
    """Returns two numbers in mm from a text with units and arithmetic, separated by a semicolon or by the only comma.

    second: the second number, in mm, of a text with one number; None: there must be two. Raises BadValue for text that is
    not a number or may be one number or two, ValueError when there are more or fewer.
    """
    if second is not None and ";" not in text:
        if current_language().decimal == "," and (ambiguous := re.fullmatch(r".*\d,\d.*", text.strip())):
            raise BadValue(tr("“{0}” can be read in two ways. Separate two numbers with a semicolon", ambiguous[0]))
        if "," not in text:
            return evaluate(text, "mm"), second
    x, y = text.split(";" if ";" in text else ",")
    return evaluate(x, "mm"), evaluate(y, "mm")


def value_of(quantity: Quantity, text: str) -> float:
    """Returns the value typed for a quantity, in its stored unit.

    Raises BadValue for text that is not a number or outside the quantity's range.
    """
    value = quantity.from_shown(evaluate(text, quantity.shown_unit))
    if fault := quantity.fault(value):
        raise BadValue(fault)
    slack = SLACK * max(abs(quantity.high), 1)
    if not quantity.low - slack <= value <= quantity.high + slack:
        typed, low, high = (in_text(float(quantity.to_shown(v))) for v in (value, quantity.low, quantity.high))
        raise BadValue(
            tr(
                "{0}: {1} {4} is not between {2} and {3} {4}",
                quantity.shown_title,
                typed,
                low,
                high,
                quantity.shown_unit,
            )
            .replace("  ", " ")
            .rstrip()
        )
    return min(max(value, quantity.low), quantity.high)


def in_text(value: float) -> str:
    """Formats a number as in fields, but with a true minus sign, for use in sentences."""
    return shown(value).replace("-", MINUS)


def shown(value: float) -> str:
    """Formats a number for a field: at most two decimals, four for small numbers, without trailing zeros."""
    if not isinstance(value, float):
        return str(value)
    text = f"{value:.{2 if abs(value) >= 10 else 4}f}".rstrip("0").rstrip(".")
    return ("0" if text == "-0" else text).replace(".", current_language().decimal)
