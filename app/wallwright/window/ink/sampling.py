"""Supersampling and shown width of lines, so that a fill is as dark as its ink and a single line stays visible."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from wallwright.document.arrays import Flags, Floats
from wallwright.window.ink.cells import Lines

AXIS_PX = 1.0
"""Width, px, up to which Qt measures a line's width along an axis, so that an oblique line is thinner by the cosine."""
CELL_PX, DENSE_SHARE = 16, 0.35
"""Side of squares, px, in which lines count as dense, and the share of ink from which they do."""
_WIDTHS = 4
"""Number of steps from a line's true width to its widest shown width."""


class Sampling(NamedTuple):
    """Supersampling, antialiasing and width of lines."""

    times: int
    """Supersampling factor."""
    soft: bool
    """Whether edges are antialiased."""
    width: float
    """Shown width, px."""


Sampled = list[tuple[Lines, Sampling]]
"""Lines (4, n), px, with their sampling."""


def samplings(lines: Lines, true: float, shown: float, height: int, is_exact: bool) -> list[tuple[Flags, Sampling]]:
    """Returns samplings and which (n,) of a pen's lines (4, n) in a box, px, use each; the dense lines come first.

    true: width of the ink, px; shown: largest width of a single line, px, at least true. Lines that would cover too much at
    that width are narrower, down to the true width. height: of the box, px; is_exact: False uses one sampling for all."""
    count = lines.shape[1]
    if not is_exact:
        return [(np.ones(count, dtype=np.bool_), Sampling(1, True, shown))]
    density, is_dense = _density(lines, true, height)
    # Hard edges give a fill's exact ink (within 0.5 % from 0.45 px) in a fifth of the time of antialiasing. A single line
    # would show steps.
    found = [(is_dense, Sampling(4, False, true))]
    if shown <= 1.01 * true:
        return [*found, (~is_dense, _sparse_sampling(true))]
    step = np.log(shown / true) / _WIDTHS
    width = np.clip(DENSE_SHARE / np.maximum(density, 1e-9), true, shown)
    classes = np.round(np.log(width / true) / step).astype(np.int64)
    for k in np.unique(classes[~is_dense]).tolist():
        found.append((~is_dense & (classes == k), _sparse_sampling(float(true * np.exp(step * k)))))
    return found


def _sparse_sampling(width: float) -> Sampling:
    """Returns the sampling of lines that are not dense. For some widths the slope correction needs twice the size."""
    return Sampling(2 if AXIS_PX * np.sqrt(0.5) < width <= AXIS_PX else 1, True, width)


def _density(lines: Lines, width: float, height: int) -> tuple[Floats, npt.NDArray[np.bool_]]:
    """Returns (n,) length of line per area, 1/px, around each of a pen's lines (4, n) in a box, and (n,) bool: whether more
    than half of the line lies in squares with dense ink of a width, px. height: of the box, px."""
    starts, ways = lines[:2].T, (lines[2:] - lines[:2]).T
    length = np.hypot(*ways.T)
    count = np.maximum(np.ceil(length / CELL_PX).astype(np.int64), 1)
    line = np.repeat(np.arange(len(count)), count)
    along = (np.arange(len(line)) - np.repeat(np.cumsum(count) - count, count) + 0.5) / count[line]
    cells = np.floor((starts[line] + ways[line] * along[:, None]) / CELL_PX).astype(np.int64) + 1
    cell = cells[:, 0] * (height // CELL_PX + 3) + cells[:, 1]
    within = np.bincount(cell, weights=(length / count)[line])[cell] / CELL_PX**2
    density: Floats = np.bincount(line, weights=within, minlength=len(count)) / count
    dense = np.bincount(line, weights=within * width > DENSE_SHARE, minlength=len(count))
    is_dense: npt.NDArray[np.bool_] = 2 * dense > count
    return density, is_dense
