"""Fills whose density follows a tone: each line of the full fill is drawn where the tone exceeds its threshold.

Thresholds are in the order of a one-dimensional ordered dither (bits of the line's number reversed, after Bayer 1973), so
that at any tone the lines drawn are spread as evenly as the lattice allows.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from wallwright.artwork.shape_regions import rings_of
from wallwright.document.arrays import Floats, Integers, Points
from wallwright.document.document import Fill
from wallwright.strokes.fills.contour import further_in
from wallwright.strokes.fills.hatch import hatch_lines, rows_of
from wallwright.strokes.fills.progress import Progress
from wallwright.strokes.fills.spacing import second_spacing_of, spacing_of
from wallwright.strokes.fills.stipple import stipple
from wallwright.strokes.line_geometries import line_strings
from wallwright.strokes.mixed_tone import GridTone
from wallwright.strokes.stroke_pieces import where_positive
from wallwright.strokes.strokes import Strokes
from wallwright.strokes.tone import Tone

BITS = 12
"""Number of bits of a threshold: 4096 levels make the steps of tone invisible."""
LEAST = 0.01
"""Tone below which the line spacing grows no further."""
SAMPLES = 0.5
"""Distance between the points at which the tone is sampled, in spacings."""
SHORTEST = 0.5
"""Shortest piece, in pen widths: shorter ones are specks."""

TonedFill = Callable[[BaseGeometry, Fill, float, Progress, Tone], list[Floats]]


def threshold_of(row: Integers) -> Floats:
    """Returns (n,) thresholds in (0, 1) of lines numbered by (n,) integers."""
    reversed_ = np.zeros_like(row)
    for bit in range(BITS):
        reversed_ |= ((row >> bit) & 1) << (BITS - 1 - bit)
    threshold: Floats = (reversed_ + 0.5) / 2**BITS
    return threshold


def toned_hatch(region: BaseGeometry, fill: Fill, pen_width: float, progress: Progress, tone: Tone) -> list[Floats]:
    """Returns polylines, mm, each (n, 2). If the tone is one pen's share of a separation, the line spacing follows it:
    even where the tone is constant, and across its direction if it varies in one direction."""
    if not isinstance(tone, GridTone):
        return _layer(region, spacing_of(fill, pen_width), fill.angle, pen_width, tone)
    if tone.most <= 0:
        return []
    level = tone.level()
    if level is not None:
        return list(hatch_lines(np.array([region]), pen_width / max(level, LEAST), fill.angle)[0]) if level > 0 else []
    profile = tone.profile() if tone.leads else None
    if profile is not None:
        return _across(region, profile, pen_width)
    most = tone.most
    return _layer(region, pen_width / most, fill.angle, pen_width, lambda points: tone(points) / most)


def _across(region: BaseGeometry, profile: tuple[float, Floats, Floats], pen_width: float) -> list[Floats]:
    """Returns straight lines perpendicular to the direction of a tone, one where the accumulated ink suffices for another
    line."""
    angle, place, tone = profile
    gathered = np.concatenate([[0.0], np.cumsum(np.diff(place) * (tone[1:] + tone[:-1]) / 2)]) / pen_width
    at = np.interp(np.arange(0.5, gathered[-1], 1.0), gathered, place)
    along, across = np.array([np.cos(angle), np.sin(angle)]), np.array([-np.sin(angle), np.cos(angle)])
    corners = shapely.get_coordinates(shapely.envelope(region)) @ across
    ends = np.array([corners.min() - 1, corners.max() + 1])
    ends = np.where((np.arange(len(at)) % 2 == 0)[:, None], ends, ends[::-1])
    lines = at[:, None, None] * along + ends[:, :, None] * across
    parts = shapely.get_parts(shapely.intersection(shapely.linestrings(lines), region))
    return [shapely.get_coordinates(part) for part in parts if part.length > SHORTEST * pen_width]


def toned_cross_hatch(
    region: BaseGeometry, fill: Fill, pen_width: float, progress: Progress, tone: Tone
) -> list[Floats]:
    """Returns two layers that each draw the share of their lines which together cover the tone's share of the full fill.

    Polylines (n, 2), mm.
    """
    one, two = spacing_of(fill, pen_width), second_spacing_of(fill, pen_width)
    a, b = min(pen_width / one, 1.0), min(pen_width / two, 1.0)

    def share(points: Points) -> Floats:
        # 1 - (1 - f a)(1 - f b) = t (a + b - a b), solved for f.
        full = tone(points) * (a + b - a * b)
        return ((a + b) - np.sqrt(np.maximum((a + b) ** 2 - 4 * a * b * full, 0.0))) / (2 * a * b)

    second = _layer(region, two, fill.angle + fill.cross_angle, pen_width, share)
    return _layer(region, one, fill.angle, pen_width, share) + second


def toned_contour(region: BaseGeometry, fill: Fill, pen_width: float, progress: Progress, tone: Tone) -> list[Floats]:
    """Returns the rings of the full fill, each where the tone exceeds its threshold. Polylines (n, 2), mm."""
    spacing = spacing_of(fill, pen_width)
    rings: list[Points] = []
    levels: list[int] = []
    inner = further_in(region, spacing)
    whole = max(region.area, 1e-300)
    while not inner.is_empty:
        progress(1 - inner.area / whole)
        found = rings_of(inner)
        levels.extend([levels[-1] + 1 if levels else 0] * len(found))
        rings.extend(found)
        inner = further_in(inner, spacing)
    return _drawn(rings, np.array(levels, dtype=np.int64), spacing, pen_width, tone)


def _layer(region: BaseGeometry, spacing: float, angle: float, pen_width: float, tone: Tone) -> list[Floats]:
    lines, _ = hatch_lines(np.array([region]), spacing, angle)
    return _drawn(list(lines), rows_of(lines, spacing, angle), spacing, pen_width, tone)


def _drawn(lines: list[Points], row: Integers, spacing: float, pen_width: float, tone: Tone) -> list[Floats]:
    """Returns the parts of lines along which the tone exceeds the threshold of their row."""
    if not lines:
        return []
    packed = Strokes.pack(lines, 0)
    finer = shapely.segmentize(line_strings(packed.points, packed.stroke_of_point), SAMPLES * spacing)
    points, owner = shapely.get_coordinates(finer, return_index=True)
    offsets = np.append(np.searchsorted(owner, np.arange(len(lines))), len(points)).astype(np.int64)
    dense = Strokes(points, offsets, packed.pen, packed.source, packed.is_fill)
    parts = where_positive(dense, tone(points) - threshold_of(row)[owner])
    return list(parts.take(np.flatnonzero(parts.lengths() > SHORTEST * pen_width)))


TONED: dict[str, TonedFill] = {
    "none": lambda region, fill, pen_width, progress, tone: [],
    "quickest": toned_hatch,
    "hatch": toned_hatch,
    "cross-hatch": toned_cross_hatch,
    "zigzag": toned_hatch,
    "contour": toned_contour,
    "spiral": toned_contour,
    "stipple": stipple,
}
"""Toned fills, with the same names as the flat fills; a zigzag's joints would cross what should stay pale."""
