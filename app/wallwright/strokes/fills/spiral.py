"""Spiral fill: one round spiral about the region's centre, clipped to the region."""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from wallwright.document.arrays import Floats, Points
from wallwright.document.document import Fill
from wallwright.strokes.fills.progress import Progress, no_progress
from wallwright.strokes.fills.spacing import flat_spacing_of

CHORD_ERROR = 0.01
"""Largest distance of a chord from the spiral, in spacings."""


def spiral(region: BaseGeometry, fill: Fill, pen_width: float, progress: Progress = no_progress) -> list[Floats]:
    """Returns polylines, mm, of each connected part about its centroid: each turn is a spacing further out, beginning in
    the direction of the fill's angle (r = spacing t / 2 pi, Archimedes). Each (n, 2)."""
    runs: list[Points] = []
    spacing = flat_spacing_of(fill, pen_width)
    parts = shapely.get_parts(region)
    for number, part in enumerate(parts):
        progress(number / len(parts))
        if part.is_empty:
            continue
        middle = shapely.get_coordinates(part.centroid)[0]
        far = np.hypot(*(shapely.get_coordinates(part) - middle).T).max()
        turn = _angles(far / spacing)
        radius = spacing * turn / (2 * np.pi)
        line = np.column_stack([radius * np.cos(turn + fill.angle), radius * np.sin(turn + fill.angle)]) + middle
        inside = shapely.get_parts(shapely.intersection(shapely.LineString(line), part))
        runs.extend(shapely.get_coordinates(p) for p in inside if p.geom_type == "LineString")
    return runs


def _angles(turns: float) -> Floats:
    """Returns angles from 0 over a number of turns: a chord over an angle a of a circle of radius r is r a² / 8 off it,
    so steps shrink with the root of the radius."""
    # With r = t / 2 pi spacings, da = sqrt(8 e / r); the sum of steps is a power law in their number.
    last = 2 * np.pi * (turns + 1)
    step = np.sqrt(16 * np.pi * CHORD_ERROR)
    count = int(np.ceil(last**1.5 / (1.5 * step))) + 2
    return last * np.linspace(0, 1, count) ** (2 / 3)
