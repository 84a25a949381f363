"""Dashes along a line (SVG 2, 13.5.6)."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from wallwright.document.arrays import Points


def dashed(line: Points, closed: bool, pattern: Sequence[float], offset: float, least: float = 0.0) -> list[Points]:
    """The dashes of one subpath, (n, 2). pattern: lengths of dash and gap in turn, an even number, their sum above 0.

    Dashes of no length become level ones as long as `least`, whose caps show; 0 leaves them out. On a closed line the
    dash that reaches the end and the one that sets out from the beginning are one, with a join between them.
    """
    total = sum(pattern)
    points = np.concatenate([line, line[:1]]) if closed else line
    at = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    far = at[-1]
    if far == 0:
        return []
    edges = np.cumsum([0.0, *pattern])[:-1]
    start = offset % total
    rounds = np.arange(int((far + start) / total) + 1) * total - start
    starts = (rounds[:, None] + edges[None, 0::2]).ravel()
    lengths = np.tile(pattern[0::2], len(rounds))
    keep = (starts + lengths >= 0) & (starts <= far) & ((lengths > 0) | (least > 0))
    first, last = np.maximum(starts[keep], 0), np.minimum((starts + lengths)[keep], far)
    x, y = (np.interp(np.column_stack([first, last]), at, points[:, i]) for i in (0, 1))
    before, after = np.searchsorted(at, first, side="right"), np.searchsorted(at, last, side="left")
    ends = np.stack([x, y], axis=2)
    dashes = []
    for i, is_dot in enumerate((lengths[keep] == 0).tolist()):
        if is_dot:
            dashes.append(ends[i] + np.array([[-least / 2, 0], [least / 2, 0]]))
        elif last[i] > first[i]:
            dashes.append(np.concatenate([ends[i, :1], points[before[i] : after[i]], ends[i, 1:]]))
    if closed and len(dashes) > 1 and first[0] == 0 and last[-1] == far and first[-1] < far:
        dashes[0] = np.concatenate([dashes.pop(), dashes[0][1:]])
    return dashes
