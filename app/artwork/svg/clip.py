"""Clip paths, and the clipping of nested viewports, as geometry (SVG 1.1, 14.3 and 14.3.3)."""

from __future__ import annotations

import dataclasses
import xml.etree.ElementTree as ET
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from app.artwork.drawing import Severity, Shape
from app.artwork.regions import lines_of, region_of, rings_of
from app.artwork.svg.numbers import MM_PER_PX
from app.artwork.svg.paint import URL
from app.artwork.svg.parse import local
from app.artwork.svg.place import Place
from app.artwork.svg.transforms import transform_of
from app.document.language import tr

if TYPE_CHECKING:
    from app.artwork.svg.walk import Reader

DEEPEST = 10
"""Clip paths that clip clip paths; more is a loop."""


def clip_shapes(reader: Reader, first: int, value: str, place: Place, name: str) -> None:
    """Clips what the reader has found since its shape number `first` by a clip-path value."""
    match = URL.match(value)
    target = reader.by_id.get(match[1]) if match else None
    if target is None or local(target) != "clipPath":
        # SVG 2 and CSS Masking 1: a reference to nothing clips nothing.
        reader.tell(
            Severity.WARNING,
            name,
            tr("its clip path '{0}' is not in the file; it is drawn whole", value[:30]),
        )
        return
    region = clip_region(reader, target, place, first, 0)
    reader.shapes[first:] = [c for c in (clipped(s, region) for s in reader.shapes[first:]) if c is not None]


def clip_region(reader: Reader, target: ET.Element, place: Place, first: int, depth: int) -> BaseGeometry:
    """The region of a clipPath element on the page, mm."""
    if depth > DEEPEST:
        return shapely.Polygon()
    matrix = place.matrix
    if target.get("clipPathUnits") == "objectBoundingBox":
        matrix = matrix @ _box_matrix(reader.shapes[first:], place.matrix)
    matrix = matrix @ transform_of(target.get("transform"))
    own = reader.cascade.own(target)
    inner = dataclasses.replace(place, matrix=matrix, opacity=1.0, style=reader.style_of(target, place.style))
    kept, reader.shapes = reader.shapes, []
    parts = []
    try:
        for child in target:
            reader.clipping = True
            start = len(reader.shapes)
            reader.element(child, inner)
            parts += [region_of(s.paths, s.even_odd) for s in reader.shapes[start:]]
    finally:
        reader.shapes, reader.clipping = kept, False
    region = shapely.union_all(parts) if parts else shapely.Polygon()
    outer = own.get("clip-path", "none")
    if outer != "none" and (match := URL.match(outer)) and (other := reader.by_id.get(match[1])) is not None:
        region = region & clip_region(reader, other, place, first, depth + 1)
    return region


def clip_to_viewport(reader: Reader, first: int, matrix: np.ndarray, width: float, height: float) -> None:
    """Clips shapes found since number `first` to a viewport at the origin of `matrix`, px."""
    corners = np.array([[0, 0, 1], [width, 0, 1], [width, height, 1], [0, height, 1.0]])
    region = shapely.Polygon((corners @ matrix.T)[:, :2] * MM_PER_PX)
    shapely.prepare(region)
    reader.shapes[first:] = [c for c in (clipped(s, region) for s in reader.shapes[first:]) if c is not None]


def clipped(shape: Shape, region: BaseGeometry) -> Shape | None:
    """The part of a shape in a region; None when nothing is left. Lines are cut along their middle."""
    if not shape.is_region:
        closed = shape.closed or (False,) * len(shape.paths)
        runs = [np.concatenate([p, p[:1]]) if c else p for p, c in zip(shape.paths, closed, strict=True)]
        lines = shapely.multilinestrings(
            shapely.linestrings(
                np.concatenate(runs), indices=np.repeat(np.arange(len(runs)), [len(r) for r in runs])
            )
        )
        if shapely.covers(region, shapely.buffer(lines, shape.width / 2)):
            return shape
        parts = lines_of(shapely.intersection(lines, region))
        return dataclasses.replace(shape, paths=tuple(parts), closed=(False,) * len(parts)) if parts else None
    whole = region_of(shape.paths, shape.even_odd)
    if shapely.covers(region, whole):
        return shape
    rings = [ring[:-1] for ring in rings_of(shapely.intersection(whole, region))]
    return dataclasses.replace(shape, paths=tuple(rings), even_odd=True) if rings else None


def _box_matrix(shapes: list[Shape], matrix: np.ndarray) -> np.ndarray:
    """(3, 3) from the unit square to the box of shapes in the user space of `matrix`."""
    if not shapes or abs(np.linalg.det(matrix[:2, :2])) < 1e-12:
        return np.zeros((3, 3))
    points = np.concatenate([p for s in shapes for p in s.paths]) / MM_PER_PX
    user = np.column_stack([points, np.ones(len(points))]) @ np.linalg.inv(matrix).T
    low, high = user[:, :2].min(axis=0), user[:, :2].max(axis=0)
    return np.array([[high[0] - low[0], 0, low[0]], [0, high[1] - low[1], low[1]], [0, 0, 1.0]])
