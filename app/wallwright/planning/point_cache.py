"""Cache of results at points, found again by their coordinates: an edit moves few of them."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from wallwright.document.arrays import Flags, Points
from wallwright.document.columns import row_all

Bits = npt.NDArray[np.uint16]
"""Bits of statics.limits.Limit."""
Hashes = npt.NDArray[np.uint64]
_MULTIPLIERS = np.array([0x9E3779B97F4A7C15, 0xC2B2AE3D27D4EB4F], dtype=np.uint64)
"""Odd multipliers without a pattern in their bits: 2^64 over the golden ratio, and a prime."""


class PointCache:
    """Values (n,) at points (n, 2). Coordinates must be bitwise equal."""

    def __init__(self) -> None:
        self._points: Points = np.zeros((0, 2))
        self._values: Bits = np.zeros(0, dtype=np.uint16)
        self._hashes: Hashes = np.zeros(0, dtype=np.uint64)

    def look_up(self, points: Points) -> tuple[Bits, Flags]:
        """Returns (m,) values, 0 where unknown, and (m,) bool: known."""
        if not len(self._points):
            return np.zeros(len(points), dtype=np.uint16), np.zeros(len(points), dtype=bool)
        hashes = _hashes(points)
        place = np.minimum(np.searchsorted(self._hashes, hashes), len(self._hashes) - 1)
        known = row_all(self._points[place].view(np.uint64) == _bits(points))
        return np.where(known, self._values[place], 0).astype(self._values.dtype), known

    def copy(self) -> PointCache:
        """Returns an independent copy."""
        other = PointCache()
        other._points, other._values, other._hashes = self._points, self._values, self._hashes
        return other

    def keep(self, points: Points, values: Bits) -> None:
        """Stores these values and drop all others. points: (n, 2) mm; values: (n,) bits."""
        hashes = _hashes(points)
        order = np.argsort(hashes, kind="stable")
        self._points, self._values, self._hashes = points[order], values[order], hashes[order]


def _bits(points: Points) -> Hashes:
    return np.ascontiguousarray(points).view(np.uint64)


def _hashes(points: Points) -> Hashes:
    """Returns (n,) uint64; different points rarely share one, and then the second counts as unknown."""
    x, y = (_bits(points) * _MULTIPLIERS).T
    hashes: Hashes = x ^ (y >> np.uint64(29)) ^ (y << np.uint64(35))
    return hashes
