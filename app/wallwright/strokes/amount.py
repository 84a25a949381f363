"""Limit on the ink of a drawing: a mistyped number must not exhaust the memory or plan for hours."""

from __future__ import annotations

from wallwright.document.document import Fill
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.strokes.fills.spacing import flat_spacing_of, second_spacing_of

MOST_INK = 50e6
"""Largest length of lines in one artwork, mm: 50 km, two weeks of drawing day and night at 40 mm/s."""


def fill_length(area: float, fill: Fill, pen_width: float) -> float:
    """Returns the approximate length of lines that fill an area, mm². In mm."""
    if fill.kind == "none":
        return 0.0
    length = area / flat_spacing_of(fill, pen_width)
    return length + area / second_spacing_of(fill, pen_width) if fill.kind == "cross-hatch" else length


def refuse_too_much(length: float) -> None:
    """Checks the ink of an artwork, mm. Raises BadValue for more than any wall holds."""
    if not length <= MOST_INK:
        raise BadValue(
            tr(
                "This would be {0:.0f} km of lines; the limit is {1:.0f} km. Make it smaller, widen the fill "
                "spacing, or use a broader pen",
                length / 1e6,
                MOST_INK / 1e6,
            )
        )
