"""Patterns as paint: a scene that repeats."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from wallwright.artwork.drawing import Paint, ShapeTree
from wallwright.artwork.paints import VaryingPaint
from wallwright.artwork.sampling import rgba_at
from wallwright.document.arrays import Floats, Points


@dataclass(frozen=True)
class TilePaint(VaryingPaint):
    """A pattern: a tile that repeats (SVG 2, 14.3). What leaves the tile is hidden."""

    scene: ShapeTree = field(kw_only=True)
    """Of one tile, in the tile's own frame: mm, its corner at the origin, its sides along the axes."""
    size: tuple[float, float] = field(kw_only=True)
    """Of the tile in its own frame, mm."""
    to_page: Floats = field(kw_only=True)
    """(3, 3) from the tile's frame to the artwork's."""

    def to_tile(self, points: Points) -> Points:
        """(n, 2) points of the artwork, mm, as points of the one tile."""
        back = np.linalg.inv(self.to_page)
        return np.asarray((points @ back[:2, :2].T + back[:2, 2]) % np.array(self.size))

    def coarse(self) -> Paint:
        """Its mean colour and opacity."""
        return Paint(self.colour, self.opacity)

    def rgba_at(self, points: Points) -> Floats:
        """(n, 4) sRGB and opacity, 0 to 1, at (n, 2) points in mm; patterns in the pattern count as their mean."""
        result = rgba_at(self.scene, self.to_tile(points), is_coarse=True)
        result[:, 3] *= self.strength
        return result
