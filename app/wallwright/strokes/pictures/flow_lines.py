"""Flow lines: evenly spaced lines along the edges of a picture, closer together where it is darker.

Directions are those of the edge tangent flow: the direction of least change of the structure tensor, smoothed so that
strong edges determine the direction of flat areas beside them (Kang, Lee, Chui, "Coherent line drawing", NPAR 2007; with
the tensor as in Kyprianidis and Döllner, "Image abstraction by structure adaptive filtering", Theory and Practice of
Computer Graphics 2008). Distances are those of Jobard and Lefer (see streamlines).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from wallwright.artwork.raster.pen_layers import Tones
from wallwright.artwork.raster.raster import blurred, resampled
from wallwright.document.arrays import Floats, Points
from wallwright.document.parallel import share_of
from wallwright.document.picture import FlowLines
from wallwright.strokes.pictures.ink_raster import corrected, ink_shares
from wallwright.strokes.pictures.streamlines import evenly_spaced

SCALES = (1.0, 3.0, 9.0, 27.0)
"""Scales, as multiples of the smoothing: each one applies where the finer ones see no structure."""
SCALE_WEIGHT = 0.1
"""Weight of a scale relative to the next finer one."""
FARTHEST = 30.0
"""Largest distance between lines, in line widths, for nearly white areas."""
LIGHTEST = 0.012
"""Tone below which there are no lines."""
SPACING_RATIO = 0.93
"""Mean ratio of actual to wanted distances, as measured: they lie between NEAREST of the wanted one and twice that."""
STEP = 0.5
"""Distance between points, in line widths."""
SHORTEST = 4.0
"""Shortest line, in line widths."""
TONE_BLUR = 1.5
"""Distance over which tone is averaged, in line widths."""
ROUNDS = 3
EVENINGS = 3
ADDED_DISTANCE = 0.72
"""Smallest distance of an added line, as a share of the wanted distance."""
LACK_BLUR = 1.5
"""Distance over which ink is compared with tone for added lines, in line widths."""
LEAST_LACK = 0.1
"""Difference of tone and ink from which a line is added."""
SEED_CELLS = 3000
"""Number of places on the strongest edges where lines begin."""
NOMINAL = np.array([0.0, 0.5, 0.7, 0.8, 0.9, 0.95, 1.0])
LINE_DENSITY = np.array([0.0, 0.5, 0.7, 0.81, 0.94, 1.03, 1.2])
"""Line width over distance by tone: dense lines merge here and leave gaps there."""


def flow_lines(
    tones: Tones,
    pen_width: float,
    style: FlowLines,
    progress: Callable[[float], None],
    tell: Callable[[str], None],
) -> Sequence[Points]:
    """Returns polylines, mm. Each (n, 2)."""
    if tones.tone.max() <= LIGHTEST:
        return []
    turn, seeds = tangent_flow(tones, pen_width, style.smooth)
    cos, sin = np.cos(2 * tones.turn), np.sin(2 * tones.turn)
    turn = np.stack([turn[0] * cos - turn[1] * sin, turn[0] * sin + turn[1] * cos])
    progress(0.1)
    return corrected(
        lambda asked, part: spaced_lines(asked, tones.tone, pen_width, turn, seeds, part),
        tones,
        pen_width,
        ROUNDS,
        lambda done: progress(0.1 + 0.9 * done),
        evenings=EVENINGS,
    )


def spaced_lines(
    tones: Tones, wanted: Floats, pen_width: float, turn: Floats, seeds: Points, progress: Callable[[float], None]
) -> list[Points]:
    """Returns lines along a field at the distances that a tone needs, then more where there is less ink than wanted.

    turn, seeds: as for evenly_spaced, on the cells of the tones; wanted: (rows, columns).
    """
    smooth = blurred(tones.tone, TONE_BLUR * pen_width / tones.cell)
    per_width = np.interp(smooth, NOMINAL, LINE_DENSITY) / SPACING_RATIO
    has_line = (tones.tone > 0) & (smooth > LIGHTEST)
    spacing = np.where(has_line, pen_width / np.maximum(per_width, 1 / FARTHEST), np.inf)
    step, shortest = STEP * pen_width, SHORTEST * pen_width
    lines = evenly_spaced(turn, spacing, tones.cell, step, shortest, seeds, [], share_of(progress, 0, 2))
    between = between_lines(lines, replace(tones, tone=wanted), spacing, pen_width, turn, share_of(progress, 1, 2))
    return lines + between


def between_lines(
    lines: list[Points],
    tones: Tones,
    spacing: Floats,
    pen_width: float,
    turn: Floats,
    progress: Callable[[float], None],
) -> list[Points]:
    """Returns additional lines where the existing ones lie too far apart for the tone.

    spacing: (rows, columns) mm, wanted between lines; lines: points about half a pen width apart.
    """
    progress(0.0)
    off = tones.tone - ink_shares(lines, pen_width, tones)
    lacks = blurred(off, LACK_BLUR * pen_width / tones.cell) > LEAST_LACK
    nearer = np.where(lacks, ADDED_DISTANCE * spacing, np.inf)
    step, shortest = STEP * pen_width, SHORTEST * pen_width
    return evenly_spaced(turn, nearer, tones.cell, step, shortest, np.zeros((0, 2)), lines, progress)


def tangent_flow(tones: Tones, pen_width: float, smooth: float) -> tuple[Floats, Points]:
    """Returns the cosine and sine, (2, rows, columns), of twice the direction along edges, and (n, 2) mm, places on the
    strongest edges."""
    plane = tones.tone if tones.guide is None else tones.guide
    # Structure finer than a line width does not affect the direction.
    shrink = max(1, round(pen_width / tones.cell))
    rows, columns = (max(2, side // shrink) for side in plane.shape)
    cell = tones.size[0] / columns
    seen = blurred(resampled(plane, rows, columns), max(pen_width / cell, 1.0))
    dy, dx = (np.asarray(np.gradient(seen, axis=axis)) for axis in (0, 1))
    products = dx * dx - dy * dy, 2 * dx * dy, dx * dx + dy * dy
    cos, sin, edge = (np.zeros((rows, columns)) for _ in range(3))
    weight = 1.0
    for scale in SCALES:
        sigma = smooth * scale * pen_width / cell
        a, b, size = (blurred(part, sigma) for part in products)
        cos, sin = cos - weight * a, sin - weight * b  # perpendicular to the gradient: half a turn of the double angle
        edge = edge + weight * size
        weight *= SCALE_WEIGHT
    length = np.hypot(cos, sin)
    flat = 1e-9
    cos, sin = np.where(length > flat, cos, 1.0), np.where(length > flat, sin, 0.0)
    length = np.maximum(np.hypot(cos, sin), 1e-300)
    stride = max(1, int(np.sqrt(edge.size / SEED_CELLS)))
    sparse = edge[stride // 2 :: stride, stride // 2 :: stride]
    strongest = np.argsort(-sparse, axis=None, kind="stable")[: sparse.size // 8]
    row, column = np.unravel_index(strongest, sparse.shape)
    seeds: Points = (np.column_stack([column, row]).astype(np.float64) * stride + stride // 2 + 0.5) * cell
    turn = np.stack([resampled(part, *tones.tone.shape).astype(np.float64) for part in (cos / length, sin / length)])
    return turn, seeds
