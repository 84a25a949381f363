"""A picture as pixels, and what of it falls on the wall."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from wallwright.document.arrays import Flags, Floats, Points
from wallwright.document.compiled import compiled

Pixels = npt.NDArray[np.uint8]
"""(rows, columns, channels), 0 to 255."""

LIGHTEST_INK = 250
"""Level, of 255, above which a pixel counts as white if all three colours are lighter."""
MM_PER_PIXEL = 25.4 / 96
"""A CSS pixel (CSS Values and Units 3, 6.2): a picture's natural size, as browsers and drawing programs take it."""


@dataclass(frozen=True)
class Raster:
    """A picture, upright, on white."""

    pixels: Pixels
    """(rows, columns, 3) uint8 sRGB."""
    size: tuple[int, int]
    """(columns, rows) of the file's own pixels, upright; the pixels kept may be fewer."""

    @property
    def natural(self) -> tuple[float, float]:
        """Width and height, mm."""
        return self.size[0] * MM_PER_PIXEL, self.size[1] * MM_PER_PIXEL


def resampled(plane: npt.NDArray[np.floating[Any]], rows: int, columns: int) -> npt.NDArray[np.float32]:
    """(rows, columns) float32 from a plane of another size: averaged where it shrinks, interpolated where it grows.

    In the unit of the plane, such as tones.
    """
    from PIL import Image

    image = Image.fromarray(np.ascontiguousarray(plane, dtype=np.float32))
    return np.asarray(image.resize((columns, rows), Image.Resampling.BICUBIC))


FINE_BLUR = 1.5
"""Cells: the standard deviation that a blur has at least on its coarser grid."""


def blurred(plane: npt.NDArray[np.floating[Any]], sigma: float) -> Floats:
    """A plane (rows, columns) blurred by a Gaussian of some standard deviation, cells. A wide blur is done on a coarser
    grid, which differs by nothing that is seen. In the unit of the plane."""
    from scipy.ndimage import gaussian_filter

    shrink = max(1, int(sigma / FINE_BLUR))
    rows, columns = plane.shape
    if shrink == 1:
        blurred: Floats = gaussian_filter(plane.astype(np.float64), sigma, mode="nearest")
        return blurred
    coarse = resampled(plane, max(2, rows // shrink), max(2, columns // shrink)).astype(np.float64)
    return resampled(gaussian_filter(coarse, sigma / shrink, mode="nearest"), rows, columns).astype(np.float64)


def block_means(plane: npt.NDArray[Any], side: int) -> Floats:
    """Means over square blocks of so many cells; what the last ones have beyond the plane counts as 0.

    In the unit of the plane, (rows, columns) of any number type.
    """
    rows, columns = plane.shape
    means = np.empty((-(-rows // side), -(-columns // side)))
    _block_means(np.ascontiguousarray(plane), side, means)
    return means


@compiled
def _block_means(plane: npt.NDArray[Any], side: int, means: Floats) -> None:
    rows, columns = plane.shape
    for row in range(means.shape[0]):
        for column in range(means.shape[1]):
            total = 0.0
            for r in range(row * side, min(row * side + side, rows)):
                for c in range(column * side, min(column * side + side, columns)):
                    total += plane[r, c]
            means[row, column] = total / (side * side)


def sampled(plane: npt.NDArray[np.floating[Any]], points: Points, cell: float) -> Floats:
    """(n,) values of a plane of square cells at (n, 2) points, linear between the cells' middles, beyond them that of the
    nearest. points, cell: mm from the plane's top left corner.

    Own loop: scipy.ndimage.map_coordinates takes five times as long, and pictures are sampled at millions of points.
    """
    values = np.empty(len(points))
    _sample(np.ascontiguousarray(plane), np.ascontiguousarray(points, dtype=np.float64), cell, values)
    return values


@compiled
def _sample(plane: npt.NDArray[np.floating[Any]], points: Points, cell: float, values: Floats) -> None:
    rows, columns = plane.shape
    for i in range(len(points)):
        x = min(max(points[i, 0] / cell - 0.5, 0.0), columns - 1.0)
        y = min(max(points[i, 1] / cell - 0.5, 0.0), rows - 1.0)
        c, r = min(int(x), max(columns - 2, 0)), min(int(y), max(rows - 2, 0))
        across, down = x - c, y - r
        right, below = min(c + 1, columns - 1), min(r + 1, rows - 1)
        upper = plane[r, c] * (1 - across) + plane[r, right] * across
        lower = plane[below, c] * (1 - across) + plane[below, right] * across
        values[i] = upper * (1 - down) + lower * down


def inked_part(pixels: Pixels) -> tuple[float, float, float, float] | None:
    """Returns left, top, right, bottom of what is not white in a picture, (rows, columns, 3) uint8 sRGB on white, as shares
    of its size; None if all of it is white."""
    has_ink: Flags = np.asarray((pixels < LIGHTEST_INK).any(axis=2), dtype=np.bool_)
    rows, columns = np.flatnonzero(has_ink.sum(axis=1)), np.flatnonzero(has_ink.sum(axis=0))
    if not len(rows):
        return None
    height, width = has_ink.shape
    left, right = int(columns[0]), int(columns[-1]) + 1
    top, bottom = int(rows[0]), int(rows[-1]) + 1
    return left / width, top / height, right / width, bottom / height
