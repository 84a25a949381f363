"""The combined colour of overlapping translucent shapes at each place, and the tone that each pen has there.

Paints that vary, and things that show through each other, are not drawn on top of each other: the visible colour is
computed first, then separated into coverages of the pens, and each pen draws its coverage once.
"""

from __future__ import annotations

import dataclasses
import functools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from scipy.ndimage import map_coordinates
from shapely.geometry.base import BaseGeometry

from wallwright.artwork.drawing import Drawing, ShapeTree
from wallwright.artwork.inks.ink_model import InkModel
from wallwright.artwork.inks.recipes import FAINT, MOST_OF_TWO
from wallwright.artwork.inks.separation import SeparationTable
from wallwright.artwork.sampling import rgba_at
from wallwright.document.arrays import Floats, Points
from wallwright.document.document import Pen

MOST_CELLS = 60_000
"""Largest number of cells in which the colour of one thing is computed."""
FEWEST_ACROSS = 12
"""Smallest number of cells along the longer side of a small thing."""
LEVEL = 0.03
"""Change of tone below which it counts as constant."""
STRAIGHT = 0.98
"""Coherence of its gradient from which a tone varies in one direction (Bigun and Granlund 1987: 0 none, 1 one
direction)."""
OFF_PROFILE = 0.04
"""Largest deviation of a tone that varies in one direction from its mean across it, at 95 % of the places."""


@dataclass(frozen=True)
class SeenColour:
    """Visible colour, on a white wall, of all shapes that overlap a region."""

    drawing: Drawing
    shapes: tuple[int, ...]
    """Numbers of the shapes, ascending."""
    to_artwork: Floats
    """(3, 3) matrix from the wall to the artwork."""

    @classmethod
    def of(cls, drawing: Drawing, shapes: Sequence[int], matrix: Floats) -> SeenColour:
        """Returns the colour. matrix: (2, 3) artwork to wall. In mm."""
        return cls(drawing, tuple(sorted(shapes)), np.linalg.inv(np.vstack([matrix, [0, 0, 1]])))

    def with_others(self, others: Sequence[SeenColour]) -> SeenColour:
        """Returns the colour for a region that the shapes of others overlap too."""
        numbers = set(self.shapes).union(*(other.shapes for other in others))
        return dataclasses.replace(self, shapes=tuple(sorted(numbers)))

    def at(self, points: Points) -> Floats:
        """Returns (n, 3) sRGB, 0 to 255."""
        scene = ShapeTree(tuple(self.drawing.shapes[n] for n in self.shapes), self.drawing.layers)
        rgba = rgba_at(scene, points @ self.to_artwork[:2, :2].T + self.to_artwork[:2, 2])
        seen: Floats = 255 * (rgba[:, :3] * rgba[:, 3:] + 1 - rgba[:, 3:])
        return seen


@dataclass(frozen=True, eq=False)
class GridTone:
    """Coverage of one pen, interpolated between the centres of square cells."""

    plane: Floats
    """(rows, columns) 0 to 1: coverage."""
    inside: Floats
    """(rows, columns) 1 in the drawn region, else 0."""
    corner: Points
    """(2,) mm: low corner of the grid."""
    cell: float
    """Size of a cell, mm."""
    leads: bool
    """True: its lines may follow the tone; those of other pens keep their own angles, so that they cross."""

    def __call__(self, points: Points) -> Floats:
        place = ((points - self.corner) / self.cell - 0.5).T[::-1]
        tone: Floats = map_coordinates(self.plane, place, order=1, mode="nearest")
        return tone

    @property
    def most(self) -> float:
        """Returns the highest tone in the region."""
        return float((self.plane * self.inside).max())

    def level(self) -> float | None:
        """Returns the tone if it is constant in the region, else None."""
        values = self.plane[self.inside > 0]
        return float(values.mean()) if len(values) and np.ptp(values) < LEVEL else None

    def profile(self) -> tuple[float, Floats, Floats] | None:
        """For a tone that varies in one direction, return that direction, rad; positions along it, mm, ascending; the
        tone there. None: it varies in several. Positions and tones are (n,)."""
        gy, gx = np.gradient(self.plane)
        # At the region's edge the gradient may come from what lies beside it.
        weight = self.inside * np.roll(self.inside, 1, 0) * np.roll(self.inside, 1, 1)
        weight = weight * np.roll(self.inside, -1, 0) * np.roll(self.inside, -1, 1)
        xx, yy, xy = (float((weight * p).sum()) for p in (gx * gx, gy * gy, gx * gy))
        if xx + yy <= 0 or np.hypot(xx - yy, 2 * xy) < STRAIGHT * (xx + yy):
            return None
        angle = 0.5 * float(np.arctan2(2 * xy, xx - yy))
        rows, columns = np.nonzero(self.inside)
        x, y = self.corner[0] + (columns + 0.5) * self.cell, self.corner[1] + (rows + 0.5) * self.cell
        along, tone = x * np.cos(angle) + y * np.sin(angle), self.plane[rows, columns]
        bins = np.floor((along - along.min()) / self.cell).astype(np.int64)
        count = np.bincount(bins)
        has = count > 0
        place, mean = np.bincount(bins, along)[has] / count[has], np.bincount(bins, tone)[has] / count[has]
        off = np.abs(tone - np.interp(along, place, mean))
        return None if np.percentile(off, 95) > OFF_PROFILE else (angle, place, mean)


@functools.lru_cache(maxsize=8)
def separation_of(pens: tuple[Pen, ...]) -> SeparationTable:
    """Returns the separation table of the pens for varying tones."""
    return SeparationTable.of(InkModel.of_pens(pens), np.full(len(pens), MOST_OF_TWO))


def tones_of(seen: SeenColour, region: BaseGeometry, pens: tuple[Pen, ...]) -> list[tuple[int, GridTone]]:
    """Returns the pens, by index, needed anywhere in a region, the one with most ink first, and the tone of each."""
    left, top, right, bottom = region.bounds
    width, height = max(right - left, 1e-6), max(bottom - top, 1e-6)
    cell = max(min(pen.width for pen in pens) / 2, np.sqrt(width * height / MOST_CELLS))
    cell = min(cell, max(width, height) / FEWEST_ACROSS)
    columns, rows = int(np.ceil(width / cell)), int(np.ceil(height / cell))
    x, y = left + (np.arange(columns) + 0.5) * cell, top + (np.arange(rows) + 0.5) * cell
    points = np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)
    coverage = separation_of(pens).at(seen.at(points)).astype(float)
    shapely.prepare(region)
    inside = shapely.contains_xy(region, points)
    if not inside.any():
        inside[:] = True
    wanted = np.flatnonzero(coverage[inside].max(axis=0) >= FAINT)
    wanted = wanted[np.argsort(-coverage[inside][:, wanted].sum(axis=0), kind="stable")]
    shape, corner = (rows, columns), np.array([left, top])
    return [
        (
            int(pen),
            GridTone(coverage[:, pen].reshape(shape), inside.reshape(shape).astype(float), corner, cell, not place),
        )
        for place, pen in enumerate(wanted)
    ]
