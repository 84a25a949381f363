"""Halftone: dots on a rotated grid that grow with the tone.

Dots grow from discs to squares with rounded corners that nearly fill their cells (superellipses), so that they never merge:
Ulichney, "Digital halftoning", MIT Press 1987, on clustered dots and rotated screens. The coverage of a dot is measured on
the path that draws it. Tones lighter than the smallest dot in each cell use fewer dots, omitted in a sequence that is
evenly distributed over the plane (Roberts 2018: two multiples of the plastic number's inverse powers).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import shapely

from wallwright.artwork.raster.pen_layers import Tones
from wallwright.document.arrays import Floats, Points
from wallwright.document.picture import Halftone
from wallwright.strokes.line_geometries import line_strings
from wallwright.strokes.pictures import line_runs
from wallwright.strokes.pictures.ink_raster import corrected

SIZES = 48
"""Number of dot sizes measured between the smallest and the largest."""
A_TURN = 32
"""Number of points per turn."""
TAP = 0.1
"""Movement of the pen in the smallest dot, in line widths."""
OVERLAP = 0.85
"""Distance between turns of a dot, in line widths, so that no ring stays white; in the corners turns lie farther apart."""
LARGEST_DOT = 0.99
"""Width of the largest dot as a share of a cell's side. The remainder keeps dots apart; more of it would make the dark
too light."""
SQUARE = 8.0
"""Exponent of the largest dot's superellipse; 2 is a disc."""
ROUNDS = 3
PLASTIC = 1.32471795724474602596
"""Plastic number: the root of x³ = x + 1."""


def halftone(
    tones: Tones,
    pen_width: float,
    style: Halftone,
    progress: Callable[[float], None],
    tell: Callable[[str], None],
) -> Sequence[Points]:
    """Returns polylines, mm: one per dot. Each (n, 2)."""
    pitch = max(style.pitch, 2.0) * pen_width
    shapes, covered = dots(pitch, pen_width)
    progress(0.2)

    def draw(asked: Tones, part: Callable[[float], None]) -> list[Points]:
        return _dots_of(asked, pitch, style.angle + tones.turn, pen_width, shapes, covered, part)

    return corrected(draw, tones, pen_width, ROUNDS, lambda done: progress(0.2 + 0.8 * done))


def _dots_of(
    tones: Tones,
    pitch: float,
    angle: float,
    pen_width: float,
    shapes: list[Points],
    covered: Floats,
    progress: Callable[[float], None],
) -> list[Points]:
    middles, number = _grid(tones.size, pitch, angle)
    tone = _means(tones, middles, pitch, angle)
    progress(0.4)
    size = np.rint(np.interp(tone, covered, np.arange(len(covered)))).astype(np.int64)
    # Below the smallest dot, some dots are omitted.
    order = (0.5 + number @ np.array([1 / PLASTIC, 1 / PLASTIC**2])) % 1
    is_drawn = (tone > 0) & (tone > order * covered[0])
    cos, sin = np.cos(angle), np.sin(angle)
    turn = np.array([[cos, sin], [-sin, cos]])
    found: list[Points] = []
    for at in np.unique(size[is_drawn]).tolist():
        progress(0.4 + 0.6 * at / len(covered))
        mine = middles[is_drawn & (size == at)]
        found.extend(mine[:, None] + shapes[at] @ turn)
    return _inside(found, tones.size, pen_width)


def dots(pitch: float, pen_width: float) -> tuple[list[Points], Floats]:
    """Returns paths about the origin, (n, 2) mm each, of dots of growing size, and (k,) the share of a cell that each
    covers, ascending."""
    largest = LARGEST_DOT * pitch / 2
    outer = np.linspace(pen_width / 2, largest, SIZES)
    shapes = [_dot(radius, 2 + (SQUARE - 2) * (radius / largest) ** 6, pen_width) for radius in outer.tolist()]
    inks = [shapely.area(shapely.buffer(shapely.LineString(path), pen_width / 2, quad_segs=16)) for path in shapes]
    return shapes, np.maximum.accumulate(np.array(inks)) / pitch**2


