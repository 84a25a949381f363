"""The strokes of one sheet at every scale: what tiles are painted from, built when first needed."""

from __future__ import annotations

import math
from threading import Lock

import numpy as np

from wallwright.strokes.strokes import Strokes
from wallwright.window.ink.cells import Indices, SegmentGrid, bounds_of
from wallwright.window.ink.thinning import kept_points, sampled_segments, segments_of

_GRID_PX = 0.5
"""Points closer than this on screen are left out: half of what a display can show."""
_WORTH_THINNING = 0.8
"""If more of the segments than this remain, the full copy serves as well."""
_LEVELS_KEPT = 4
_FULL = None
"""Name of the level with all segments."""
_SAMPLE = 40_000
"""Segments of the quick likeness: about 20 ms to sort and paint."""


class StrokeGeometry:
    """Strokes with their cell-sorted copies. The strokes must not change; all methods may be called by any thread.

    A segment's moment is the index of its end point: moments count up as the strokes are drawn.
    """

    def __init__(self, strokes: Strokes) -> None:
        self.strokes = strokes
        self.bounds = bounds_of(strokes.points)
        """left, top, right, bottom of the points, mm; None without any."""
        self._levels: dict[int | None, SegmentGrid] = {}
        """By the power of two of the scale; _FULL: all segments."""
        self._full_from: float = math.inf
        """The power of two of the scale from which on all segments are shown."""
        self._lock = Lock()

    @property
    def is_large(self) -> bool:
        """Whether the first picture takes long enough to show a likeness before."""
        return len(self.strokes.points) > 2 * _SAMPLE

    def cells(self, scale: float) -> SegmentGrid:
        """Segments fit to be shown at a scale in px/mm."""
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
            self._levels[name] = cells = self._levels.pop(name)  # last in the order: last used
            while len(self._levels) > _LEVELS_KEPT:
                del self._levels[next(iter(self._levels))]
            return cells

    def nearest(self, x: float, y: float, reach: float) -> tuple[float, float, int, float] | None:
        """The point nearest to (x, y) of the segments that have been sorted already: x, y, its pen and its distance; None
        when none is within reach, mm, or while another thread sorts."""
        if not self._lock.acquire(blocking=False):
            return None
        try:
            cells = next(reversed(self._levels.values()), None)
        finally:
            self._lock.release()
        return None if cells is None else cells.nearest(x, y, reach)

    def likeness(self) -> SegmentGrid:
        """A quick sample of the strokes; its moments mean nothing."""
        start, end = sampled_segments(self.strokes, _SAMPLE)
        points = np.concatenate([self.strokes.points[start], self.strokes.points[end]])
        stroke = np.searchsorted(self.strokes.offsets, end, side="right") - 1
        local = np.arange(len(start))
        return SegmentGrid(points, local, local + len(start), self.strokes.pen[stroke])

    def _sorted(self, kept: Indices) -> SegmentGrid:
        start, end = segments_of(self.strokes, kept)
        pen = np.repeat(self.strokes.pen, np.diff(self.strokes.offsets))[end]
        return SegmentGrid(self.strokes.points, start, end, pen)
