"""Removes crowded lines, whose ink would lie on that of others: shading with hairlines less than half a pen width apart,
or an outline drawn two or three times slightly offset. Each place gets its ink once."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from wallwright.document.arrays import Flags, Floats, Integers, Points
from wallwright.document.compiled import compiled
from wallwright.strokes.stroke_pieces import between
from wallwright.strokes.strokes import Strokes

STEP = 1.0
"""Length of the pieces that are compared by their midpoints, in pen widths."""
REACH = 0.49
"""Distance, in pen widths, within which most of a line's ink lies on that of another. Less than the half pen width by
which a region's edge stroke is inside its outline."""
PARALLEL = 0.9
"""Smallest cosine between the directions of two lines that run side by side and do not cross."""
LEAST_AT_END, LEAST_BETWEEN = 2, 30
"""Number of covered pieces at an end of a stroke, and between two other parts of it, from which they are left out: a gap
costs a lift, and two lines that cross at a flat angle are drawn through."""
OWN_BEND = 3
"""Number of pieces along a stroke that count as the stroke's own bend."""
LARGEST_SHIFT = 0.75
"""Largest offset along the direction, in steps, between the midpoints of two pieces side by side."""

Whole = npt.NDArray[np.int64]


def without_crowded(strokes: Strokes, widths: Floats) -> Strokes:
    """Returns the strokes without long pieces of edges and lines that run within REACH of earlier ones of the same pen
    that are drawn. Fills are unchanged. widths: (p,) mm of the pens."""
    parts = []
    for pen in np.unique(strokes.pen):
        lines = np.flatnonzero((strokes.pen == pen) & ~strokes.is_fill)
        if len(lines):
            parts.append(_kept(strokes.take(lines), lines, float(widths[pen])))
    if all(part is None for part in parts):
        return strokes
    return _replaced(strokes, [part for part in parts if part is not None])


def _kept(lines: Strokes, number: Integers, width: float) -> tuple[Strokes, Integers, Integers] | None:
    """Process lines of one pen: return what is left of those that lose something, the number of each, and the numbers of
    all that lose something; None if none does. number: (k,) of the lines."""
    step = STEP * width
    own, place, share, points, heading = _pieces(lines, step)
    first = np.searchsorted(own, np.arange(len(lines) + 1))
    kept = _keep(points, heading, first, step, REACH * width)
    cut = np.unique(own[~kept])
    if not len(cut):
        return None
    # A remainder begins at a kept piece without a kept one before it on the same stroke; ends likewise.
    begins = np.flatnonzero(kept & ~np.append(False, kept[:-1] & (own[1:] == own[:-1])))
    ends = np.flatnonzero(kept & ~np.append(kept[1:] & (own[1:] == own[:-1]), False))
    is_cut = np.isin(own[begins], cut, assume_unique=False)
    begins, ends = begins[is_cut], ends[is_cut]
    left = between(lines, own[begins], place[begins], share[ends])
    return left, number[own[begins]], number[cut]


def _pieces(lines: Strokes, step: float) -> tuple[Integers, Floats, Floats, Floats, Floats]:
    """Returns pieces of about a step, mm: (m,) stroke of each; (m,) start and (m,) end as point number plus share of the
    leg after it; (m, 2) midpoints, mm; and (m, 2) directions there."""
    long = lines.lengths()
    count = np.maximum(np.round(long / step), 1).astype(np.int64)
    own = np.repeat(np.arange(len(lines)), count)
    within = np.arange(len(own)) - np.repeat(np.cumsum(count) - count, count)
    legs = np.zeros(len(lines.points))
    legs[1:] = np.hypot(*np.diff(lines.points, axis=0).T)
    legs[lines.offsets[:-1]] = 0.0
    along = np.cumsum(legs)  # of each point, all strokes concatenated
    start = along[lines.offsets[:-1]]
    last = lines.offsets[1:][own] - 2

    def place(pieces: Floats | Integers) -> tuple[Integers, Floats]:
        at = start[own] + pieces / count[own] * long[own]
        leg = np.clip(np.searchsorted(along, at, side="right") - 1, lines.offsets[:-1][own], last)
        size = along[leg + 1] - along[leg]
        return leg, np.clip((at - along[leg]) / np.where(size > 0, size, 1.0), 0.0, 1.0)

    begin, end = (leg + share for leg, share in (place(within.astype(np.float64)), place(within + np.float64(1.0))))
    leg, share = place(within + np.float64(0.5))
    way = lines.points[leg + 1] - lines.points[leg]
    size = np.hypot(*way.T)[:, None]
    return own, begin, end, lines.points[leg] + share[:, None] * way, way / np.where(size > 0, size, 1.0)


