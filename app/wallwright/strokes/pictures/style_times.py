"""About how long each line style takes for a picture, before it is chosen: from the ink that its pens are to lay.

Line per ink, strokes per ink and how much slower the pen is in curves were measured on photographs of scikit-image at
300 and 600 mm with pens of 1 and 2 mm (tests/benchmarks/bench_styles.py); between pictures they differ by a fifth. Dots of a
stipple and of a halftone are counted.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np

from wallwright.document.picture import (
    STYLES,
    Cells,
    CrossHatch,
    Engraving,
    FlowLines,
    Halftone,
    Maze,
    OneLine,
    ScanLines,
    Spiral,
    Stipple,
    ToneContours,
)
from wallwright.strokes.fills.quickest import DrawingPace
from wallwright.strokes.pictures.stipple import MOST_DOTS


class _Cost(NamedTuple):
    line: float
    """Length of the lines times the pen's width, of the ink's area: above 1 where lines lie on each other."""
    strokes: float
    """In each square of the pen's width that is inked."""
    curves: float
    """Times as long as straight lines, at the usual pace."""


COSTS: dict[type[Any], _Cost] = {
    CrossHatch: _Cost(1.26, 0.029, 1.0),
    ToneContours: _Cost(1.0, 0.0067, 1.02),
    Stipple: _Cost(1.42, 0.148, 1.5),
    OneLine: _Cost(1.0, 0.0, 1.95),
    ScanLines: _Cost(1.09, 0.0013, 1.54),
    Halftone: _Cost(1.34, 0.050, 1.8),
    Spiral: _Cost(1.08, 0.003, 1.64),
    FlowLines: _Cost(0.99, 0.034, 1.0),
    Cells: _Cost(1.23, 0.175, 1.8),
    Engraving: _Cost(1.12, 0.013, 1.04),
    Maze: _Cost(1.0, 0.0, 1.55),
}
"""By the type of the style: those that draw the tone. Edges take what the picture has of them, flat areas what their fills
take."""


class LayerInk(NamedTuple):
    """What one pen is to lay."""

    area: float
    """mm²."""
    pen_width: float
    """mm."""


def seconds_of_styles(layers: Sequence[LayerInk], size: tuple[float, float], pace: DrawingPace) -> dict[str, float]:
    """s that each style takes, by its name, with the numbers that it begins with. size: of the picture, mm."""
    found: dict[str, float] = {}
    for name, kind in STYLES.items():
        cost = COSTS.get(kind)
        if cost is not None:
            found[name] = sum(_seconds(kind(), cost, layer, size, pace) for layer in layers)
    return found


def _seconds(style: Any, cost: _Cost, layer: LayerInk, size: tuple[float, float], pace: DrawingPace) -> float:
    width = layer.pen_width
    length, strokes = cost.line * layer.area / width, cost.strokes * layer.area / width**2
    frame = size[0] * size[1]
    if isinstance(style, Stipple):
        strokes = min(strokes, MOST_DOTS)
    elif isinstance(style, Halftone):
        strokes = frame / (style.pitch * width) ** 2
    elif isinstance(style, Spiral):
        length = max(length, frame / (style.spacing * width))
    strokes = max(strokes, 1.0)
    gap = float(np.sqrt(frame / strokes)) if strokes > 1 else 0.0
    travel = (
        2 * np.sqrt(gap / pace.acceleration)
        if gap < pace.travel_speed**2 / pace.acceleration
        else (gap / pace.travel_speed + pace.travel_speed / pace.acceleration)
    )
    each = pace.lift + pace.draw_speed / pace.acceleration + float(travel)
    return length / pace.draw_speed * cost.curves + strokes * each
