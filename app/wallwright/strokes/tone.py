"""Tone: the local ink density of a shape."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from wallwright.artwork.drawing import Drawing, Shape
from wallwright.artwork.paints import VaryingPaint
from wallwright.artwork.raster.tone import luminance
from wallwright.artwork.sampling import let_through
from wallwright.document.arrays import Floats, Points

Tone = Callable[[Floats], Floats]
"""Maps (n, 2) points on the wall, mm, to (n,) 0 (no ink) to 1 (the full fill)."""
FULL = 0.995


def tone_of(drawing: Drawing, shape: Shape, matrix: Floats, region: BaseGeometry) -> Tone | None:
    """Returns the tone of a shape on a region of the wall; None if it is full everywhere. matrix: (2, 3) artwork to wall.

    A varying paint is drawn with one pen, at full density where it is darkest: ink on a share of the wall removes that
    share of its darkness (1 - luminance) (Murray and Davies, "Monotone reproduction in photoengraving", Journal of the
    Franklin Institute 221, 1936). Translucent paint, layers and masks reduce it.
    """
    layers = [drawing.layers[n] for n in shape.layers]
    masks = [mask for layer in layers for mask in layer.masks]
    through = float(np.prod([layer.opacity for layer in layers]))
    varying = shape.paint if isinstance(shape.paint, VaryingPaint) else None
    if varying is None and not masks and through * shape.paint.opacity >= FULL:
        return None
    back = np.linalg.inv(np.vstack([matrix, [0, 0, 1]]))
    darkest = 0.0

    def in_artwork(points: Points) -> Floats:
        return points @ back[:2, :2].T + back[:2, 2]

    if varying is not None:
        darkest = float((1 - luminance(varying.rgba_at(in_artwork(_spread(region)))[:, :3] * 255)).max())

    def tone(points: Points) -> Floats:
        points = in_artwork(points)
        if varying is None:
            density = np.full(len(points), shape.paint.opacity * through)
        else:
            rgba = varying.rgba_at(points)
            dark = (1 - luminance(rgba[:, :3] * 255)) / max(darkest, 1e-9)
            density = np.clip(dark, 0, 1) * rgba[:, 3] * through
        for mask in masks:
            density = density * let_through(mask, points)
        return density

    return tone


def _spread(region: BaseGeometry) -> Floats:
    """Returns (n, 2) points spread over a region."""
    x0, y0, x1, y1 = region.bounds
    x, y = np.meshgrid(np.linspace(x0, x1, 24), np.linspace(y0, y1, 24))
    points = np.column_stack([x.ravel(), y.ravel()])
    inside = points[shapely.contains_xy(region, points)]
    return inside if len(inside) else shapely.get_coordinates(shapely.point_on_surface(region))
