"""Curves to polylines, many at once."""

from __future__ import annotations

import numpy as np

from wallwright.artwork.svg.numbers import LARGEST, TooLarge
from wallwright.artwork.svg.path_data import Track
from wallwright.artwork.svg.straight_paths import Subpath
from wallwright.document.arrays import Flags, Floats, Integers
from wallwright.document.language import tr

MOST_CHORDS = 10_000


def chords(tracks: list[Track], tolerance: float) -> list[Subpath]:
    """Tracks as polylines within tolerance of their curves. Raises TooLarge for coordinates beyond any drawing."""
    if not tracks:
        return []
    cubics = np.concatenate([t.cubics for t in tracks]) if len(tracks) > 1 else tracks[0].cubics
    straight = np.concatenate([t.straight for t in tracks]) if len(tracks) > 1 else tracks[0].straight
    lengths = np.array([len(t.cubics) for t in tracks])
    return polylines(cubics, straight, lengths, [t.closed for t in tracks], tolerance)


def polylines(
    cubics: Floats, straight: Flags, lengths: Integers, closed: list[bool], tolerance: float
) -> list[Subpath]:
    """Subpaths of (k, 4, 2) cubics one after the other, `lengths` of them each; straight: (k,) which are lines.

    Number of equal steps in the parameter by the bound on the second difference (Wang 1984): sqrt(6 M / (8 tol)).
    Points that repeat the one before are left out. Raises TooLarge for coordinates beyond any drawing.
    In user units; lengths: (s,) numbers of cubics.
    """
    if not (cubics.max() < LARGEST and cubics.min() > -LARGEST):  # NaN too
        raise TooLarge(tr("has invalid coordinates"))
    a, b, c, d = (cubics[:, i] for i in range(4))
    square, slope = 3 * (c - 2 * b + a), 3 * (b - a)
    cube = d - a - slope - square
    second = np.maximum(np.abs(square), np.abs(square + 3 * cube)) / 3
    count = np.ceil(np.sqrt(0.75 / tolerance * np.hypot(second[:, 0], second[:, 1])))
    count[straight] = 1
    count = np.clip(count, 1, MOST_CHORDS).astype(np.intp)
    # Each subpath begins with its start, as a step of its own that stays at the parameter 0.
    segments = np.cumsum(lengths)
    first = np.concatenate([[0], segments[:-1]])
    steps = count.copy()
    steps[first] += 1
    ends = np.cumsum(steps)
    step = np.arange(1, ends[-1] + 1) - np.repeat(ends - count, steps)
    t = (step / np.repeat(count, steps))[:, None]
    points = np.repeat(cube, steps, axis=0)
    for term in (square, slope, a):
        points *= t
        points += np.repeat(term, steps, axis=0)
    points[ends - 1] = d
    stops = ends[segments - 1]
    starts = np.concatenate([[0], stops[:-1]])
    keep = np.ones(len(points), dtype=bool)
    keep[1:] = (points[1:, 0] != points[:-1, 0]) | (points[1:, 1] != points[:-1, 1])
    keep[starts] = True
    if not keep.all():
        kept = np.cumsum(keep)
        points, stops = points[keep], kept[stops - 1]
        starts = np.concatenate([[0], stops[:-1]])
    handover = np.array(closed) & (points[starts] == points[stops - 1]).all(axis=1) & (stops - starts > 1)
    return [
        (points[i:j], is_closed)
        for i, j, is_closed in zip(starts.tolist(), (stops - handover).tolist(), closed, strict=True)
    ]
