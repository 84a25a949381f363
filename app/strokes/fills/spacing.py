"""The distance between fill lines that covers a wanted share of the area."""

from __future__ import annotations

import numpy as np

from app.document.document import Fill


def spacing_of(fill: Fill, pen_width: float) -> float:
    """mm between lines. Lines a spacing s apart cover pen_width / s of the area; two layers that cover c each leave
    (1 - c)² bare where they cross at any angle."""
    if fill.coverage <= 0:
        return fill.spacing
    share = min(fill.coverage / 100, 1.0)
    if fill.kind == "cross-hatch":
        share = 1 - np.sqrt(1 - share)
    return pen_width / share


def second_spacing_of(fill: Fill, pen_width: float) -> float:
    """mm between the lines of a cross-hatch's second layer."""
    if fill.coverage > 0 or fill.cross_spacing <= 0:
        return spacing_of(fill, pen_width)
    return fill.cross_spacing
