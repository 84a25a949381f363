"""Contour fill: the region's edge again and again, each a spacing further in."""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from app.artwork.regions import rings_of


def contour(region: BaseGeometry, spacing: float, angle: float, pen_width: float) -> list[np.ndarray]:
    """Closed rings, outermost first. The first lies a spacing inside the given region; angle has no meaning here."""
    rings: list[np.ndarray] = []
    inner = region
    while True:
        inner = shapely.buffer(inner, -spacing, join_style="round", quad_segs=8)
        if inner.is_empty:
            return rings
        rings.extend(rings_of(inner))
