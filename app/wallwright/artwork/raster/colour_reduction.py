"""The few colours of flat art."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from wallwright.artwork.colour import lab_of
from wallwright.artwork.raster.raster import Pixels
from wallwright.document.arrays import Integers

ROUNDS = 12
"""Of k-means."""
CALM = 12
"""Difference between neighbours in a channel of 0..255 up to which a pixel lies in the midst of an area."""
EDGE_WEIGHT = 0.02
"""What a pixel at an edge counts: its colour is a mixture."""
NEARLY_WHITE = 3.0
"""Distance to white in CIELAB that is taken for the paper."""


def palette_of(pixels: Pixels, colours: int, progress: Callable[[float], None]) -> Pixels:
    """(k, 3) uint8: at most so many colours for (rows, columns, 3) uint8 pixels, those that cover most first.

    k-means in CIELAB over the colours that are there, those in the midst of an area counting most.
    """
    code = (pixels.astype(np.int64) >> 2) @ np.array([4096, 64, 1])
    codes, inverse, count = np.unique(code.ravel(), return_inverse=True, return_counts=True)
    progress(0.2)
    calm = np.ones(code.shape, dtype=bool)
    for axis in (0, 1):
        same = np.abs(np.diff(pixels.astype(np.int16), axis=axis)).max(axis=2) < CALM
        calm[1:] &= same if axis == 0 else True
        calm[:-1] &= same if axis == 0 else True
        calm[:, 1:] &= same if axis == 1 else True
        calm[:, :-1] &= same if axis == 1 else True
    weight = np.bincount(inverse, np.where(calm.ravel(), 1.0, EDGE_WEIGHT), len(codes))
    mean = [np.bincount(inverse, pixels[..., c].ravel(), len(codes)) / count for c in range(3)]
    lab = lab_of(np.column_stack(mean))
    progress(0.4)
    centres = lab[[int(np.argmax(weight))]]
    for _ in range(colours - 1):
        apart = np.min(((lab[:, None] - centres) ** 2).sum(axis=2), axis=1)
        if apart.max() < 1.0:
            break
        centres = np.concatenate([centres, lab[[int(np.argmax(weight * apart))]]])
    for _ in range(ROUNDS):
        near = np.argmin(((lab[:, None] - centres) ** 2).sum(axis=2), axis=1)
        mass = np.bincount(near, weight, len(centres))
        for axis in range(3):
            centres[:, axis] = np.bincount(near, weight * lab[:, axis], len(centres)) / np.maximum(mass, 1e-9)
    near = np.argmin(((lab[:, None] - centres) ** 2).sum(axis=2), axis=1)
    mass = np.maximum(np.bincount(near, weight, len(centres)), 1e-9)
    means = np.column_stack([np.bincount(near, weight * m, len(centres)) / mass for m in mean])
    palette = np.rint(means[np.argsort(-mass, kind="stable")]).clip(0, 255).astype(np.uint8)
    white = np.hypot.reduce(lab_of(palette) - np.array([100.0, 0.0, 0.0]), axis=1) < NEARLY_WHITE
    palette[white] = 255
    progress(1.0)
    return palette


def nearest_of(palette: Pixels, pixels: Pixels) -> Integers:
    """(rows, columns) index of the colour of the palette that is nearest in sRGB to each pixel.

    Programs mix soft edges in sRGB, so the middle of an edge is halfway there, and not in CIELAB.
    """
    found = np.zeros(pixels.shape[:2], dtype=np.int64)
    least = np.full(pixels.shape[:2], np.inf, dtype=np.float32)
    for number, colour in enumerate(palette.astype(np.float32)):
        apart = ((pixels - colour) ** 2).sum(axis=2)
        nearer = apart < least
        found[nearer], least[nearer] = number, apart[nearer]
    return found
