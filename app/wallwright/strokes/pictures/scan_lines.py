"""Scan lines whose wave follows the tone."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from wallwright.artwork.raster.pen_layers import Tones
from wallwright.document.arrays import Points
from wallwright.document.picture import ScanLines
from wallwright.strokes.pictures.ink_raster import corrected
from wallwright.strokes.pictures.waves import WaveStyle, covered_by, step_of, trimmed, waved

ROUNDS = 3


def scan_lines(
    tones: Tones,
    pen_width: float,
    style: ScanLines,
    progress: Callable[[float], None],
    tell: Callable[[str], None],
) -> Sequence[Points]:
    """Returns polylines, mm. Each (n, 2)."""
    spacing = max(style.spacing, 2.0) * pen_width
    covered = covered_by(spacing, pen_width)
    progress(0.2)

    def draw(asked: Tones, part: Callable[[float], None]) -> list[Points]:
        return _side_by_side(WaveStyle(asked, pen_width, spacing, covered), style.angle + tones.turn, part)

    return corrected(draw, tones, pen_width, ROUNDS, lambda done: progress(0.2 + 0.8 * done), float(covered[0, 0]))


def _side_by_side(waves: WaveStyle, angle: float, progress: Callable[[float], None]) -> list[Points]:
    cos, sin = np.cos(angle), np.sin(angle)
    turn = np.array([[cos, sin], [-sin, cos]])  # rows: along, across
    width, height = waves.tones.size
    corners = np.array([[0, 0], [width, 0], [width, height], [0, height]]) @ turn.T
    low, high = corners.min(axis=0), corners.max(axis=0)
    along = np.arange(low[0], high[0], step_of(waves.pen_width))
    count = max(1, round((high[1] - low[1]) / waves.spacing))
    apart = (high[1] - low[1]) / count  # the first and the last line lie half a spacing from the picture's edge
    first = low[1] + apart / 2
    normal = np.broadcast_to(turn[1], (len(along), 2))
    found: list[Points] = []
    # Room for two lines: each is entered where the last but one was.
    n = len(along)
    phases, beside = np.zeros(2 * n + 1), np.full(n, -1.0)
    for number in range(count):
        progress(number / count)
        foot = np.column_stack([along, np.full(n, first + number * apart)]) @ turn
        at = n * (number % 2)
        phases[at] = 0.0
        found.extend(waved(foot, normal, waves, np.full(n, number), phases, at, beside))
        beside = at + np.arange(float(n))
    return trimmed(found, waves.pen_width)
