"""A picture as paint: what an image element shows."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from wallwright.artwork.paints import VaryingPaint
from wallwright.artwork.raster.raster import Pixels
from wallwright.document.arrays import Floats, Indices, Points


@dataclass(frozen=True)
class PixelPaint(VaryingPaint):
    """A picture that lies somewhere on the page."""

    rgba: Pixels = field(kw_only=True)
    """(rows, columns, 4) uint8 sRGB and opacity, colour not multiplied by opacity."""
    to_own: Floats = field(kw_only=True)
    """(3, 3) from mm to pixels of the picture, its corner at the origin."""
    is_smooth: bool = field(default=True, kw_only=True)
    """Interpolated between pixels; else each pixel is a square."""

    def rgba_at(self, points: Points) -> Floats:
        """(n, 4) sRGB and opacity, 0 to 1, at (n, 2) points in mm; beyond the picture its outermost pixels go on.

        (n, 4) sRGB and opacity, 0 to 1, at points (n, 2), mm, in the artwork frame.
        """
        own = points @ self.to_own[:2, :2].T + self.to_own[:2, 2]
        if self.is_smooth:
            result = self._between(own - 0.5)
        else:
            result = self._pixel(np.floor(own).astype(np.intp))
        colour = np.divide(result[:, :3], result[:, 3:], out=np.zeros((len(points), 3)), where=result[:, 3:] > 0)
        return np.column_stack([np.clip(colour, 0, 1), np.clip(result[:, 3] * self.strength, 0, 1)])

    def _pixel(self, at: Indices) -> Floats:
        """(n, 4) colour times opacity, and opacity, of (n, 2) pixels; the outermost ones go on."""
        rows, columns = self.rgba.shape[:2]
        found = self.rgba[np.clip(at[:, 1], 0, rows - 1), np.clip(at[:, 0], 0, columns - 1)] / 255.0
        found[:, :3] *= found[:, 3:]
        return np.asarray(found)

    def _between(self, at: Points) -> Floats:
        """Bicubic: the sixteen pixels about each place, weighted by distance."""
        corner = np.floor(at)
        weights = [[_weight(at[:, axis] - corner[:, axis] - step) for step in (-1, 0, 1, 2)] for axis in (0, 1)]
        corner = corner.astype(np.intp)
        total = np.zeros((len(at), 4))
        for j in range(4):
            for i in range(4):
                total += (weights[0][i] * weights[1][j])[:, None] * self._pixel(corner + np.array([i - 1, j - 1]))
        return total


def _weight(x: Floats) -> Floats:
    """Mitchell and Netravali, Reconstruction filters in computer graphics, 1988: B = C = 1/3."""
    x = np.abs(x)
    near = (7 * x**3 - 12 * x**2 + 16 / 3) / 6
    far = (-7 / 3 * x**3 + 12 * x**2 - 20 * x + 32 / 3) / 6
    return np.where(x < 1, near, np.where(x < 2, far, 0.0))
