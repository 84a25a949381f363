"""Lengths, lists of numbers and paint of SVG attributes."""

from __future__ import annotations

import math
import re

from wallwright.document.language import tr

NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")
PX = {
    "": 1.0,
    "px": 1.0,
    "in": 96.0,
    "cm": 96 / 2.54,
    "mm": 96 / 25.4,
    "q": 96 / 101.6,
    "pt": 96 / 72,
    "pc": 16.0,
}
"""User units (px) of a CSS unit (CSS Values 3, section 6.2)."""
MM_PER_PX = 25.4 / 96
LARGEST = 1e9


class BadNumber(ValueError):
    """An attribute that is no usable number."""


class TooLarge(BadNumber):
    """A number beyond any drawing."""


def length(text: str | None, reference: float, default: float | None = None, font_size: float = 16.0) -> float:
    """User units of a length. reference: what 100 % is. Raises BadNumber."""
    if text is None or not text.strip() or text.strip() == "auto":
        if default is None:
            raise BadNumber(tr("is missing"))
        return default
    text = text.strip()
    match = NUMBER.match(text)
    if not match:
        raise BadNumber(tr("“{0}” is not a length", text[:40]))
    value, unit = float(match[0]), text[match.end() :].lower()
    if unit == "%":
        value *= reference / 100
    elif unit == "em":
        value *= font_size
    elif unit == "ex":
        value *= font_size / 2
    elif unit in PX:
        value *= PX[unit]
    else:
        raise BadNumber(tr("“{0}” has an unknown unit", text[:40]))
    if not math.isfinite(value) or abs(value) > LARGEST:
        raise TooLarge(tr("“{0}” is too large", text[:40]))
    return value


def length_or(text: str | None, reference: float, default: float, font_size: float, doubts: list[str]) -> float:
    """A length; what cannot be read counts as not given (SVG 2, 4.1) and is added to `doubts`. Raises TooLarge."""
    try:
        return length(text, reference, default, font_size)
    except TooLarge:
        raise
    except BadNumber as error:
        doubts.append(str(error))
        return default


def numbers(text: str | None) -> list[float]:
    """All numbers of a list such as points or viewBox. Raises BadNumber for anything else in it."""
    if text is None:
        return []
    rest = NUMBER.sub(" ", text).replace(",", " ").strip()
    if rest:
        raise BadNumber(tr("“{0}” contains something that is not a number", text.strip()[:40]))
    found = [float(m) for m in NUMBER.findall(text)]
    if any(not math.isfinite(v) or abs(v) > LARGEST for v in found):
        raise TooLarge(tr("“{0}” contains a number that is too large", text.strip()[:40]))
    return found
