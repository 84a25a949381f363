"""How much ink a drawing may take: a number typed wrong must not fill the memory or plan for hours."""

from __future__ import annotations

from wallwright.document.document import Fill
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.strokes.fills.spacing import flat_spacing_of, second_spacing_of

MOST_INK = 50e6
"""mm of one artwork, 50 km: two weeks of drawing day and night at 40 mm/s."""


def fill_length(area: float, fill: Fill, pen_width: float) -> float:
    """mm of lines, about, that fill an area, mm²."""
    if fill.kind == "none":
        return 0.0
    length = area / flat_spacing_of(fill, pen_width)
    return length + area / second_spacing_of(fill, pen_width) if fill.kind == "cross-hatch" else length


def refuse_too_much(length: float) -> None:
    """Raises BadValue for an artwork that takes more ink, mm, than any wall."""
    if not length <= MOST_INK:
        raise BadValue(
            tr(
                "This would be {0:.0f} km of lines; the limit is {1:.0f} km. Make it smaller, widen the fill "
                "spacing, or use a broader pen",
                length / 1e6,
                MOST_INK / 1e6,
            )
        )
