"""Cross-hatch by tone, along what is in the picture.

Hatch lines are level lines of a phase whose gradient is as near as can be (least squares, a Poisson equation) to lines
that run in a wanted direction: along the picture's structure (structure tensor; Bigun and Granlund 1987) as far as it
has one, else at the hatch angle. Each line has a threshold, spread evenly over neighbours, and is drawn where the tone
there is above it. There are twice as many lines as the darkest tone wants, so that it is hatched evenly with every
second one, and the others help out where lines bend apart. As the local density of lines is known from the phase, the
share of the wall under ink is the wanted tone however the lines bend.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from contourpy import contour_generator
from scipy.fft import dctn, idctn
from scipy.ndimage import gaussian_filter

from wallwright.artwork.raster.pen_layers import Tones
from wallwright.artwork.raster.raster import resampled
from wallwright.document.arrays import Floats, Points
from wallwright.document.picture import CrossHatch
from wallwright.strokes.pictures import line_runs
from wallwright.strokes.pictures.line_runs import level_lines

COARSE = 2.0
"""Cell of the phase in line widths: it is smooth."""
MOST_COARSE = 400
"""Cells of the phase along the longer side."""
SEES = 1.5
"""Structure smaller than this, in line widths, gives no direction."""
AGREES = 8.0
"""Line widths over which directions are averaged."""
STEADY = 0.7
"""Line widths over which tone is averaged, so that grain does not cut lines to pieces."""
SHORTEST = 1.5
"""Line widths; shorter pieces are not worth a lift."""
LEVELS = 32
"""Lines of the phase drawn between two looks at cancel."""
FLAT = 0.05
"""Step of tone over AGREES line widths that counts as half a direction."""
MOST_TURN = 0.85
"""Weight of the picture's direction against the hatch angle's 1. Lines turn all but fully into directions within 45° of
the hatch angle, and not at all where the picture runs square to it: a line that turned there could turn either way."""


def cross_hatch(
    tones: Tones,
    pen_width: float,
    style: CrossHatch,
    progress: Callable[[float], None],
    tell: Callable[[str], None],
) -> list[Floats]:
    """Polylines, mm. Each (n, 2)."""
    first, second = shares(tones.tone, style.crossing)
    width, height = tones.size
    cell = max(COARSE * pen_width, max(width, height) / MOST_COARSE, tones.cell)
    shape = max(3, round(height / cell)), max(3, round(width / cell))
    turn = direction(tones, pen_width, style, shape)
    lines: list[Floats] = []
    for number, (share, base) in enumerate(((first, style.angle), (second, style.angle + np.pi / 2))):

        def part(done: float, number: int = number) -> None:
            progress(0.1 + 0.45 * (number + done))

        part(0.0)
        if share.max() > 0:
            lines.extend(_layer(Tones(share, tones.cell), pen_width, base + tones.turn + turn, part))
    return lines


def shares(tone: Floats, crossing: float) -> tuple[Floats, Floats]:
    """Shares of two hatches square to each other that together cover the tone: 1 - (1 - a)(1 - b).

    The second begins at the crossing tone and rises alone until both are equal; then they rise together.
    All (rows, columns), 0 to 1.
    """
    both = 1 - np.sqrt(1 - tone)
    first = np.maximum(np.minimum(tone, crossing), both)
    return first, 1 - (1 - tone) / np.maximum(1 - first, 1e-12)


def direction(tones: Tones, pen_width: float, style: CrossHatch, shape: tuple[int, int]) -> Floats:
    """(rows, columns) how far lines turn away from the hatch angle, rad, within a right angle."""
    rows, columns = shape
    sees, agrees = SEES * pen_width / tones.cell, AGREES * pen_width / tones.cell
    dy, dx = np.gradient(gaussian_filter(tones.tone if tones.guide is None else tones.guide, sees))
    xx, xy, yy = (gaussian_filter(p, agrees) for p in (dx * dx, dx * dy, dy * dy))
    strength = (xx + yy) / (xx + yy + (FLAT / agrees) ** 2 + 1e-12)
    # Twice the angle of the lines, which run across the gradient: -(cos, sin) of twice the gradient's.
    size = xx + yy + 1e-12
    along = -((xx - yy) + 2j * xy) / size * strength * style.follow * MOST_TURN
    along = resampled(along.real, rows, columns) + 1j * resampled(along.imag, rows, columns)
    result: Floats = np.angle(1.0 + along * np.exp(-2j * style.angle))
    return result


def _layer(share: Tones, pen_width: float, angle: Floats, progress: Callable[[float], None]) -> list[Floats]:
    rows, columns = angle.shape
    width, height = share.size
    dx, dy = width / columns, height / rows
    spacing = pen_width / (2 * share.tone.max())
    progress(0.05)
    phase = _phase(-np.sin(angle) / spacing, np.cos(angle) / spacing, dx, dy)
    gy, gx = np.gradient(phase, dy, dx)
    density = resampled(np.hypot(gx, gy) * pen_width, *share.tone.shape)
    progress(0.15)
    smooth = gaussian_filter(share.tone, STEADY * pen_width / share.cell)
    # One cell more on each side, so that lines reach the picture's edge.
    beyond = np.pad(phase, 1, mode="reflect", reflect_type="odd")
    generator = contour_generator((np.arange(-1, columns + 1) + 0.5) * dx, (np.arange(-1, rows + 1) + 0.5) * dy, beyond)
    levels = np.arange(np.ceil(beyond.min()), np.floor(beyond.max()) + 1)
    drawn: list[Floats] = []
    for first in range(0, len(levels), LEVELS):
        progress(0.2 + 0.8 * first / len(levels))
        found: list[Points] = []
        numbers: list[float] = []
        for level in levels[first : first + LEVELS]:
            lines = level_lines(generator, float(level))
            found.extend(lines)
            numbers.extend([level] * len(lines))
        points, line = line_runs.finer(*line_runs.packed(found), share.cell)
        if not len(points):
            continue
        wanted = share.at(points, smooth) / np.maximum(share.at(points, density), 0.2)
        above = wanted - line_runs.thresholds(np.array(numbers, dtype=np.int64))[line]
        points, line = line_runs.kept(points, line, np.where(share.at(points) > 0, above, -1.0))
        drawn.extend(
            line_runs.split(*line_runs.longer(*line_runs.trimmed(points, line, pen_width), SHORTEST * pen_width))
        )
    return drawn


def _phase(gx: Floats, gy: Floats, dx: float, dy: float) -> Floats:
    """(rows, columns) the function whose gradient is nearest to (gx, gy) in the least squares sense.

    Poisson's equation with the gradient given at the edge too, by cosine transform.
    """
    rows, columns = gx.shape
    source = np.zeros((rows, columns))
    across, down = (gx[:, 1:] + gx[:, :-1]) / 2 / dx, (gy[1:] + gy[:-1]) / 2 / dy
    source[:, :-1] += across
    source[:, 1:] -= across
    source[:-1] += down
    source[1:] -= down
    kx = (2 * np.cos(np.pi * np.arange(columns) / columns) - 2) / dx**2
    ky = (2 * np.cos(np.pi * np.arange(rows) / rows) - 2) / dy**2
    both = ky[:, None] + kx
    both[0, 0] = 1.0
    spectrum = dctn(source, type=2) / both
    spectrum[0, 0] = 0.0
    return idctn(spectrum, type=2)
