"""Strokes cut along their length: what is left of their segments, put together again."""

from __future__ import annotations

import numpy as np

from app.strokes.strokes import Strokes


def from_pieces(strokes: Strokes, segment: np.ndarray, low: np.ndarray, high: np.ndarray) -> Strokes:
    """Strokes made of pieces of the segments of others. segment (m,): index of the point a segment begins at, rising;
    low, high (m,): shares of it between which it stays. Pieces that meet at a point of their stroke go on as one."""
    own = strokes.stroke_of_point
    start, step = strokes.points[segment], strokes.points[segment + 1] - strokes.points[segment]
    a, b = start + low[:, None] * step, start + high[:, None] * step
    b[high == 1] = strokes.points[segment[high == 1] + 1]  # to the bit
    begins = np.ones(len(segment), dtype=bool)
    begins[1:] = (
        (segment[1:] != segment[:-1] + 1)
        | (own[segment[1:]] != own[segment[:-1]])
        | (low[1:] > 0)
        | (high[:-1] < 1)
    )
    # Each piece gives its end; the first of a run its start too.
    place = np.arange(len(segment)) + np.cumsum(begins)
    points = np.empty((len(segment) + int(begins.sum()), 2))
    points[place] = b
    points[place[begins] - 1] = a[begins]
    offsets = np.append(place[begins] - 1, len(points)).astype(np.int64)
    stroke = own[segment[begins]]
    return Strokes(points, offsets, strokes.pen[stroke], strokes.source[stroke], strokes.is_fill[stroke])


def where_positive(strokes: Strokes, excess: np.ndarray) -> Strokes:
    """The parts along which a quantity, given at each point (n,) and linear in between, is not negative."""
    own = strokes.stroke_of_point
    first = np.flatnonzero(own[1:] == own[:-1])
    a, b = excess[first], excess[first + 1]
    with np.errstate(divide="ignore", invalid="ignore"):
        zero = a / (a - b)
    low = np.where(a >= 0, 0.0, np.where(b >= 0, zero, 1.0))
    high = np.where(b >= 0, 1.0, np.where(a >= 0, zero, 0.0))
    kept = high > low
    return from_pieces(strokes, first[kept], low[kept], high[kept])
