"""Approximate time of each line style for a picture, before it is chosen: from the ink that its pens should lay.

Line per ink, strokes per ink and how much slower the pen is in curves were measured on photographs of scikit-image at 300
and 600 mm with pens of 1 and 2 mm (tests/benchmarks/bench_styles.py); they vary by a fifth between pictures. The dots of a
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
    EdgeLines,
    Engraving,
    FlowLines,
    Halftone,
    Maze,
    OneLine,
    Regions,
    ScanLines,
    Spiral,
    Stipple,
    ToneContours,
)
from wallwright.strokes.fills.quickest import DrawingPace
from wallwright.strokes.pictures.stipple import MOST_DOTS


class _Cost(NamedTuple):
    line: float
    """Length of the lines times the pen width, over the area of ink: above 1 where lines overlap."""
    strokes: float
    """Number of strokes per inked square of the pen width."""
    curves: float
    """Time relative to straight lines, at the usual pace."""


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
"""Costs by style type: those that draw the tone."""


class _Growth(NamedTuple):
    power: float
    """Exponent of the enlargement with which lines and strokes grow."""
    curves: float
    """Time relative to straight lines, at the usual pace."""


GROWTH: dict[type[Any], _Growth] = {EdgeLines: _Growth(1.6, 1.2), Regions: _Growth(2.0, 1.3)}
"""Growth by style type: those whose time is estimated from a small copy. A larger picture has more details; areas are
filled. Measured on five photographs from copies of 220 mm at 600 mm: edges grew with the power of 1.2 to 1.75, flat
areas of 1.8 to 2.1."""


class LayerInk(NamedTuple):
    """Ink that one pen should lay."""

    area: float
    """Area, mm²."""
    pen_width: float
    """mm."""


def seconds_of_styles(layers: Sequence[LayerInk], size: tuple[float, float], pace: DrawingPace) -> dict[str, float]:
    """Returns the time of each style, s, by its name, with its default parameters. size: of the picture, mm."""
    found: dict[str, float] = {}
    for name, kind in STYLES.items():
        cost = COSTS.get(kind)
        if cost is not None:
            found[name] = sum(_seconds(kind(), cost, layer, size, pace) for layer in layers)
    return found


class CopyLines(NamedTuple):
    """Lines that a style drew of a small copy."""

    length: float
    """Total length of lines, mm."""
    strokes: int
    enlargement: float
    """Ratio of the picture's sides to the copy's."""


def seconds_from_copy(style: str, lines: CopyLines, size: tuple[float, float], pace: DrawingPace) -> float:
    """Returns the time of a style of GROWTH, s, by its name. size: of the picture, mm."""
    growth = GROWTH[STYLES[style]]
    times = lines.enlargement**growth.power
    return _line_seconds(times * lines.length, times * lines.strokes, growth.curves, size[0] * size[1], pace)


def ink_of_copy(style: str, length: float, pen_width: float, enlargement: float) -> LayerInk:
    """Returns the ink of a pen for the picture, from the length of lines, mm, that a style of COSTS, by its name, drew
    with it of a small copy."""
    return LayerInk(length * pen_width / COSTS[STYLES[style]].line * enlargement**2, pen_width)


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
    return _line_seconds(length, strokes, cost.curves, frame, pace)


def _line_seconds(length: float, strokes: float, curves: float, frame: float, pace: DrawingPace) -> float:
    """Returns the time, s, for strokes spread evenly over a frame (mm²). length: total, mm. curves: time relative to
    straight lines."""
    strokes = max(strokes, 1.0)
    gap = float(np.sqrt(frame / strokes)) if strokes > 1 else 0.0
    travel = (
        2 * np.sqrt(gap / pace.acceleration)
        if gap < pace.travel_speed**2 / pace.acceleration
        else (gap / pace.travel_speed + pace.travel_speed / pace.acceleration)
    )
    each = pace.lift + pace.draw_speed / pace.acceleration + float(travel)
    return length / pace.draw_speed * curves + strokes * each
