"""How finely and how wide lines are painted, so that a fill is as dark as its ink and a line alone can be seen."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from wallwright.document.arrays import Flags, Floats
from wallwright.window.ink.cells import Lines

AXIS_PX = 1.0
"""Up to this width Qt measures a line's width along an axis, so that a slanting one comes out thinner by the cosine."""
CELL_PX, CLOSE = 16, 0.35
"""Lines are close together in squares of so many pixels where they would cover more than such a share."""
_WIDTHS = 4
"""Steps from a line's true width to that at which it is seen best."""


class Sampling(NamedTuple):
    """How lines are painted."""

    times: int
    """So many times finer than the tile; then they are averaged."""
    soft: bool
    """Whether edges are antialiased."""
    width: float
    """px."""


Sampled = list[tuple[Lines, Sampling]]
"""Lines (4, n), px, by how they are painted."""


def samplings(lines: Lines, true: float, shown: float, height: int, is_exact: bool) -> list[tuple[Flags, Sampling]]:
    """Which (n,) of all lines (4, n) of a pen in a box, px, are painted how; those that are close together come first.

    true: width of the ink, px; shown: width of a line alone, px, which may be more. Lines that would cover too much at that
    width are painted narrower, down to the true one. height: px of the box; is_exact: False paints all alike."""
    count = lines.shape[1]
    if not is_exact:
        return [(np.ones(count, dtype=np.bool_), Sampling(1, True, shown))]
    density, is_close = _density(lines, true, height)
    # A fill's ink is exact with hard edges (within 0.5 % from 0.45 px) in a fifth of the time that soft ones take. A line
    # alone would show steps.
    found = [(is_close, Sampling(4, False, true))]
    if shown <= 1.01 * true:
        return [*found, (~is_close, _apart(true))]
    step = np.log(shown / true) / _WIDTHS
    width = np.clip(CLOSE / np.maximum(density, 1e-9), true, shown)
    classes = np.round(np.log(width / true) / step).astype(np.int64)
    for k in np.unique(classes[~is_close]).tolist():
        found.append((~is_close & (classes == k), _apart(float(true * np.exp(step * k)))))
    return found


def _apart(width: float) -> Sampling:
    """Of lines that are apart from each other. Some widths can be corrected for their slope only at twice the size."""
    return Sampling(2 if AXIS_PX * np.sqrt(0.5) < width <= AXIS_PX else 1, True, width)


def _density(lines: Lines, width: float, height: int) -> tuple[Floats, npt.NDArray[np.bool_]]:
    """(n,) px of line in a square pixel around each of all lines (4, n) of a pen in a box; (n,) whether half of it lies in
    squares where ink of a width, px, covers much. height: px of the box."""
    starts, ways = lines[:2].T, (lines[2:] - lines[:2]).T
    length = np.hypot(*ways.T)
    count = np.maximum(np.ceil(length / CELL_PX).astype(np.int64), 1)
    line = np.repeat(np.arange(len(count)), count)
    along = (np.arange(len(line)) - np.repeat(np.cumsum(count) - count, count) + 0.5) / count[line]
    cells = np.floor((starts[line] + ways[line] * along[:, None]) / CELL_PX).astype(np.int64) + 1
    cell = cells[:, 0] * (height // CELL_PX + 3) + cells[:, 1]
    within = np.bincount(cell, weights=(length / count)[line])[cell] / CELL_PX**2
    density: Floats = np.bincount(line, weights=within, minlength=len(count)) / count
    close = np.bincount(line, weights=within * width > CLOSE, minlength=len(count))
    is_close: npt.NDArray[np.bool_] = 2 * close > count
    return density, is_close