def _dot(radius: float, exponent: float, pen_width: float) -> Points:
    """Returns a path that fills a superellipse of a given half width, from its edge inwards."""
    outer = radius - pen_width / 2
    if outer < pen_width / 8:
        return np.array([[-TAP / 2, 0.0], [TAP / 2, 0.0]]) * pen_width
    turns = outer / (OVERLAP * pen_width)
    angle = np.linspace(0, 2 * np.pi, A_TURN + 1)
    share = np.ones(len(angle))
    if turns > 0.5:  # else the turn along the edge covers the middle too
        inwards = np.linspace(0, 2 * np.pi * turns, int(np.ceil(A_TURN * turns)) + 1)[1:]
        angle = np.append(angle, 2 * np.pi + inwards)
        share = np.append(share, 1 - inwards / (2 * np.pi * turns))
    cos, sin = np.cos(angle), np.sin(angle)
    reach = (np.abs(cos) ** exponent + np.abs(sin) ** exponent) ** (-1 / exponent)
    return np.column_stack([cos, sin]) * (outer * share * reach)[:, None]


def _grid(size: tuple[float, float], pitch: float, angle: float) -> tuple[Points, Points]:
    """Returns the centres (n, 2), mm, of the cells of a rotated grid that touch a picture, and their indices along and
    across."""
    half = np.array(size) / 2
    reach = int(np.hypot(*half) / pitch) + 2
    across, down = np.meshgrid(np.arange(-reach, reach + 1), np.arange(-reach, reach + 1))
    number = np.column_stack([across.ravel(), down.ravel()]).astype(float)
    cos, sin = np.cos(angle), np.sin(angle)
    middles = half + pitch * number @ np.array([[cos, sin], [-sin, cos]])
    room = pitch / 2 * (abs(cos) + abs(sin))
    touches = (np.abs(middles - half) < half + room).all(axis=1)
    return middles[touches], number[touches]


def _means(tones: Tones, middles: Points, pitch: float, angle: float) -> Floats:
    """Returns (n,) mean tone over the part of each cell that lies on the picture."""
    along = (np.arange(4) + 0.5) / 4 - 0.5
    cos, sin = np.cos(angle), np.sin(angle)
    offsets = pitch * np.column_stack([np.repeat(along, 4), np.tile(along, 4)]) @ np.array([[cos, sin], [-sin, cos]])
    places = (middles[:, None] + offsets).reshape(-1, 2)
    width, height = tones.size
    is_on = ((places >= 0) & (places <= (width, height))).all(axis=1).reshape(len(middles), -1)
    tone = tones.at(places).reshape(len(middles), -1)
    mean: Floats = (tone * is_on).sum(axis=1) / np.maximum(is_on.sum(axis=1), 1)
    return mean


def _inside(lines: list[Points], size: tuple[float, float], pen_width: float) -> list[Points]:
    """Returns the lines clipped so that their ink stays on the picture."""
    if not lines:
        return []
    points, line = line_runs.packed(lines)
    low, high = np.full(2, pen_width / 2), np.array(size) - pen_width / 2
    low, high = np.minimum(low, np.array(size) / 2), np.maximum(high, np.array(size) / 2)
    crosses = np.zeros(len(lines), dtype=bool)
    crosses[line[((points < low) | (points > high)).any(axis=1)]] = True
    whole = [path for path, is_cut in zip(lines, crosses.tolist(), strict=True) if not is_cut]
    cut = [path for path, is_cut in zip(lines, crosses.tolist(), strict=True) if is_cut]
    if cut:
        points, line = line_runs.packed(cut)
        parts = shapely.get_parts(shapely.intersection(line_strings(points, line), shapely.box(*low, *high)))
        parts = parts[(shapely.get_type_id(parts) == shapely.GeometryType.LINESTRING) & (shapely.length(parts) > 0)]
        whole.extend(shapely.get_coordinates(part) for part in parts)
    return whole