def _replaced(strokes: Strokes, parts: list[tuple[Strokes, Integers, Integers]]) -> Strokes:
    """Returns the strokes with each changed one replaced in place by its remainder."""
    lost = np.concatenate([cut for _, _, cut in parts])
    left = Strokes.join([part for part, _, _ in parts])
    others = np.setdiff1d(np.arange(len(strokes)), lost)
    number = np.concatenate([others, *(of for _, of, _ in parts)])
    together = Strokes.join([strokes.take(others), left])
    return together.take(np.argsort(number, kind="stable"))


@compiled
def _keep(points: Points, heading: Floats, first: Integers, step: float, reach: float) -> Flags:
    """Returns (m,) bool: pieces to draw. points, heading: (m, 2); first: (k + 1,) the first piece of each stroke."""
    m = len(points)
    keep = np.ones(m, dtype=np.bool_)
    cell = LARGEST_SHIFT * step + reach
    size = 1
    while size < 2 * m:
        size *= 2
    heads = np.full(size, -1, dtype=np.int64)
    following = np.full(m, -1, dtype=np.int64)
    for k in range(len(first) - 1):
        a, b = first[k], first[k + 1]
        if b - a < LEAST_AT_END:
            for i in range(a, b):
                _enter(points, i, cell, heads, following)
            continue
        run = entered = a
        covered = False
        for i in range(a, b + 1):
            was, covered = (
                covered,
                i < b and _is_covered(points, heading, i, a, step, reach, cell, heads, following),
            )
            if covered and not was:
                run = i
            if was and not covered:
                is_at_end = run == a or i == b
                keep[run:i] = i - run < (LEAST_AT_END if is_at_end else LEAST_BETWEEN)
            while not covered and entered < min(i + 1, b):
                if keep[entered]:
                    _enter(points, entered, cell, heads, following)
                entered += 1
        is_whole = True
        for i in range(a, b):  # a single piece between omitted ones is a lift for almost no ink
            is_whole &= keep[i] and (i == a or keep[i - 1])
        if is_whole:
            continue
        # Pieces omitted now were already entered: later lines must not rely on them.
        for i in range(b - 1, a - 1, -1):
            if keep[i]:
                heads[_slot_of(points, i, cell, len(heads))] = following[i]
        was_kept = keep[a:b].copy()
        for i in range(a, b):
            alone = (i == a or not was_kept[i - 1 - a]) and (i == b - 1 or not was_kept[i + 1 - a])
            keep[i] = was_kept[i - a] and not alone
            if keep[i]:
                _enter(points, i, cell, heads, following)
        # If a piece that covers others of the same stroke was omitted too, the others are drawn after all.
        for i in range(a, b):
            if was_kept[i - a] or _is_covered(points, heading, i, a, step, reach, cell, heads, following):
                continue
            keep[i] = True
            _enter(points, i, cell, heads, following)
    return keep


@compiled
def _slot(column: int, row: int, size: int) -> int:
    return ((column * 73856093) ^ (row * 19349663)) & (size - 1)


@compiled
def _slot_of(points: Points, i: int, cell: float, size: int) -> int:
    return _slot(int(np.floor(points[i, 0] / cell)), int(np.floor(points[i, 1] / cell)), size)


@compiled
def _enter(points: Points, i: int, cell: float, heads: Integers, following: Integers) -> None:
    slot = _slot_of(points, i, cell, len(heads))
    following[i] = heads[slot]
    heads[slot] = i


@compiled
def _is_covered(
    points: Points,
    heading: Floats,
    i: int,
    begin: int,
    step: float,
    reach: float,
    cell: float,
    heads: Integers,
    following: Integers,
) -> bool:
    """Returns whether piece i, of a stroke whose first piece is begin, runs beside one that is drawn."""
    x, y = points[i, 0], points[i, 1]
    column, row = int(np.floor(x / cell)), int(np.floor(y / cell))
    for c in range(column - 1, column + 2):
        for r in range(row - 1, row + 2):
            j = heads[_slot(c, r, len(heads))]
            while j >= 0:
                ux, uy = heading[j, 0], heading[j, 1]
                cos = heading[i, 0] * ux + heading[i, 1] * uy
                dx, dy = x - points[j, 0], y - points[j, 1]
                if (
                    abs(cos) > PARALLEL
                    and abs(dx * uy - dy * ux) <= reach
                    and abs(dx * ux + dy * uy) <= LARGEST_SHIFT * step
                    and not (j >= begin and abs(i - j) <= OWN_BEND and cos > 0)
                ):
                    return True
                j = following[j]
    return False
