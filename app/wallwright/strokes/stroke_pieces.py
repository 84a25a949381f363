"""Strokes assembled from pieces of the segments of others."""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Floats, Integers
from wallwright.strokes.strokes import Strokes


def from_pieces(strokes: Strokes, segment: Integers, low: Floats, high: Floats) -> Strokes:
    """Returns strokes made of pieces of the segments of others. segment (m,): index of the point a segment begins at,
    ascending; low, high (m,): shares of it that are kept. Pieces that meet at a point of their stroke are joined."""
    own = strokes.stroke_of_point
    start, step = strokes.points[segment], strokes.points[segment + 1] - strokes.points[segment]
    a, b = start + low[:, None] * step, start + high[:, None] * step
    b[high == 1] = strokes.points[segment[high == 1] + 1]  # exactly
    begins = np.ones(len(segment), dtype=bool)
    begins[1:] = (
        (segment[1:] != segment[:-1] + 1) | (own[segment[1:]] != own[segment[:-1]]) | (low[1:] > 0) | (high[:-1] < 1)
    )
    # Each piece contributes its end; the first of a run its start too.
    place = np.arange(len(segment)) + np.cumsum(begins)
    points = np.empty((len(segment) + int(begins.sum()), 2))
    points[place] = b
    points[place[begins] - 1] = a[begins]
    offsets = np.append(place[begins] - 1, len(points)).astype(np.int64)
    stroke = own[segment[begins]]
    return Strokes(points, offsets, strokes.pen[stroke], strokes.source[stroke], strokes.is_fill[stroke])


def where_positive(strokes: Strokes, excess: Floats) -> Strokes:
    """Returns the parts along which a quantity, given at each point (n,) and linear in between, is not negative.

    The quantity may have any unit; points are in mm.
    """
    own = strokes.stroke_of_point
    first = np.flatnonzero(own[1:] == own[:-1])
    a, b = excess[first], excess[first + 1]
    with np.errstate(divide="ignore", invalid="ignore"):
        zero = a / (a - b)
    low = np.where(a >= 0, 0.0, np.where(b >= 0, zero, 1.0))
    high = np.where(b >= 0, 1.0, np.where(a >= 0, zero, 0.0))
    kept = high > low
    return from_pieces(strokes, first[kept], low[kept], high[kept])


def between(strokes: Strokes, stroke: Integers, start: Floats, end: Floats) -> Strokes:
    """Returns parts of strokes. stroke (p,); start < end (p,): positions along it, a point index plus the share of the
    leg after it. For a closed stroke the end may lie beyond its last point: the part continues from its first."""
    first = strokes.offsets[:-1][stroke]
    ring = np.maximum(np.diff(strokes.offsets)[stroke] - 1, 1)
    low = np.floor(start).astype(np.int64) + 1
    count = np.maximum(np.ceil(end).astype(np.int64) - low, 0)
    offsets = np.concatenate([[0], np.cumsum(count + 2)]).astype(np.int64)
    points = np.empty((offsets[-1], 2))
    within = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count)
    passed = np.repeat(low - first, count) + within
    passed = np.where(passed > np.repeat(ring, count), passed - np.repeat(ring, count), passed)
    points[np.repeat(offsets[:-1] + 1, count) + within] = strokes.points[np.repeat(first, count) + passed]
    for place, at in ((start, offsets[:-1]), (end, offsets[1:] - 1)):
        place = np.where(place - first > ring, place - ring, place)
        leg = np.minimum(np.floor(place).astype(np.int64), first + ring - 1)
        share = (place - leg)[:, None]
        a, b = strokes.points[leg], strokes.points[np.minimum(leg + 1, len(strokes.points) - 1)]
        points[at] = np.where(share == 0, a, np.where(share == 1, b, a + share * (b - a)))
    return Strokes(points, offsets, strokes.pen[stroke], strokes.source[stroke], strokes.is_fill[stroke])
