"""Weighted stipple: dots of one size, denser where it is darker."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import shapely

from wallwright.artwork.raster.pen_layers import Tones
from wallwright.document.arrays import Floats, Points
from wallwright.document.language import tr
from wallwright.document.picture import Stipple
from wallwright.strokes.pictures.ink_raster import corrected
from wallwright.strokes.pictures.point_relaxation import spread
from wallwright.strokes.strokes import PackedLines

MOST_DOTS = 40_000
"""Largest number of dots of one layer. More take a day on the wall; dots become larger instead, at the same tone."""
TAP = 0.1
"""Movement of the pen in a tap, in line widths, so that it is a stroke."""
A_TURN = 16
"""Number of points per turn of a dot's spiral."""
ROUNDS = 2
MOST_CORRECTED = 100_000
"""Largest number of dots that are placed again with the tone corrected: more of them are accurate anyway, and slow."""
NOMINAL = np.array([0.0, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0, 1.1, 1.3, 1.5])
COVERED = np.array([0.0, 0.5, 0.598, 0.689, 0.768, 0.838, 0.892, 0.933, 0.979, 1.0])
"""Share of the wall under dots whose areas add up to the nominal share, as measured: above a half they overlap."""


def dot_size(tones: Tones, pen_width: float, style: Stipple) -> float:
    """Returns the diameter of the dots, mm."""
    ink = float(tones.tone.sum()) * tones.cell**2
    return max(style.dot * pen_width, float(np.sqrt(4 / np.pi * ink / MOST_DOTS)))


def stipple(
    tones: Tones,
    pen_width: float,
    style: Stipple,
    progress: Callable[[float], None],
    tell: Callable[[str], None],
) -> Sequence[Points]:
    """Returns polylines, mm: one per dot. Each (n, 2)."""
    size = dot_size(tones, pen_width, style)
    if size > 1.001 * style.dot * pen_width:
        tell(tr("its dots are {0:.1f} mm wide, so that no more than {1} are needed.", size, MOST_DOTS))
    shape = dot(size, pen_width)
    ink = ink_of(shape, pen_width)

    def draw(asked: Tones, part: Callable[[float], None]) -> Sequence[Points]:
        nominal = np.interp(asked.tone, COVERED, NOMINAL)
        return PackedLines.of_equal(spread(nominal / ink, asked.cell, part, asked.seed)[:, None] + shape)

    is_few = float(tones.tone.sum()) * tones.cell**2 / ink < MOST_CORRECTED
    return corrected(draw, tones, pen_width, ROUNDS if is_few else 1, progress)


def dot(diameter: float, pen_width: float) -> Floats:
    """Returns an (n, 2) path about the origin that covers a disc: a tap, or a spiral inwards from its edge. In mm."""
    outer = (diameter - pen_width) / 2
    if outer < pen_width / 8:
        return np.array([[-TAP / 2, 0.0], [TAP / 2, 0.0]]) * pen_width
    edge = np.linspace(0, 2 * np.pi, A_TURN + 1)
    radius = np.full(len(edge), outer)
    turns = outer / pen_width
    if turns > 0.5:  # else the turn around the edge covers the middle too
        inwards = np.linspace(0, 2 * np.pi * turns, int(np.ceil(A_TURN * turns)) + 1)[1:]
        edge = np.append(edge, 2 * np.pi + inwards)
        radius = np.append(radius, outer - inwards / (2 * np.pi) * pen_width)
    return np.column_stack([radius * np.cos(edge), radius * np.sin(edge)])


def ink_of(shape: Floats, pen_width: float) -> float:
    """Returns the area that a path covers, mm². shape: (n, 2) mm."""
    return shapely.buffer(shapely.LineString(shape), pen_width / 2).area
