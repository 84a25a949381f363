"""A picture as pixels, and what of it falls on the wall."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

MM_PER_PIXEL = 25.4 / 96
"""A CSS pixel (CSS Values and Units 3, 6.2): a picture's natural size, as browsers and drawing programs take it."""


@dataclass(frozen=True)
class Raster:
    """A picture, upright, on white."""

    pixels: np.ndarray
    """(rows, columns, 3) uint8 sRGB."""
    size: tuple[int, int]
    """(columns, rows) of the file's own pixels, upright; the pixels kept may be fewer."""

    @property
    def natural(self) -> tuple[float, float]:
        """Width and height, mm."""
        return self.size[0] * MM_PER_PIXEL, self.size[1] * MM_PER_PIXEL


def resampled(plane: np.ndarray, rows: int, columns: int) -> np.ndarray:
    """(rows, columns) float32 from a plane of another size: averaged where it shrinks, interpolated where it grows."""
    from PIL import Image

    image = Image.fromarray(np.ascontiguousarray(plane, dtype=np.float32))
    return np.asarray(image.resize((columns, rows), Image.Resampling.BICUBIC))
