"""Separation of a picture into coverages of pens that are right as a mean seen from afar.

Where pens cannot mix the colours of neighbouring places, the mean of the nearest mixtures is not the nearest mixture to
their mean, which the eye sees. Details narrower than a line are lost as well, since pens meet by chance within a line's
width. So the light of the picture is scaled, over distances that the eye does not resolve, until the mean of what is drawn
is what the pens mix for the mean of the picture. Flat areas, and colours that the pens reach, do not change.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import numpy.typing as npt

from wallwright.artwork.inks.ink_model import InkModel
from wallwright.artwork.inks.separation import SeparationTable
from wallwright.artwork.raster.raster import blurred, resampled
from wallwright.artwork.raster.tone import srgb
from wallwright.document.arrays import Floats
from wallwright.document.parallel import share_of

ROWS_AT_ONCE = 200
"""Number of rows processed between two checks for cancel."""
BLUR, BLUR_WIDTHS = 6.0, 3.0
"""Standard deviation of the blur in which means are compared, in mm and in line widths; the larger one is used."""
MIXED_OVER = 3.0
"""Distance, in line widths, within which pens overlap by chance."""
SAMPLED = 1.5
"""Distance of the places from which means are taken, in line widths."""
ROUNDS = 2
LEAST, MOST = 0.5, 2.0
"""Least and largest factor on light."""
LEAST_LIGHT = 1e-4
FULLY = 0.1
"""Absorbed share of red, green or blue light from which the full factor applies; white does not change."""


def picture_coverages(
    light: npt.NDArray[np.float32],
    table: SeparationTable,
    model: InkModel,
    cell: float,
    pen_width: float,
    progress: Callable[[float], None] = lambda done: None,
) -> npt.NDArray[np.float32]:
    """Returns (rows, columns, k) coverages for (rows, columns, 3) linear light, 0 to 1. cell, pen_width: mm."""
    rows, columns = (max(2, round(n * cell / (MIXED_OVER * pen_width))) for n in light.shape[:2])
    sigma = max(BLUR, BLUR_WIDTHS * pen_width) / (MIXED_OVER * pen_width)
    step = max(1, int(SAMPLED * pen_width / cell))
    places = light[step // 2 :: step, step // 2 :: step]
    wanted = _from_afar(_resampled(light, rows, columns), sigma)
    aim = model.light(table.at(srgb(wanted).reshape(-1, 3)).astype(float)).reshape(wanted.shape)
    times = np.ones_like(wanted)
    for number in range(ROUNDS):
        part = share_of(progress, number, 2 * ROUNDS)
        coverage = _resampled(_looked_up(table, _moved(places, times), part), rows, columns)
        seen = _from_afar(model.light(coverage.reshape(rows * columns, -1)).reshape(wanted.shape), sigma)
        times = np.clip(times * aim / np.maximum(seen, LEAST_LIGHT), LEAST, MOST)
    return _looked_up(table, _moved(light, times), share_of(progress, 1, 2))


def _moved(light: npt.NDArray[np.float32], times: Floats) -> Floats:
    """Returns (rows, columns, 3) light multiplied by the factors of its surroundings, (fewer, fewer, 3)."""
    weight = np.minimum((1 - light.min(axis=2, keepdims=True)) / FULLY, 1.0)
    moved: Floats = (light * (1 + (_resampled(times, *light.shape[:2]) - 1) * weight)).clip(0, 1)
    return moved


def _looked_up(
    table: SeparationTable, light: npt.NDArray[np.floating[Any]], progress: Callable[[float], None]
) -> npt.NDArray[np.float32]:
    parts = []
    for first in range(0, len(light), ROWS_AT_ONCE):
        progress(first / len(light))
        part = light[first : first + ROWS_AT_ONCE]
        parts.append(table.at(srgb(part.astype(float)).reshape(-1, 3)).reshape(*part.shape[:2], -1))
    return np.concatenate(parts)


def _resampled(planes: npt.NDArray[np.floating[Any]], rows: int, columns: int) -> Floats:
    """Returns (rows, columns, n) resampled from planes of another size, at least 0."""
    return np.stack([resampled(planes[..., i], rows, columns).astype(float).clip(0) for i in range(planes.shape[2])], 2)


def _from_afar(light: Floats, sigma: float) -> Floats:
    return np.stack([blurred(light[..., i], sigma) for i in range(3)], axis=2)
