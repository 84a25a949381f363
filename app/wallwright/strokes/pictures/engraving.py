"""Engraving: lines along the shapes that swell with the tone.

A burin's line is broader where it cuts deeper (Ostromoukhov, "Digital facial engraving", SIGGRAPH 1999). A pen has one
width, so a broad line is drawn as several side by side: two that diverge from its centreline, two more inside them where
there is room, and one along the centreline where the innermost pair leaves a gap. Each pair is one closed lens.

    line      a level line of the phase whose gradient runs across the lines (see phase_lines)
    width     of the inked line: the tone times the distance to the next line there
    pair j    lies (width - w) / 2 - j w on both sides of the centreline, where that is positive; w: the pen width
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from wallwright.artwork.raster.pen_layers import Tones
from wallwright.artwork.raster.raster import blurred
from wallwright.document.arrays import Floats, Integers, Points
from wallwright.document.picture import Engraving
from wallwright.strokes.pictures import line_runs
from wallwright.strokes.pictures.ink_raster import corrected
from wallwright.strokes.pictures.phase_lines import PhaseLines, direction, grid_shape, phase_lines

TONE_BLUR = 0.5
"""Distance over which tone is averaged, in spacings, so that grain does not make lines jitter."""
SHORTEST = 2.0
"""Shortest lens or line, in line widths."""
LENS_OPENING = 0.35
"""Excess over the pen width, in line widths, at which a lens opens, so that its sides do not jitter."""
ROUNDS = 3
CLOSED_PAIR = 0.42
"""Largest distance of the innermost pair from the centreline, in line widths, at which its two lines leave no gap."""
STEP = 0.5
"""Distance between points of a line, in line widths."""


def engraving(
    tones: Tones,
    pen_width: float,
    style: Engraving,
    progress: Callable[[float], None],
    tell: Callable[[str], None],
) -> Sequence[Points]:
    """Returns polylines, mm; lenses repeat their first point. Each (n, 2)."""
    if tones.tone.max() <= 0:
        return []
    spacing = max(style.spacing, 2.0) * pen_width
    shape = grid_shape(tones, pen_width)
    angle = style.angle + tones.turn + direction(tones, pen_width, style.angle, style.follow, shape)
    progress(0.1)
    lines = phase_lines(angle, spacing, tones.size, STEP * pen_width)

    def draw(asked: Tones, part: Callable[[float], None]) -> list[Points]:
        part(0.0)
        steady = blurred(asked.tone, TONE_BLUR * spacing / asked.cell)
        return _swollen(lines, asked, steady, pen_width)

    return corrected(draw, tones, pen_width, ROUNDS, lambda done: progress(0.4 + 0.6 * done))


def _swollen(lines: PhaseLines, tones: Tones, steady: Floats, pen_width: float) -> list[Points]:
    points, line = lines.points, lines.line
    if not len(points):
        return []
    tone = np.where(tones.at(points) > 0, tones.at(points, steady), 0.0)
    width = tone * lines.spacing
    half = (width - pen_width) / 2
    # Where the line is thinner than the pen, a threshold by its number decides, so that lighter tones have fewer lines.
    thin = width / pen_width - line_runs.thresholds(lines.number)
    opens = LENS_OPENING * pen_width / 2
    pairs = np.where(half > opens, np.floor((half - opens) / pen_width) + 1, 0)
    innermost = half - (pairs - 1) * pen_width
    needs_middle = np.where(pairs > 0, innermost - CLOSED_PAIR * pen_width, thin)
    needs_middle = np.where(tone > 0, needs_middle, -1.0)
    found = line_runs.split(*line_runs.longer(*line_runs.kept(points, line, needs_middle), SHORTEST * pen_width))
    normal = _normals(points, line)
    for pair in range(int(pairs.max())):
        offset = np.maximum(half - pair * pen_width, 0.0)
        value = half - opens - pair * pen_width
        sides = []
        for side in (1.0, -1.0):
            moved = np.clip(points + side * offset[:, None] * normal, 0.0, np.array(tones.size))
            sides.append(line_runs.split(*line_runs.kept(moved, line, value)))
        for there, back in zip(*sides, strict=True):
            lens = np.concatenate([there, back[::-1], there[:1]])
            if np.hypot(*np.diff(there, axis=0).T).sum() >= SHORTEST * pen_width:
                found.append(lens)
    return found


def _normals(points: Points, line: Integers) -> Points:
    """Returns (n, 2) unit normals of the lines at their points."""
    move = np.zeros_like(points)
    same = (line[1:] == line[:-1])[:, None]
    step = np.diff(points, axis=0) * same
    move[:-1] += step
    move[1:] += step
    length = np.maximum(np.hypot(*move.T), 1e-12)
    normals: Points = np.column_stack([-move[:, 1], move[:, 0]]) / length[:, None]
    return normals
