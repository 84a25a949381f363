"""Colours that stand for numbers."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

# Nine steps of cividis (Nuñez, Anderton, Renslow, "Optimizing colormaps with consideration for color vision
# deficiency", PLoS ONE 13, 2018; values from memory): perceptually uniform, the same to colour-blind eyes.
CIVIDIS = np.array(
    [
        [0, 34, 78],
        [18, 53, 112],
        [59, 73, 108],
        [87, 93, 109],
        [112, 113, 115],
        [138, 134, 120],
        [165, 156, 116],
        [195, 180, 105],
        [253, 234, 69],
    ],
    dtype=float,
)
STEPS = 8
"""Colours that a map of the draw zone has."""
MAP_OPACITY = 80
"""Of a map of the draw zone, of 255: ink stands out from it, and a photo of the wall shows through."""


def colours_of(share: npt.ArrayLike) -> npt.NDArray[np.uint8]:
    """(..., 3) red, green, blue for values from 0 to 1."""
    at = np.clip(np.asarray(share, dtype=np.float64), 0, 1) * (len(CIVIDIS) - 1)
    channels = [np.interp(at, np.arange(len(CIVIDIS)), CIVIDIS[:, i]) for i in range(3)]
    return np.stack(channels, axis=-1).astype(np.uint8)
