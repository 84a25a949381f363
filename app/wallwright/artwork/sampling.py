"""What colour a scene has at points, worked out from its geometry."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence

import numpy as np
import shapely

from wallwright.artwork.colour import rgb_of
from wallwright.artwork.drawing import PaintLayer, PaintMask, Shape, ShapeTree
from wallwright.artwork.paints import VaryingPaint
from wallwright.artwork.shape_regions import painted_region
from wallwright.document.arrays import Floats, Points

LIGHT = np.array([0.2125, 0.7154, 0.0721])
"""Shares of red, green and blue in a mask's light (SVG 2, 14.5: the coefficients of luminanceToAlpha)."""


def rgba_at(scene: ShapeTree, points: Points, is_coarse: bool = False) -> Floats:
    """(n, 4) sRGB and opacity, 0 to 1, colour not multiplied by opacity, at (n, 2) points in mm.

    is_coarse: patterns count as their mean colour; patterns in patterns would otherwise take for ever.
    """
    shapes: Sequence[Shape] = scene.shapes
    if is_coarse:
        shapes = [
            dataclasses.replace(s, paint=s.paint.coarse()) if isinstance(s.paint, VaryingPaint) else s for s in shapes
        ]
    result = _painted(shapes, scene.layers, points, 0)
    result[:, :3] /= np.maximum(result[:, 3:], 1e-9)
    return result


def let_through(mask: PaintMask, points: Points) -> Floats:
    """(n,) how much of what is under a mask is seen at points, 0 to 1."""
    rgba = rgba_at(mask.scene, points)
    through = rgba[:, 3] * (rgba[:, :3] @ LIGHT if mask.is_luminance else 1.0)
    if mask.box is not None:
        through = through * shapely.contains_xy(shapely.Polygon(mask.box), points)
    return through


def _painted(shapes: Sequence[Shape], layers: Sequence[PaintLayer], points: Points, depth: int) -> Floats:
    """(n, 4), colour multiplied by opacity."""
    ground = np.zeros((len(points), 4))
    i = 0
    while i < len(shapes):
        if len(shapes[i].layers) <= depth:
            over = _of_shape(shapes[i], points)
            i += 1
        else:
            number, end = shapes[i].layers[depth], i
            while end < len(shapes) and shapes[end].layers[depth : depth + 1] == (number,):
                end += 1
            over = _painted(shapes[i:end], layers, points, depth + 1) * layers[number].opacity
            for mask in layers[number].masks:
                over *= let_through(mask, points)[:, None]
            i = end
        ground = over + ground * (1 - over[:, 3:])
    return ground


def _of_shape(shape: Shape, points: Points) -> Floats:
    region = painted_region(shape)
    shapely.prepare(region)
    inside = shapely.contains_xy(region, points)
    result = np.zeros((len(points), 4))
    if isinstance(shape.paint, VaryingPaint):
        result[inside] = shape.paint.rgba_at(points[inside])
    else:
        result[inside] = [*(v / 255 for v in rgb_of(shape.paint.colour)), shape.paint.opacity]
    result[:, :3] *= result[:, 3:]
    return result
