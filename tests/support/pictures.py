"""Conversion of pictures to arrays."""

from __future__ import annotations

import numpy as np
from PySide6.QtGui import QImage


def channels(image: QImage) -> np.ndarray:
    """Returns (h, w, 4) float64 red, green, blue, alpha, 0 to 1, not premultiplied."""
    image = image.convertToFormat(QImage.Format.Format_RGBA8888)
    pixels = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.bytesPerLine() // 4, 4)
    return pixels[:, : image.width()] / 255.0


def darkness(image: QImage) -> np.ndarray:
    """Returns (h, w) float64: 0 white to 1 black."""
    return 1.0 - channels(image)[..., :3].mean(axis=2)
