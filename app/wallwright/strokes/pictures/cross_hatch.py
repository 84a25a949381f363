"""Cross-hatch by tone, along the structures of the picture.

Hatch lines follow the picture (see phase_lines). Each line has a threshold, spread evenly over neighbours, and is drawn
where the tone exceeds it. There are about twice as many lines as the darkest tone needs, so that the most frequent tone is
hatched evenly with every second or fourth one, and the others fill in where lines diverge. The local density of lines is
known from the phase, so the share of the wall under ink matches the tone however the lines bend.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from wallwright.artwork.raster.pen_layers import Tones
from wallwright.artwork.raster.raster import blurred
from wallwright.document.arrays import Floats, Points
from wallwright.document.picture import CrossHatch
from wallwright.strokes.pictures import line_runs
from wallwright.strokes.pictures.ink_raster import corrected
from wallwright.strokes.pictures.phase_lines import PhaseLines, direction, grid_shape, phase_lines

TONE_BLUR = 0.7
"""Distance over which tone is averaged, in line widths, so that grain does not cut lines to pieces."""
BITS = 6
"""Number of bits of the lines' thresholds: coarse enough that small variations of an even tone add or remove no line."""
ROUNDS = 2
SHORTEST = 1.5
"""Shortest piece, in line widths: shorter ones are not worth a pen lift."""


def cross_hatch(
    tones: Tones,
    pen_width: float,
    style: CrossHatch,
    progress: Callable[[float], None],
    tell: Callable[[str], None],
) -> Sequence[Points]:
    """Returns polylines, mm. Each (n, 2)."""
    turn = direction(tones, pen_width, style.angle, style.follow, grid_shape(tones, pen_width))
    layers: list[tuple[int, PhaseLines]] = []
    for number, share in enumerate(shares(tones.tone, style.crossing)):
        angle = style.angle + tones.turn + number * np.pi / 2
        progress(0.1 + 0.2 * number)
        if share.max() > 0:
            layers.append((number, phase_lines(angle + turn, spacing_for(share, pen_width), tones.size, tones.cell)))

    def draw(asked: Tones, part: Callable[[float], None]) -> list[Points]:
        drawn: list[Points] = []
        both = shares(asked.tone, style.crossing)
        for at, (number, lines) in enumerate(layers):
            part(at / len(layers))
            drawn.extend(_drawn(Tones(both[number], tones.cell), pen_width, lines))
        return drawn

    return corrected(draw, tones, pen_width, ROUNDS, lambda done: progress(0.5 + 0.5 * done))


def spacing_for(share: Floats, pen_width: float) -> float:
    """Returns the distance between lines, mm, about half of what the darkest tone needs: the most frequent share, which may
    be that of a flat background, is drawn by every second, fourth, ... line, and no two of them are neighbours.

    share: (rows, columns), 0 to 1, some above 0.
    """
    most = float(share.max())
    counts, bounds = np.histogram(share[share > 0], bins=64, range=(0.0, most))
    best = int(np.argmax(counts))
    in_best = share[(share >= bounds[best]) & (share <= bounds[best + 1]) & (share > 0)]
    frequent = float(np.median(in_best))
    density = frequent * 2.0 ** np.ceil(np.log2(4 / 3 * most / frequent))
    return float(pen_width / density)


def shares(tone: Floats, crossing: float) -> tuple[Floats, Floats]:
    """Returns the shares of two perpendicular hatches that together cover the tone: 1 - (1 - a)(1 - b).

    The second begins at the crossing tone and rises alone until both are equal; then they rise together.
    All (rows, columns), 0 to 1.
    """
    both = 1 - np.sqrt(1 - tone)
    first = np.maximum(np.minimum(tone, crossing), both)
    return first, 1 - (1 - tone) / np.maximum(1 - first, 1e-12)


def _drawn(share: Tones, pen_width: float, lines: PhaseLines) -> list[Points]:
    smooth = blurred(share.tone, TONE_BLUR * pen_width / share.cell)
    wanted = share.at(lines.points, smooth) / np.maximum(pen_width / lines.spacing, 0.2)
    above = wanted - line_runs.thresholds(lines.number, BITS)
    points, line = line_runs.kept(lines.points, lines.line, np.where(share.at(lines.points) > 0, above, -1.0))
    return line_runs.split(*line_runs.longer(*line_runs.trimmed(points, line, pen_width), SHORTEST * pen_width))
