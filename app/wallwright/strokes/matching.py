"""Matches strokes of two drawings: equal points in either direction and, for rings, from any seam, all moved by one common
vector or not at all.

A stroke's digest is a sum over its points, each mixed with its two neighbours in either order, so that it does not depend
on direction or seam. Two strokes with equal digests are then compared point by point, so that a match is never wrong.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from wallwright.document.arrays import Flags, Floats, Integers, Points
from wallwright.document.columns import row_all, row_max
from wallwright.strokes.strokes import Strokes

Digests = npt.NDArray[np.uint64]
"""(k,) digests, one per stroke or point."""
STEP = 1e-4
"""Step, mm, to which moved strokes are rounded for comparison; moving a drawing rounds its points at 1e-12 mm."""
OFFSET = np.array([0.123456789, 0.234567891]) * STEP
"""Offset before rounding: no drawing has its points halfway between two steps."""
NEAR = 1e-3
"""Largest distance between a moved point and its counterpart, mm."""
LEAST_SHARE = 0.1
"""Smallest share of the strokes with unique shapes that must agree on a movement: fewer agree by chance."""
_ODD = np.array([0x9E3779B97F4A7C15, 0xC2B2AE3D27D4EB4F, 0xD6E8FEB86659FD93], dtype=np.uint64)
"""Odd multipliers without a pattern in their bits: 2^64 over the golden ratio, and primes."""


@dataclass(frozen=True)
class Match:
    """The counterpart of each of k strokes."""

    other: Integers
    """(k,) int64: index of the counterpart, -1: none."""
    backwards: Flags
    """(k,) bool: the counterpart runs the other way."""
    first: Integers
    """(k,) int64: the point at which the counterpart begins, counted after reversal; 0 unless it is a ring."""
    way: Floats
    """(2,) mm: displacement of moved strokes from their counterparts."""


def is_ring(strokes: Strokes) -> Flags:
    """Returns (k,) bool: the stroke is closed, so that it may begin at any of its points."""
    closed: Flags = row_all(strokes.starts == strokes.ends)
    return closed & (np.diff(strokes.offsets) > 2)


def begun_at(strokes: Strokes, first: Integers) -> Strokes:
    """Returns closed strokes begun at the given point; first: (k,) int64 index, 0 for open strokes."""
    counts = np.diff(strokes.offsets)
    within = np.arange(len(strokes.points)) - np.repeat(strokes.offsets[:-1], counts)
    shift, ring = np.repeat(first, counts), np.repeat(np.maximum(counts - 1, 1), counts)
    within = np.where(shift > 0, (within + shift) % ring, within)
    index = np.repeat(strokes.offsets[:-1], counts) + within
    return Strokes(strokes.points.take(index, axis=0), strokes.offsets, strokes.pen, strokes.source, strokes.is_fill)


def match(strokes: Strokes, others: Strokes) -> Match:
    """Returns counterparts of strokes among others, each used at most once and of the same pen. Unmoved strokes are
    matched first, then those moved by one common vector."""
    k = len(strokes)
    nothing = np.zeros(2)
    found = Match(np.full(k, -1), np.zeros(k, dtype=bool), np.zeros(k, dtype=np.int64), nothing)
    if not k or not len(others):
        return found
    mine, theirs = (_digests(s, s.points) for s in (strokes, others))
    _enter(found, strokes, others, *_pairs(mine, theirs), nothing, 0.0)
    left = np.flatnonzero(found.other < 0)
    others_left = np.setdiff1d(np.arange(len(others)), found.other)
    if not len(left) or not len(others_left):
        return found
    a, b = strokes.take(left), others.take(others_left)
    (shape_a, low_a), (shape_b, low_b) = _shapes(a), _shapes(b)
    way = _common_way(shape_a, low_a, shape_b, low_b)
    if way is None:
        return found
    mine, theirs = _placed(shape_a, low_a - way), _placed(shape_b, low_b)
    i, j = _pairs(mine, theirs)
    _enter(found, strokes, others, left[i], others_left[j], way, NEAR)
    return Match(found.other, found.backwards, found.first, way)


def _shapes(strokes: Strokes) -> tuple[Digests, Floats]:
    """Returns (k,) uint64 digests of the strokes independent of position, and (k, 2) mm: the low corner of each one's
    box."""
    low = np.minimum.reduceat(strokes.points, strokes.offsets[:-1])
    within = strokes.points - np.repeat(low, np.diff(strokes.offsets), axis=0)
    return _digests(strokes, np.rint((within + OFFSET) / STEP)), low


def _placed(shape: Digests, low: Floats) -> Digests:
    return _mixed(shape ^ _of_points(np.rint((low + OFFSET) / STEP)))


def _common_way(shape_a: Digests, low_a: Floats, shape_b: Digests, low_b: Floats) -> Floats | None:
    """Returns (2,) mm: the most common displacement of strokes whose shape is unique on both sides; None if too few
    agree."""
    (one, at_a, times_a), (two, at_b, times_b) = (
        np.unique(s, return_index=True, return_counts=True) for s in (shape_a, shape_b)
    )
    _, i, j = np.intersect1d(one[times_a == 1], two[times_b == 1], return_indices=True)
    if not len(i):
        return None
    moved = low_a[at_a[times_a == 1][i]] - low_b[at_b[times_b == 1][j]]
    steps = np.rint(moved / NEAR).astype(np.int64)
    _, inverse, counts = np.unique(steps @ [1 << 32, 1], return_inverse=True, return_counts=True)
    most = int(counts.argmax())
    return np.median(moved[inverse == most], axis=0) if counts[most] >= LEAST_SHARE * len(i) else None


def _digests(strokes: Strokes, points: Points) -> Digests:
    """Returns (k,) uint64 digests of the sequence of points, (n, 2), of each stroke: the same from either end, and for a
    ring from any point."""
    n = len(points)
    own = _of_points(points)
    before, after = np.empty(n, dtype=np.uint64), np.empty(n, dtype=np.uint64)
    before[1:], after[:-1] = own[:-1], own[1:]
    first, last, ring = strokes.offsets[:-1], strokes.offsets[1:] - 1, is_ring(strokes)
    before[first], after[last] = _ODD[2], _ODD[2]
    # A ring's first point is also its last: it counts once, between its two neighbours.
    before[first[ring]] = own[last[ring] - 1]
    mixed = _mixed(own * _ODD[0] + _mixed(before) + _mixed(after))
    mixed[last[ring]] = 0
    pen = strokes.pen.astype(np.uint64) + np.uint64(1)
    return _mixed(np.add.reduceat(mixed, first) + pen * _ODD[1])


def _of_points(points: Points) -> Digests:
    bits = np.ascontiguousarray(points + 0.0).view(np.uint64)  # + 0.0 turns -0.0 into 0.0
    return _mixed(bits[:, 0] * _ODD[0] ^ _mixed(bits[:, 1] * _ODD[1]))


def _mixed(bits: Digests) -> Digests:
    """Returns the bits mixed so that each affects all others (xor-shift-multiply; Steele, Lea and Flood 2014)."""
    bits = (bits ^ (bits >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    bits = (bits ^ (bits >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    return bits ^ (bits >> np.uint64(31))


def _pairs(mine: Digests, theirs: Digests) -> tuple[Integers, Integers]:
    """Returns indices (m,) and (m,) of equal digests; equal ones are paired in order."""
    i, j = np.argsort(mine, kind="stable"), np.argsort(theirs, kind="stable")
    a, b = mine[i], theirs[j]
    place = np.searchsorted(b, a) + np.arange(len(a)) - np.searchsorted(a, a)
    good = place < len(b)
    good[good] = b[place[good]] == a[good]
    return i[good], j[place[good]]


def _enter(found: Match, strokes: Strokes, others: Strokes, i: Integers, j: Integers, way: Floats, near: float) -> None:
    """Enters the pairs (m,), (m,) whose points lie within near, mm, of each other."""
    same_size = np.diff(strokes.offsets)[i] == np.diff(others.offsets)[j]
    i, j = i[same_size], j[same_size]
    if not len(i):
        return
    left = np.arange(len(i))
    for turn in (False, True):
        a, target = strokes.take(i[left], np.full(len(left), turn)), others.take(j[left]).points + way
        begins = np.where(is_ring(a), _nearest_point(a, target[a.offsets[:-1]]), 0)
        far = row_max(np.abs(begun_at(a, begins).points - target))
        fits = np.maximum.reduceat(far, a.offsets[:-1]) <= near
        good = left[fits]
        found.other[i[good]] = j[good]
        found.backwards[i[good]], found.first[i[good]] = turn, begins[fits]
        left = left[~fits]
        if not len(left):
            return


def _nearest_point(strokes: Strokes, points: Points) -> Integers:
    """Returns (k,) the number of each stroke's point that lies nearest to that of points (k, 2)."""
    counts = np.diff(strokes.offsets)
    far = row_max(np.abs(strokes.points - np.repeat(points, counts, axis=0)))
    least = np.repeat(np.minimum.reduceat(far, strokes.offsets[:-1]), counts)
    within = np.arange(len(far)) - np.repeat(strokes.offsets[:-1], counts)
    nearest = np.where(far == least, within, len(far))
    return np.minimum.reduceat(nearest, strokes.offsets[:-1])
