"""Tidies strokes: removes what is already drawn, joins ends that meet, and removes redundant points."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence

import numpy as np
import shapely
from scipy.spatial import cKDTree

from wallwright.document.arrays import Flags, Floats, Integers
from wallwright.document.columns import row_all
from wallwright.document.parallel import in_parts
from wallwright.strokes.crowded_lines import without_crowded
from wallwright.strokes.degenerate import without_degenerate
from wallwright.strokes.double_ink import OverlapIndex
from wallwright.strokes.line_geometries import line_strings
from wallwright.strokes.strokes import Strokes

LEAST_RING = 4.0
"""Shortest stroke, in gaps, that is closed if its ends are within a gap; a shorter one is a dot or a hook."""
AT_ONCE = 100_000
"""Number of points simplified between two checks for cancel."""


def tidy(
    strokes: Strokes,
    join_gap: float,
    tolerance: float,
    widths: Floats,
    progress: Callable[[float], None] = lambda done: None,
    is_toned: bool = False,
) -> Strokes:
    """Returns the strokes simplified within tolerance (Douglas and Peucker 1973: the Hausdorff distance stays below it),
    without zero-length strokes, pieces already drawn and pieces crowded beside others; strokes of the same pen and kind
    whose ends are within join_gap are joined, those of one source first; finally degenerate legs are removed. mm.
    widths: (p,) of the pens. is_toned: True if lines are crowded to make a tone, so that all stay."""
    strokes = simplify_all(strokes, tolerance, lambda done: progress(0.2 * done))
    return tidy_parts(
        [strokes],
        OverlapIndex(),
        join_gap,
        tolerance,
        widths,
        lambda done: progress(0.2 + 0.8 * done),
        is_toned=is_toned,
    )


def tidy_parts(
    parts: Sequence[Strokes],
    laps: OverlapIndex,
    join_gap: float,
    tolerance: float,
    widths: Floats,
    progress: Callable[[float], None] = lambda done: None,
    see_through: Flags | None = None,
    is_toned: bool = False,
) -> Strokes:
    """Tidy strokes that are already simplified and come in parts. laps: cache of overlaps from earlier calls.
    see_through: (p,) bool, parts whose fills may lie on those of others; None: no part."""
    strokes = laps.without(parts, tolerance, lambda done: progress(0.7 * done), see_through)
    progress(0.7)
    strokes = strokes if is_toned else without_crowded(strokes, widths)
    progress(0.75)
    strokes = merge_ends(strokes, join_gap)
    progress(0.85)
    strokes = merge_ends(strokes, join_gap, across_sources=True)
    progress(0.98)
    return without_degenerate(close_rings(strokes, join_gap), widths, tolerance)


def simplify_all(strokes: Strokes, tolerance: float, progress: Callable[[float], None]) -> Strokes:
    """Simplifies strokes like simplify, on all cores."""
    cuts = np.searchsorted(strokes.offsets, np.arange(AT_ONCE, strokes.offsets[-1], AT_ONCE))
    parts = [strokes.between(a, b) for a, b in itertools.pairwise([0, *np.unique(cuts).tolist(), len(strokes)])]
    return Strokes.join(in_parts(lambda part: simplify(part, tolerance), parts, progress))


def simplify(strokes: Strokes, tolerance: float) -> Strokes:
    if len(strokes) == 0:
        return strokes
    counts = np.diff(strokes.offsets)
    strokes = strokes.take(np.flatnonzero((counts >= 2) & (strokes.lengths() > 0)))
    if len(strokes) == 0:
        return strokes
    index = strokes.stroke_of_point
    with np.errstate(invalid="ignore"):  # GEOS divides by lengths that underflow to zero
        lines = shapely.simplify(line_strings(strokes.points, index), tolerance, preserve_topology=False)
    # A closed stroke within the tolerance of its own start would shrink to one point: it keeps its points.
    gone = shapely.is_empty(lines) | (shapely.length(lines) == 0)
    if gone.any():
        lines[gone] = line_strings(strokes.points, index)[gone]
    points, owner = shapely.get_coordinates(lines, return_index=True)
    offsets = np.concatenate([[0], np.cumsum(np.bincount(owner, minlength=len(strokes)))]).astype(np.int64)
    return Strokes(points, offsets, strokes.pen, strokes.source, strokes.is_fill)


def merge_ends(strokes: Strokes, gap: float, across_sources: bool = False) -> Strokes:
    """Chain strokes end to end: each end is joined to the nearest free end within gap of the same pen and kind, and of
    the same source unless across_sources; a joined stroke gets the source of its first piece."""
    k = len(strokes)
    if k < 2:
        return strokes

    closed = row_all(strokes.starts == strokes.ends)
    ends = np.concatenate([strokes.starts, strokes.ends])
    # Ends of different kinds never join: a third coordinate keeps them apart.
    source = np.zeros_like(strokes.source) if across_sources else strokes.source
    kinds = np.stack([strokes.pen, source, strokes.is_fill.astype(np.int32)], axis=1)
    _, kind = np.unique(kinds, axis=0, return_inverse=True)
    apart = np.tile(kind.ravel() * (4.0 * gap + 4.0), 2)
    free = np.flatnonzero(~np.tile(closed, 2))
    if len(free) < 2:
        return strokes
    tree = cKDTree(np.column_stack([ends, apart])[free])
    pairs = tree.query_pairs(gap, output_type="ndarray")
    if not len(pairs):
        return strokes
    pairs = free[pairs]
    pairs = pairs[pairs[:, 0] % k != pairs[:, 1] % k]
    distance = np.hypot(*(ends[pairs[:, 0]] - ends[pairs[:, 1]]).T)
    order = np.lexsort((pairs[:, 1], pairs[:, 0], distance))
    partner = np.full(2 * k, -1)
    root = np.arange(k)

    def find(i: int) -> int:
        while root[i] != i:
            root[i] = root[root[i]]
            i = root[i]
        return i

    for a, b in pairs[order].tolist():
        if partner[a] < 0 and partner[b] < 0:
            ra, rb = find(a % k), find(b % k)
            if ra != rb:  # the two ends of one chain would close a ring: see close_rings
                root[ra] = rb
                partner[a], partner[b] = b, a
    return _chained(strokes, partner)


def close_rings(strokes: Strokes, gap: float) -> Strokes:
    """Closes open strokes whose own ends are within gap by repeating their first point: a ring may begin anywhere."""
    apart = np.hypot(*(strokes.starts - strokes.ends).T)
    close = (apart > 0) & (apart <= gap) & ~strokes.is_fill
    close[close] &= strokes.lengths()[close] > LEAST_RING * gap
    if not close.any():
        return strokes
    points = np.insert(strokes.points, strokes.offsets[1:][close], strokes.starts[close], axis=0)
    offsets = strokes.offsets + np.concatenate([[0], np.cumsum(close)])
    return Strokes(points, offsets, strokes.pen, strokes.source, strokes.is_fill)


def _chained(strokes: Strokes, partner: Integers) -> Strokes:
    """Returns the chained strokes. partner[e]: end joined to end e (start of stroke i is i, its end is k + i), or -1."""
    k = len(strokes)
    used = np.zeros(k, dtype=bool)
    order: list[int] = []
    backwards: list[bool] = []
    first: list[int] = []
    for i in range(k):
        if used[i] or (partner[i] >= 0 and partner[k + i] >= 0):
            continue
        # Enter a chain at its free end and follow it to the other.
        entry = i if partner[i] < 0 else k + i
        first.append(len(order))
        while entry >= 0:
            stroke = entry % k
            used[stroke] = True
            order.append(stroke)
            backwards.append(entry >= k)
            entry = partner[stroke if entry >= k else k + stroke]
    moved = strokes.take(np.array(order), np.array(backwards))
    heads = np.array(first)
    offsets = np.append(moved.offsets[heads], moved.offsets[-1])
    # Points repeated where two strokes meet exactly.
    same = np.zeros(len(moved.points), dtype=bool)
    same[1:] = row_all(moved.points[1:] == moved.points[:-1])
    same[offsets[:-1]] = False
    kept = np.concatenate([[0], np.cumsum(~same)])
    return Strokes(moved.points[~same], kept[offsets], moved.pen[heads], moved.source[heads], moved.is_fill[heads])
