"""Tone: how dense the ink of a shape is from place to place, and fill lines thinned out by it."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from app.artwork.colour import lab_of
from app.artwork.drawing import Drawing, Shape
from app.artwork.paints import Varying
from app.artwork.sampling import let_through
from app.document.document import Fill
from app.strokes.fills.hatch import hatch_lines
from app.strokes.fills.spacing import second_spacing_of, spacing_of

Tone = Callable[[np.ndarray], np.ndarray]
"""(n,) 0 (no ink) to 1 (the full fill) at (n, 2) points on the wall, mm."""
FULL = 0.995
LEVELS = 16
"""Steps of tone: every so many lines of a hatch the pattern of those left out begins again."""


def tone_of(drawing: Drawing, shape: Shape, matrix: np.ndarray, region: BaseGeometry) -> Tone | None:
    """The tone of a shape on a region of the wall; None where it is full everywhere. matrix: (2, 3) artwork to wall.

    A paint that varies is drawn with one pen, fullest where it is darkest (CIELAB L*); see-through paint, layers and
    masks thin it out.
    """
    layers = [drawing.layers[n] for n in shape.layers]
    masks = [mask for layer in layers for mask in layer.masks]
    through = float(np.prod([layer.opacity for layer in layers]))
    varying = shape.paint if isinstance(shape.paint, Varying) else None
    if varying is None and not masks and through * shape.paint.opacity >= FULL:
        return None
    back = np.linalg.inv(np.vstack([matrix, [0, 0, 1]]))
    darkest = 0.0

    def in_artwork(points: np.ndarray) -> np.ndarray:
        return points @ back[:2, :2].T + back[:2, 2]

    if varying is not None:
        darkest = float((100 - lab_of(varying.rgba_at(in_artwork(_spread(region)))[:, :3] * 255)[:, 0]).max())

    def tone(points: np.ndarray) -> np.ndarray:
        points = in_artwork(points)
        if varying is None:
            density = np.full(len(points), shape.paint.opacity * through)
        else:
            rgba = varying.rgba_at(points)
            dark = (100 - lab_of(rgba[:, :3] * 255)[:, 0]) / max(darkest, 1e-9)
            density = np.clip(dark, 0, 1) * rgba[:, 3] * through
        for mask in masks:
            density = density * let_through(mask, points)
        return density

    return tone


def _spread(region: BaseGeometry) -> np.ndarray:
    """(n, 2) points all over a region."""
    x0, y0, x1, y1 = region.bounds
    x, y = np.meshgrid(np.linspace(x0, x1, 24), np.linspace(y0, y1, 24))
    points = np.column_stack([x.ravel(), y.ravel()])
    inside = points[shapely.contains_xy(region, points)]
    return inside if len(inside) else shapely.get_coordinates(shapely.point_on_surface(region))


def toned_fill(region: BaseGeometry, fill: Fill, pen_width: float, tone: Tone) -> list[np.ndarray]:
    """Fill lines of a region, each drawn where the tone is above a level of its own: hatch, or cross-hatch."""
    if fill.kind == "none":
        return []
    layers = [(spacing_of(fill, pen_width), fill.angle)]
    if fill.kind == "cross-hatch":
        layers.append((second_spacing_of(fill, pen_width), fill.angle + fill.cross_angle))
    return [
        line
        for spacing, angle in layers
        for line in thinned(hatch_lines(region, spacing, angle), spacing, angle, tone)
    ]


def thinned(ends: np.ndarray, spacing: float, angle: float, tone: Tone) -> np.ndarray:
    """(k, 2, 2) the parts of (n, 2, 2) hatch lines where the tone is above the line's level.

    Levels follow van der Corput's sequence over the lattice of the lines, so that at any tone those that are drawn lie
    as evenly as they can.
    """
    if not len(ends):
        return ends
    across = np.array([-np.sin(angle), np.cos(angle)])
    row = np.round(ends[:, 0] @ across / spacing).astype(np.int64) % LEVELS
    level = (np.array([int(f"{n:04b}"[::-1], 2) for n in range(LEVELS)])[row] + 0.5) / LEVELS
    far = np.hypot(*(ends[:, 1] - ends[:, 0]).T)
    count = np.maximum(np.ceil(far / (spacing / 2)).astype(np.int64), 1) + 1
    line = np.repeat(np.arange(len(ends)), count)
    first = np.cumsum(count) - count
    share = (np.arange(len(line)) - first[line]) / (count[line] - 1)
    points = ends[line, 0] + share[:, None] * (ends[line, 1] - ends[line, 0])
    above = tone(points) - level[line]
    inside = above > 0
    # A run begins where the line does or where the tone rises through the level, and ends likewise.
    same = np.append(line[1:] == line[:-1], False)
    begins = np.flatnonzero(inside & ~np.concatenate([[False], (inside & same)[:-1]]))
    stops = np.flatnonzero(inside & ~(same & np.append(inside[1:], False)))
    start, stop = points[begins].copy(), points[stops].copy()
    rising = (begins > 0) & np.concatenate([[False], same[:-1]])[begins]
    start[rising] = _crossing(points, above, begins[rising] - 1)
    falling = same[stops]
    stop[falling] = _crossing(points, above, stops[falling])
    long = np.hypot(*(stop - start).T) > spacing / 10
    return np.stack([start, stop], axis=1)[long]


def _crossing(points: np.ndarray, above: np.ndarray, at: np.ndarray) -> np.ndarray:
    """(k, 2) where the tone passes its level between the points at and those after."""
    share = above[at] / (above[at] - above[at + 1])
    return points[at] + share[:, None] * (points[at + 1] - points[at])
