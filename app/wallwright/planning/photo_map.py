"""Map from a figure on the wall to a photo of it: a homography, and the radial distortion of the lens.

The homography is that of four points of the figure (`document/homography.py`; Hartley and Zisserman, "Multiple View
Geometry", 2nd edition, 2004, chapter 4). The distortion is the division model with one parameter k, about the photo's
centre: a point at the distance r from it, in half diagonals, appears where r / (1 + k r²) would be without distortion
(Fitzgibbon, "Simultaneous linear estimation of multiple view geometry and lens distortion", CVPR 2001). Both directions
have a closed form.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from wallwright.document.arrays import Floats, Points
from wallwright.document.homography import homography, through

MOST_DISTORTION = 0.25
"""Largest magnitude of k for any usual lens: straight lines at the photo's edge are then visibly curved."""


@dataclass(frozen=True)
class PhotoMap:
    """Map between mm from a figure's corner and pixels of a photo, from the top left corner of its first pixel."""

    size: tuple[int, int]
    """(columns, rows) of the photo."""
    places: Points
    """(4, 2) mm: four points of the figure."""
    seen: Points
    """(4, 2) pixels: undistorted positions of these points."""
    distortion: float = 0.0

    def moved(self, seen: Points, distortion: float) -> PhotoMap:
        """Returns the map with other (4, 2) pixels of the four points, and another distortion."""
        return replace(self, seen=seen, distortion=distortion)

    @cached_property
    def _to_photo(self) -> Floats:
        return homography(self.places, self.seen)

    @cached_property
    def _to_figure(self) -> Floats:
        return homography(self.seen, self.places)

    def to_photo(self, places: Points) -> Points:
        """Returns (n, 2) pixels of (n, 2) mm."""
        middle, half = self._lens
        ideal = (through(self._to_photo, places) - middle) / half
        square = (ideal**2).sum(axis=1, keepdims=True)
        root = np.sqrt(np.maximum(1 - 4 * self.distortion * square, 0.0))
        pixels: Points = middle + half * ideal * 2 / (1 + root)
        return pixels

    def to_figure(self, pixels: Points) -> Points:
        """Returns (n, 2) mm of (n, 2) pixels."""
        middle, half = self._lens
        seen = (pixels - middle) / half
        ideal = seen / (1 + self.distortion * (seen**2).sum(axis=1, keepdims=True))
        return through(self._to_figure, middle + half * ideal)

    def pixels_per_mm(self, place: Points) -> Floats:
        """Returns (n, 2) pixels per mm at (n, 2) mm of the figure: smallest and largest over all directions."""
        step = 0.5
        right, down = np.array([step, 0.0]), np.array([0.0, step])
        columns = [(self.to_photo(place + way) - self.to_photo(place - way)) / (2 * step) for way in (right, down)]
        sizes: Floats = np.linalg.svd(np.stack(columns, axis=2), compute_uv=False)[:, ::-1]
        return sizes

    @property
    def _lens(self) -> tuple[Floats, float]:
        middle = np.array(self.size, dtype=float) / 2
        return middle, float(np.hypot(*middle))
