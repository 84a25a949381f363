"""Flat art traced into regions with clean curves: a logo, a poster, a cartoon.

The picture's few colours are found (`palette.py`), and on the enlarged picture soft edges say to a fraction of a pixel
where one colour ends. What is narrower than a speck, the fringe of every edge among it, goes to the nearest broader area.
Each area's outline is where its own softened mask is as strong as the strongest other, so neighbours share their edge.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import shapely
from contourpy import contour_generator
from scipy.ndimage import distance_transform_edt, gaussian_filter

from wallwright.artwork.drawing import Drawing, Paint, Shape
from wallwright.artwork.raster.colour_reduction import nearest_of, palette_of
from wallwright.artwork.raster.raster import Raster
from wallwright.document.arrays import Floats, Integers, Points

LONGEST_SIDE = 1600
"""Cells traced along the longer side."""
ENLARGE = 3
"""Cells a pixel, at most."""
FRINGE = 2.0
"""Pixels: the soft edge between two colours is narrower."""
SOFT = 1.7
"""Cells over which masks are softened: steps of pixels go, corners stay to a third of a pixel."""


def trace(
    raster: Raster, colours: int, speck: float, flatness: float, progress: Callable[[float], None] = lambda done: None
) -> Drawing:
    """A region for each colour, the largest first, in the artwork's frame.

    colours: at most so many; speck: least width of an area, flatness: how far chords may leave a curve, both mm there.
    """
    from PIL import Image

    progress(0.0)
    width, height = raster.natural
    palette = palette_of(raster.pixels, colours, lambda done: progress(0.3 * done))
    image = Image.fromarray(raster.pixels)
    longest = max(image.size)
    scale = min(ENLARGE, LONGEST_SIDE / longest)
    if scale != 1:
        columns, rows = (max(2, round(n * scale)) for n in image.size)
        image = image.resize((columns, rows), Image.Resampling.BICUBIC)
    label = nearest_of(palette, np.asarray(image))
    columns = label.shape[1]
    least = max(speck / width * columns, FRINGE * scale)
    label = without_specks(label, least, lambda done: progress(0.4 + 0.3 * done))
    rings = outlines(label, len(palette), lambda done: progress(0.7 + 0.3 * done))
    fit = np.array([width, height]) / label.shape[::-1]
    shapes = [
        Shape(
            f"area {number + 1}",
            (),
            Paint("#{:02x}{:02x}{:02x}".format(*palette[number].tolist())),
            tuple(_simple(ring * fit, flatness) for ring in found),
            True,
            even_odd=True,
        )
        for number, found in enumerate(rings)
        if found
    ]
    return Drawing(width, height, tuple(shapes))


def without_specks(label: Integers, width: float, progress: Callable[[float], None]) -> Integers:
    """(rows, columns) labels with every part of an area narrower than some cells given to the nearest broader area.

    A place is broad when it lies within half the width of a core place, which is that far inside its area. No core of
    another area is as near, so each place belongs to its nearest core.
    labels: (rows, columns) numbers of areas.
    """
    edge = np.zeros(label.shape, dtype=bool)
    across, down = label[:, 1:] != label[:, :-1], label[1:] != label[:-1]
    edge[:, 1:] |= across
    edge[:, :-1] |= across
    edge[1:] |= down
    edge[:-1] |= down
    if not edge.any():
        return label
    core = distance_transform_edt(~edge) >= width / 2 - 0.5
    progress(0.4)
    if not core.any():
        return label
    row, column = distance_transform_edt(~core, return_distances=False, return_indices=True)
    progress(1.0)
    return np.asarray(label[row, column])


def outlines(label: Integers, count: int, progress: Callable[[float], None]) -> list[list[Points]]:
    """For each of count labels the rings (n, 2) around its area, in cells from the top left corner; even-odd."""
    masks = np.empty((count, *label.shape), dtype=np.float32)
    for number in range(count):
        progress(0.5 * number / count)
        gaussian_filter((label == number).astype(np.float32), SOFT, mode="nearest", output=masks[number])
    first = masks.max(axis=0)
    who = masks.argmax(axis=0)
    np.put_along_axis(masks, who[None], -1.0, axis=0)
    second = masks.max(axis=0)
    np.put_along_axis(masks, who[None], first[None], axis=0)
    rows, columns = (np.arange(-1, n + 1) + 0.5 for n in label.shape)
    found: list[list[Points]] = []
    for number in range(count):
        progress(0.5 + 0.5 * number / count)
        lead = np.pad(masks[number] - np.where(who == number, second, first), 1, mode="edge")
        # Just beyond the picture no area is: outlines close along its edge.
        border = np.ones(lead.shape, dtype=bool)
        border[1:-1, 1:-1] = False
        lead[border] = -np.abs(lead[border])
        lines = contour_generator(columns, rows, lead).lines(0.0)
        found.append([np.asarray(line)[:-1] for line in lines if len(line) > 3])
    return found


def _simple(ring: Points, flatness: float) -> Floats:
    closed = np.concatenate([ring, ring[:1]])
    return shapely.get_coordinates(shapely.simplify(shapely.LineString(closed), flatness))[:-1]
