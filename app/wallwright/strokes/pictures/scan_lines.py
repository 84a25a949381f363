"""Scan lines whose wave follows the tone.

Lines run side by side a spacing apart. Where it is darker, their wave first grows until it meets the neighbours', then
becomes shorter, so that more ink falls on the same place. How much of the wall a wave covers is measured on the wave
itself with the pen's width, once for each spacing. Tones lighter than a straight line gives are drawn with gaps.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import shapely

from wallwright.artwork.raster.pen_layers import Tones
from wallwright.document.arrays import Floats, Integers
from wallwright.document.picture import ScanLines
from wallwright.strokes.line_geometries import line_strings
from wallwright.strokes.pictures import line_runs

STEPS = 64
"""Waves measured between none and the densest."""
LONG = 1.6
"""Wavelength of the growing wave, in spacings."""
SHORT = 1.3
"""Wavelength of the densest wave, in line widths."""
DASH = 6.0
"""Line widths from one gap to the next, where lines have gaps."""
A_WAVE = 14
"""Points of the shortest wave."""
FINE = 0.01
"""Line widths that lines may leave their wave."""


def scan_lines(
    tones: Tones,
    pen_width: float,
    style: ScanLines,
    progress: Callable[[float], None],
    tell: Callable[[str], None],
) -> list[Floats]:
    """Polylines, mm. Each (n, 2)."""
    spacing = max(style.spacing, 2.0) * pen_width
    amount = np.linspace(0, 1, STEPS)
    covered = covered_by(amount, spacing, pen_width)
    progress(0.2)
    cos, sin = np.cos(style.angle + tones.turn), np.sin(style.angle + tones.turn)
    turn = np.array([[cos, sin], [-sin, cos]])  # rows: along, across
    width, height = tones.size
    corners = np.array([[0, 0], [width, 0], [width, height], [0, height]]) @ turn.T
    low, high = corners.min(axis=0), corners.max(axis=0)
    step = SHORT * pen_width / A_WAVE
    u = np.arange(low[0], high[0], step)
    count = max(1, int((high[1] - low[1]) / spacing))
    first = (low[1] + high[1]) / 2 - (count - 1) / 2 * spacing
    found: list[Floats] = []
    for number in range(count):
        progress(0.2 + 0.8 * number / count)
        v = first + number * spacing
        foot = np.column_stack([u, np.full(len(u), v)]) @ turn
        # The wave looks at the mean across its own strip.
        tone = np.mean([tones.at(foot + share * spacing * turn[1]) for share in (-0.33, 0.0, 0.33)], axis=0)
        how = np.asarray(np.interp(tone, covered, amount))
        height_, length = wave(how, spacing, pen_width)
        phase = np.cumsum(2 * np.pi * step / length) + np.pi * (number % 2)
        line = np.column_stack([u, v + height_ * np.sin(phase)]) @ turn
        full = tone / covered[0]
        gap = full - line_runs.thresholds(np.floor(u / (DASH * pen_width)).astype(np.int64) * 5 + 3 * number)
        value = np.where(full >= 1, 1.0, gap)
        points, runs_ = line_runs.kept(line, np.zeros(len(line), dtype=np.int64), np.where(tone > 0, value, -1.0))
        points, runs_ = line_runs.trimmed(points, runs_, pen_width)
        if len(points):
            # Long waves need fewer points than short ones; a large picture has millions.
            lines = shapely.simplify(line_strings(points, _numbered(runs_)), FINE * pen_width)
            found.extend(shapely.get_coordinates(line) for line in lines)
    return found


def _numbered(line: Integers) -> Integers:
    """The lines that points belong to, counted from 0 without gaps."""
    return np.append(0, np.cumsum(np.diff(line) != 0))


def wave(amount: Floats, spacing: float, pen_width: float) -> tuple[Floats, Floats]:
    """Height and length, mm, of waves from none (0) to the densest (1). Elementwise, (n,)."""
    highest = (spacing - pen_width) / 2
    height = highest * np.minimum(2 * amount, 1.0)
    longest, shortest = LONG * spacing, SHORT * pen_width
    length = longest * (shortest / longest) ** np.maximum(2 * amount - 1, 0.0)
    return height, length


def covered_by(amount: Floats, spacing: float, pen_width: float) -> Floats:
    """(k,) share of the wall under ink for each wave, rising."""
    height, length = wave(amount, spacing, pen_width)
    share = []
    for high, long in zip(height.tolist(), length.tolist(), strict=True):
        x = np.arange(-2 * long - pen_width, 3 * long + pen_width, long / A_WAVE)
        line = shapely.LineString(np.column_stack([x, high * np.sin(2 * np.pi * x / long)]))
        strip = shapely.box(0, -spacing / 2, long, spacing / 2)
        share.append(shapely.intersection(shapely.buffer(line, pen_width / 2), strip).area / strip.area)
    return np.maximum.accumulate(np.array(share))
