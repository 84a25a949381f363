"""Shapes cut to a region of the page."""

from __future__ import annotations

import dataclasses

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from wallwright.artwork.drawing import Shape
from wallwright.artwork.shape_regions import region_of, rings_of


def paint_reach(shape: Shape) -> float:
    """How far, in mm, a shape may paint beyond its paths."""
    if shape.is_region:
        return 0.0
    most = float(np.linalg.norm(np.reshape(shape.nib, (2, 2)), 2)) if shape.nib else 1.0
    return shape.width / 2 * most * max(shape.miter_limit if shape.join.startswith("miter") else 1.0, 1.5)


def clip_shape(shape: Shape, region: BaseGeometry) -> Shape | None:
    """The part of a shape in a region, mm; None when nothing is left. Lines keep their course and get a clip."""
    points = np.concatenate(shape.paths)
    far = paint_reach(shape)
    around = shapely.box(*(points.min(axis=0) - far), *(points.max(axis=0) + far))
    if region.contains(around):
        return shape
    if not region.intersects(around):
        return None
    if not shape.is_region:
        if shape.clip is not None:
            region = region & region_of(shape.clip, True)
        rings = tuple(ring[:-1] for ring in rings_of(region))
        return dataclasses.replace(shape, clip=rings) if rings else None
    whole = region_of(shape.paths, shape.even_odd)
    rings = tuple(ring[:-1] for ring in rings_of(shapely.intersection(whole, region)))
    return dataclasses.replace(shape, paths=rings, even_odd=True) if rings else None
