"""Clipping of segments to a box (Liang and Barsky, "A new concept and method for line clipping", 1984)."""

from __future__ import annotations

from typing import TypeVar

import numpy as np
import numpy.typing as npt

AnyFloat = TypeVar("AnyFloat", bound=np.floating)


def clip(
    lines: npt.NDArray[AnyFloat], low: tuple[float, float], high: tuple[float, float]
) -> tuple[npt.NDArray[AnyFloat], npt.NDArray[np.int64]]:
    """Clips lines (4, n), rows x1 y1 x2 y2, to the box from corner low to corner high.

    Returns the (4, m) parts inside and the (m,) ascending indices of their lines. Lines wholly inside are unchanged.
    """
    x1, y1, x2, y2 = lines
    near = np.flatnonzero(
        (np.maximum(x1, x2) >= low[0])
        & (np.minimum(x1, x2) <= high[0])
        & (np.maximum(y1, y2) >= low[1])
        & (np.minimum(y1, y2) <= high[1])
    )
    lines = lines.take(near, axis=1)
    x1, y1, x2, y2 = lines
    crossing = np.flatnonzero(
        (np.minimum(x1, x2) < low[0])
        | (np.maximum(x1, x2) > high[0])
        | (np.minimum(y1, y2) < low[1])
        | (np.maximum(y1, y2) > high[1])
    )
    if len(crossing) == 0:
        return lines, near
    cut, inside = _cut(lines.take(crossing, axis=1).astype(np.float64), low, high)
    lines[:, crossing] = cut
    if inside.all():
        return lines, near
    keep = np.ones(len(near), dtype=bool)
    keep[crossing[~inside]] = False
    return lines.compress(keep, axis=1), near[keep]


def _cut(
    lines: npt.NDArray[np.float64], low: tuple[float, float], high: tuple[float, float]
) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.bool_]]:
    """Returns parts (4, n) inside the box, and (n,) whether there is any."""
    start, step = lines[:2], lines[2:] - lines[:2]
    enter, leave = np.zeros(lines.shape[1]), np.ones(lines.shape[1])
    for axis in (0, 1):
        moves = step[axis] != 0  # a line parallel to these sides is already known to be between them
        with np.errstate(divide="ignore", invalid="ignore"):
            at_low, at_high = (low[axis] - start[axis]) / step[axis], (high[axis] - start[axis]) / step[axis]
        np.maximum(enter, np.minimum(at_low, at_high), out=enter, where=moves)
        np.minimum(leave, np.maximum(at_low, at_high), out=leave, where=moves)
    return np.concatenate([start + step * enter, start + step * leave]), enter <= leave
