"""Edge lines: where the gradient from light to dark is steepest.

Zero crossings of the second derivative along the gradient, where the third is negative (Lindeberg, "Edge detection and
ridge detection with automatic scale selection", International Journal of Computer Vision 30, 1998, with the two thresholds
of Canny, "A computational approach to edge detection", IEEE PAMI 8, 1986): accurate to a fraction of a cell.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from contourpy import contour_generator
from scipy.ndimage import gaussian_filter

from wallwright.artwork.raster.pen_layers import Tones
from wallwright.document.arrays import Floats
from wallwright.document.picture import EdgeLines
from wallwright.strokes.pictures import line_runs
from wallwright.strokes.pictures.line_runs import level_lines

WEAK = 0.4
"""Lower threshold of Canny, as a share of the smallest step."""
LEAST_LENGTH = 3.0
"""Shortest line, in line widths; shorter pieces of edge are grain."""
BROAD = 1.0
"""Smallest smoothing, in cells, below which differences are those of single cells."""


def edges(
    tones: Tones,
    pen_width: float,
    style: EdgeLines,
    progress: Callable[[float], None],
    tell: Callable[[str], None],
) -> list[Floats]:
    """Returns polylines, mm. Each (n, 2)."""
    sigma = max(style.smooth * pen_width / tones.cell, BROAD)

    def part(down: int, across: int) -> Floats:
        return gaussian_filter(tones.tone, sigma, order=(down, across), mode="nearest")

    progress(0.0)
    x, y = part(0, 1), part(1, 0)
    xx, xy, yy = part(0, 2), part(1, 1), part(2, 0)
    progress(0.3)
    second = x * x * xx + 2 * x * y * xy + y * y * yy
    third = x**3 * part(0, 3) + 3 * x * x * y * part(1, 2) + 3 * x * y * y * part(2, 1) + y**3 * part(3, 0)
    # A step of height h, smoothed, has the slope h / (sqrt(2 pi) sigma).
    step = np.hypot(x, y) * np.sqrt(2 * np.pi) * sigma
    progress(0.6)
    rows, columns = second.shape
    generator = contour_generator((np.arange(columns) + 0.5) * tones.cell, (np.arange(rows) + 0.5) * tones.cell, second)
    points, line = line_runs.packed(level_lines(generator, 0.0))
    progress(0.9)
    is_edge = tones.at(points, third) < 0
    if tones.own is not None:  # an edge is drawn by the pen of its darker side
        slope = np.stack([tones.at(points, x), tones.at(points, y)], axis=1)
        steepness = np.maximum(np.hypot(*slope.T), 1e-12)[:, None]
        is_edge &= tones.at(points + slope / steepness * (sigma * tones.cell + pen_width), tones.own) > 0.5
    strength = np.where(is_edge, tones.at(points, step), 0.0)
    points, line = line_runs.kept(points, line, strength - WEAK * style.strength)
    found = line_runs.split(*line_runs.longer(points, line, LEAST_LENGTH * pen_width))
    return [run for run in found if tones.at(run, step).max() >= style.strength]
