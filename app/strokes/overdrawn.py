"""Pieces of lines that lie on lines already drawn by the same pen: drawn once."""

from __future__ import annotations

import numpy as np
import shapely

from app.strokes.pieces import from_pieces
from app.strokes.strokes import Strokes

LEAST_LAP = 4.0
"""In tolerances: shorter overlaps are crossings at a flat angle, or neighbours that meet."""


def drop_overdrawn(strokes: Strokes, tolerance: float) -> Strokes:
    """Without the pieces of segments that lie within tolerance, mm, of an earlier segment of the same pen, both ends of
    the piece counted. Fills stay: theirs lie on lattices. What is left of a stroke may be several."""
    if len(strokes) == 0:
        return strokes
    own = strokes.stroke_of_point
    first = np.flatnonzero(own[1:] == own[:-1])  # segment: this point and the next
    edge = first[~strokes.is_fill[own[first]]]
    removed = _laps(strokes, edge, tolerance)
    if removed is None:
        return strokes
    return from_pieces(strokes, *_kept(first, *removed))


def _laps(
    strokes: Strokes, edge: np.ndarray, tolerance: float
) -> tuple[np.ndarray, np.ndarray, np.ndarray] | None:
    """(segment, from, to): shares of segments that lie on earlier ones; None when there are none."""
    ends = np.stack([strokes.points[edge], strokes.points[edge + 1]], axis=1)
    length = np.hypot(*(ends[:, 1] - ends[:, 0]).T)
    lines = shapely.linestrings(ends)
    pen = strokes.pen[strokes.stroke_of_point[edge]]
    later, earlier = shapely.STRtree(lines).query(lines, predicate="dwithin", distance=tolerance)
    use = (earlier < later) & (pen[later] == pen[earlier]) & (length[later] > 0) & (length[earlier] > 0)
    later, earlier = later[use], earlier[use]
    along = (ends[earlier, 1] - ends[earlier, 0]) / length[earlier, None]
    offset = ends[later] - ends[earlier, :1]  # (pairs, end, 2)
    u = (offset * along[:, None]).sum(axis=2)
    v = offset[..., 1] * along[:, None, 0] - offset[..., 0] * along[:, None, 1]
    # The part of the later segment with 0 <= u <= the earlier one's length.
    du = u[:, 1] - u[:, 0]
    with np.errstate(divide="ignore", invalid="ignore"):
        at = np.stack([-u[:, 0] / du, (length[earlier] - u[:, 0]) / du], axis=1)
    low, high = np.clip(at.min(axis=1), 0, 1), np.clip(at.max(axis=1), 0, 1)
    off = np.maximum(
        np.abs(v[:, 0] + low * (v[:, 1] - v[:, 0])), np.abs(v[:, 0] + high * (v[:, 1] - v[:, 0]))
    )
    laps = (du != 0) & (off <= tolerance) & ((high - low) * length[later] > LEAST_LAP * tolerance)
    if not laps.any():
        return None
    return edge[later[laps]], low[laps], high[laps]


def _kept(
    segments: np.ndarray, lapped: np.ndarray, low: np.ndarray, high: np.ndarray
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """(segment, from, to) of what is left of all segments, in order. Shares removed may overlap."""
    # Ends of removed shares, as places on one line: the segment's number plus the share.
    order = np.lexsort((low, lapped))
    lapped, low, high = lapped[order], low[order], high[order]
    number = np.searchsorted(segments, lapped)
    reach = np.maximum.accumulate(number + high)
    gap_from = np.concatenate([[0.0], reach])
    gap_to = np.concatenate([number + low, [float(len(segments))]])
    open_ = gap_to > gap_from + 1e-9
    gap_from, gap_to = gap_from[open_], gap_to[open_]
    # Each gap is cut at the whole numbers within it.
    head, tail = np.floor(gap_from + 1e-12).astype(np.int64), np.ceil(gap_to - 1e-12).astype(np.int64)
    count = tail - head
    of = np.repeat(np.arange(len(count)), count)
    index = head[of] + np.arange(len(of)) - np.repeat(np.cumsum(count) - count, count)
    start = np.clip(gap_from[of] - index, 0.0, 1.0)
    stop = np.clip(gap_to[of] - index, 0.0, 1.0)
    keep = stop - start > 1e-9
    return segments[index[keep]], start[keep], stop[keep]
