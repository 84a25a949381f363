"""A picture as pixels, and what of it falls on the wall."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

Pixels = npt.NDArray[np.uint8]
"""(rows, columns, channels), 0 to 255."""

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
