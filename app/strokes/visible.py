"""What is seen: painter's order resolved, so that nothing hidden under a later opaque shape is drawn."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from app.artwork.drawing import Drawing
from app.artwork.regions import region_of, stroked_region
from app.document.placing import transform

OPAQUE = 0.995
"""Opacity from which a shape hides what is under it."""
SLIVER = 1e-4
"""mm²: what is left of a region below this is rounding, not ink."""


@dataclass(frozen=True)
class Seen:
    """The visible part of one shape, on the wall."""

    source: int
    """Index into Drawing.shapes."""
    colour: str
    opacity: float
    region: BaseGeometry | None
    """Area to be filled, mm, when it is one."""
    lines: BaseGeometry | None
    """Centrelines to be drawn, when it is lines thin enough for the pen."""


def painted(
    drawing: Drawing, matrix: np.ndarray, is_line: Sequence[bool], progress: Callable[[float], None]
) -> list[BaseGeometry]:
    """Each shape's geometry on the wall: a region, or a MultiLineString where is_line says so."""
    scale = float(np.sqrt(abs(np.linalg.det(matrix[:, :2]))))
    result: list[BaseGeometry] = []
    for i, shape in enumerate(drawing.shapes):
        if i % 64 == 0:
            progress(i / len(drawing.shapes))
        paths = [transform(matrix, p) for p in shape.paths]
        if shape.is_region:
            result.append(region_of(paths, shape.even_odd))
        elif is_line[i]:
            closed = shape.closed or (False,) * len(paths)
            runs = [
                np.concatenate([p, p[:1]]) if c else p
                for p, c in zip(paths, closed, strict=True)
                if len(p) >= 2
            ]
            result.append(_lines(runs))
        else:
            result.append(stroked_region(shape, paths, shape.width * scale))
    return result


def _lines(runs: list[np.ndarray]) -> BaseGeometry:
    if not runs:
        return shapely.MultiLineString()
    indices = np.repeat(np.arange(len(runs)), [len(r) for r in runs])
    return shapely.multilinestrings(shapely.linestrings(np.concatenate(runs), indices=indices))


def seen(
    drawing: Drawing, matrix: np.ndarray, is_line: Sequence[bool], progress: Callable[[float], None]
) -> list[Seen]:
    """The visible part of every shape, in painter's order. matrix: (2, 3) artwork to wall.

    Regions that are opaque hide what lies under them, whatever their colour: white paint on white paper is not ink,
    but it hides. Lines hide by their painted width, thin ones too little to matter: they are left out.
    """
    shapes = drawing.shapes
    geometries = painted(drawing, matrix, is_line, lambda done: progress(0.5 * done))
    hides = np.array(
        [not line and s.paint.opacity >= OPAQUE for s, line in zip(shapes, is_line, strict=True)], dtype=bool
    )
    hiders = np.flatnonzero(hides)
    tree = shapely.STRtree([geometries[i] for i in hiders])
    result = []
    for i, (shape, geometry) in enumerate(zip(shapes, geometries, strict=True)):
        if i % 64 == 0:
            progress(0.5 + 0.5 * i / len(shapes))
        if geometry.is_empty:
            continue
        over = hiders[tree.query(geometry, predicate="intersects")]
        over = np.sort(over[over > i])
        if len(over):
            geometry = shapely.difference(geometry, shapely.unary_union([geometries[j] for j in over]))
        if geometry.is_empty or (not is_line[i] and geometry.area < SLIVER):
            continue
        region, lines = (None, geometry) if is_line[i] else (geometry, None)
        result.append(Seen(i, shape.paint.colour, shape.paint.opacity, region, lines))
    return result
