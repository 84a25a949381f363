"""Coverage of pixels from a finer mask, and its picture in one colour."""

from __future__ import annotations

import functools

import numpy as np
import numpy.typing as npt
from PySide6.QtGui import QImage

_WORD = 4
"""Number of mask pixels counted at once."""


def average_cover(mask: QImage, times: int) -> npt.NDArray[np.uint8]:
    """Returns (h, w) 0 to 255: the mean of squares of times x times pixels of a mask in format Alpha8, whose sides are
    multiples of times."""
    height, width = mask.height() // times, mask.width() // times
    pixels = np.frombuffer(mask.constBits(), np.uint8).reshape(mask.height(), mask.bytesPerLine())
    if times == _WORD:  # bits of four pixels, which are 0 or 255 with hard edges
        bits = np.bitwise_count(pixels.view(np.uint32)[:, :width])  # at most 32, so that four rows fit in a byte
        sums = bits[0::4] + bits[1::4] + bits[2::4] + bits[3::4]
        hard: npt.NDArray[np.uint8] = (sums * np.uint16(255) >> 7).astype(np.uint8)  # sums are at most 128
        return hard
    squares = pixels[:, : width * times].reshape(height, times, width, times)
    soft: npt.NDArray[np.uint8] = (squares.sum(axis=(1, 3), dtype=np.uint16) // (times * times)).astype(np.uint8)
    return soft


def in_colour(cover: npt.NDArray[np.uint8], colour: tuple[int, int, int]) -> QImage:
    """Returns a picture in a colour (red, green, blue, 0 to 255) with the given coverage, (h, w) 0 to 255."""
    pixels = _premultiplied(colour).take(cover)
    height, width = cover.shape
    return QImage(pixels.data, width, height, 4 * width, QImage.Format.Format_ARGB32_Premultiplied).copy()


@functools.lru_cache(64)
def _premultiplied(colour: tuple[int, int, int]) -> npt.NDArray[np.uint32]:
    """Returns (256,) premultiplied pixels of a colour by coverage."""
    share = np.arange(256) / 255
    red, green, blue = (np.round(channel * share).astype(np.uint32) for channel in colour)
    alpha = np.arange(256, dtype=np.uint32)
    return (alpha << 24 | red << 16 | green << 8 | blue).astype(np.uint32)
