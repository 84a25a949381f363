"""Windows on a long tour: a few strokes near each other are searched as a small tour of their own.

Runs of strokes outside the window act as single strokes in it, drawn in either direction. So a window allows every way of
joining its strokes, yet reversing half the ring moves a few hundred ends in the fastest memory, where in the whole ring it
would move a hundred thousand.
"""

from __future__ import annotations

import numpy as np

from wallwright.document.arrays import Flags, Floats, Integers
from wallwright.document.compiled import compiled


def windows(middles: Floats, size: int, shifted: bool) -> list[Integers]:
    """Returns index arrays of strokes near each other, about size each, which together are all. middles (k, 2) mm.

    Columns of equally many strokes are cut into rows of equally many; shifted windows have their borders in the middle of
    the unshifted ones.
    """
    k = len(middles)
    if k <= 1.5 * size:
        return [np.arange(k)]
    extent = np.ptp(middles, axis=0)
    count = k / size
    ratio = min(max((extent[0] + 1e-9) / (extent[1] + 1e-9), 1 / count), count)
    columns = _cut(np.lexsort((middles[:, 1], middles[:, 0])), max(1, round(np.sqrt(count * ratio))), shifted)
    result = []
    for number, column in enumerate(columns):
        column = column[np.lexsort((middles[column, 0], middles[column, 1]))]
        rows = _cut(column, max(1, round(len(column) / size)), shifted)
        result.extend(rows if number % 2 == 0 else rows[::-1])
    return result


def _cut(order: Integers, parts: int, shifted: bool) -> list[Integers]:
    edges = np.arange(1, parts) / parts
    if shifted:
        edges = (np.arange(parts) + 0.5) / parts
    return [p for p in np.split(order, np.round(edges * len(order)).astype(np.int64)) if len(p)]


@compiled
def heads_of(ring: Integers, inside: Flags) -> Integers:
    """Returns the places (in strokes) at which the window's strokes and the runs between them begin. ring: all ends, the
    pseudo-stroke last; inside (k,) bool. The pseudo-stroke is alone, last."""
    k = len(ring) // 2
    heads = np.empty(k, np.int64)
    count = 0
    before = True
    for i in range(k):
        mine = i == k - 1 or inside[ring[2 * i] // 2]
        if i == 0 or mine or before:
            heads[count] = i
            count += 1
        before = mine
    return heads[:count]


@compiled
def put_back(ring: Integers, heads: Integers, tour: Integers) -> Integers:
    """Returns the ring with its runs in the order and directions of the small tour, the pseudo-stroke last.

    ring: (2 k,) all ends; heads: (h,) indices of the strokes at which the runs begin; tour: (m,) ends of the runs.
    """
    m = len(tour)
    k = len(ring) // 2
    new = np.empty_like(ring)
    at = 0
    finish = 0
    while tour[finish] != m - 2:
        finish += 1
    # From the start's end onwards, the way in which the finish is entered.
    step = 1 if finish % 2 == 0 else -1
    place = finish + 2 * step
    for _ in range(m // 2):
        entry = tour[place % m]
        run = entry // 2
        first = heads[run]
        last = heads[run + 1] if run + 1 < len(heads) else k
        if entry % 2 == 0:
            for i in range(2 * first, 2 * last):
                new[at] = ring[i]
                at += 1
        else:
            for i in range(2 * last - 1, 2 * first - 1, -1):
                new[at] = ring[i]
                at += 1
        place += 2 * step
    return new
