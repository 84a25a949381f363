"""One spiral over the whole picture whose wave follows the tone.

Archimedes' spiral, its turns a spacing apart, from the centre to the farthest corner. The pen lifts only where the spiral
leaves the picture and where the tone is lighter than the plain line.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise

import numpy as np

from wallwright.artwork.raster.pen_layers import Tones
from wallwright.document.arrays import Points
from wallwright.document.picture import Spiral
from wallwright.strokes.pictures.ink_raster import corrected
from wallwright.strokes.pictures.waves import WaveStyle, covered_by, step_of, trimmed, waved

AT_ONCE = 200_000
"""Number of points processed between two checks for cancel."""
ROUNDS = 3
GOLDEN = 2.399963
"""Angle between the starts of the spirals of two pens, rad: the golden angle, so that they run between each other."""


def spiral_waves(
    tones: Tones,
    pen_width: float,
    style: Spiral,
    progress: Callable[[float], None],
    tell: Callable[[str], None],
) -> Sequence[Points]:
    """Returns polylines, mm. Each (n, 2)."""
    spacing = max(style.spacing, 2.0) * pen_width
    covered = covered_by(spacing, pen_width)
    middle = np.array([style.across, style.down]) * tones.size
    progress(0.2)

    def draw(asked: Tones, part: Callable[[float], None]) -> list[Points]:
        return _wound(WaveStyle(asked, pen_width, spacing, covered), middle, part)

    return corrected(draw, tones, pen_width, ROUNDS, lambda done: progress(0.2 + 0.8 * done))


def _wound(waves: WaveStyle, middle: Points, progress: Callable[[float], None]) -> list[Points]:
    """Returns the waved spiral about a centre, (2,) mm."""
    spacing, pen_width, size = waves.spacing, waves.pen_width, np.array(waves.tones.size)
    far = float(np.hypot(*np.maximum(middle, size - middle)))
    step = step_of(pen_width)
    # Length of the spiral is about spacing t² / 4 pi at the angle t; near the centre points are closer.
    count = int(np.pi * (far + spacing) ** 2 / spacing / step)
    found: list[Points] = []
    base, phases = 0, np.zeros(1)  # of the points from `base` on: those of a turn and of the part under way
    begin = waves.tones.seed * GOLDEN
    bounds = np.linspace(0, count, max(1, count // AT_ONCE) + 1).astype(np.int64).tolist()
    for first, last in pairwise(bounds):
        progress(first / count)
        # Each part ends with the first point of the next.
        angle = np.sqrt(4 * np.pi * np.arange(first, last + 1) * step / spacing)
        normal = np.column_stack([np.cos(angle + begin), np.sin(angle + begin)])
        foot = middle + (spacing * angle / (2 * np.pi))[:, None] * normal
        turn_before = np.where(angle >= 2 * np.pi, (angle - 2 * np.pi) ** 2 * spacing / (4 * np.pi * step), -1.0)
        begins = max(int(turn_before[0]), 0)
        phases, base = np.append(phases[begins - base :], np.zeros(last - first)), begins
        number = np.floor(angle / (2 * np.pi)).astype(np.int64)
        beside = np.where(turn_before >= 0, turn_before - base, -1.0)
        runs = waved(foot, normal, waves, number, phases, first - base, beside)
        if found and runs and np.allclose(found[-1][-1], runs[0][0], atol=step):
            found[-1] = np.concatenate([found[-1], runs[0][1:]])
            runs = runs[1:]
        found.extend(runs)
    return trimmed(found, pen_width)
