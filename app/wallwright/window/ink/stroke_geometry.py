"""The strokes of a sheet at every scale, built on demand for rendering tiles."""

from __future__ import annotations

import math
from threading import Lock

import numpy as np

from wallwright.strokes.strokes import Strokes
from wallwright.window.ink.cells import Indices, SegmentGrid, bounds_of
from wallwright.window.ink.thinning import kept_points, sampled_segments, segments_of

_GRID_PX = 0.5
"""Least distance of points on screen, px: half of a display's resolution."""
_WORTH_THINNING = 0.8
"""Share of remaining segments above which the full copy is used instead."""
_LEVELS_KEPT = 4
_FULL = None
"""Key of the level with all segments."""
_SAMPLE = 40_000
"""Number of segments of the quick likeness: about 20 ms to sort and render."""


class StrokeGeometry:
    """Strokes with spatially sorted copies. The strokes must not change; all methods are thread-safe.

    A segment's moment is the index of its end point, so moments increase in drawing order.
    """

    def __init__(self, strokes: Strokes) -> None:
        self.strokes = strokes
        self.bounds = bounds_of(strokes.points)
        """Left, top, right, bottom of the points, mm; None without any."""
        self._levels: dict[int | None, SegmentGrid] = {}
        """Segments by the scale's power of two; _FULL: all segments."""
        self._full_from: float = math.inf
        """Power of two of the scale from which all segments are shown."""
        self._lock = Lock()

    @property
    def is_large(self) -> bool:
        """Whether the first picture takes so long that a likeness is shown before."""
        return len(self.strokes.points) > 2 * _SAMPLE

    def cells(self, scale: float) -> SegmentGrid:
        """Returns the segments for a scale in px/mm."""
        level = math.ceil(math.log2(scale))
        with self._lock:
            if level < self._full_from and level not in self._levels:
                kept = kept_points(self.strokes, _GRID_PX / 2.0**level)
                k, n = len(self.strokes), len(self.strokes.points)
                if len(kept) - k > _WORTH_THINNING * (n - k):
                    self._full_from = level
                else:
                    self._levels[level] = self._sorted(kept)
            name = level if level < self._full_from else _FULL
            if name not in self._levels:
                self._levels[name] = self._sorted(np.arange(len(self.strokes.points)))
            self._levels[name] = cells = self._levels.pop(name)  # moved to the end: most recently used
            while len(self._levels) > _LEVELS_KEPT:
                del self._levels[next(iter(self._levels))]
            return cells

    def nearest(self, x: float, y: float, reach: float) -> tuple[float, float, int, float] | None:
        """Returns the nearest point to (x, y) on segments sorted so far: x, y, its pen and its distance; None if none is
        within reach, mm, or while another thread sorts."""
        if not self._lock.acquire(blocking=False):
            return None
        try:
            cells = next(reversed(self._levels.values()), None)
        finally:
            self._lock.release()
        return None if cells is None else cells.nearest(x, y, reach)

    def likeness(self) -> SegmentGrid:
        """Returns a quick sample of the strokes, whose moments are meaningless."""
        start, end = sampled_segments(self.strokes, _SAMPLE)
        points = np.concatenate([self.strokes.points[start], self.strokes.points[end]])
        stroke = np.searchsorted(self.strokes.offsets, end, side="right") - 1
        local = np.arange(len(start))
        return SegmentGrid(points, local, local + len(start), self.strokes.pen[stroke])

    def _sorted(self, kept: Indices) -> SegmentGrid:
        start, end = segments_of(self.strokes, kept)
        pen = np.repeat(self.strokes.pen, np.diff(self.strokes.offsets))[end]
        return SegmentGrid(self.strokes.points, start, end, pen)
