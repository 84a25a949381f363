"""Shapes as valid regions on the wall, and regions back to rings."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import numpy as np
import shapely
from shapely.affinity import affine_transform
from shapely.geometry.base import BaseGeometry

from wallwright.artwork.drawing import Shape
from wallwright.document.arrays import Floats, Integers, Objects, Points

CapStyle = Literal["flat", "round", "square"]
JoinStyle = Literal["mitre", "round", "bevel"]


def region_of(paths: Sequence[Points], even_odd: bool) -> BaseGeometry:
    """The region that rings enclose under a fill rule, as a valid (multi)polygon. Rings: (n, 2) mm, not repeated.

    Self-crossing rings are cut at their crossings; each face counts by its winding number (SVG 1.1, 11.3).
    """
    rings = [p for p in paths if len(p) >= 3]
    if not rings:
        return shapely.Polygon()
    if len(rings) == 1 and (simple := shapely.Polygon(rings[0])).is_valid:
        return simple
    lines = shapely.linestrings(
        np.concatenate([np.concatenate([r, r[:1]]) for r in rings]),
        indices=np.repeat(np.arange(len(rings)), [len(r) + 1 for r in rings]),
    )
    faces = shapely.get_parts(shapely.polygonize([shapely.unary_union(lines)]))
    if not len(faces):
        return shapely.Polygon()
    inside = shapely.get_coordinates(shapely.point_on_surface(faces))
    winding = winding_numbers(rings, inside)
    kept = faces[(winding % 2 != 0) if even_odd else (winding != 0)]
    return shapely.unary_union(kept) if len(kept) else shapely.Polygon()


def winding_numbers(rings: Sequence[Points], points: Points) -> Integers:
    """(n,) how often the rings together turn around each point. Rings and points in one unit, as a rule mm."""
    total = np.zeros(len(points), dtype=np.int64)
    x, y = points[:, :1], points[:, 1:]
    for ring in rings:
        a, b = ring, np.roll(ring, -1, axis=0)
        for i in range(0, len(a), 4096):  # keeps the table of points by edges small
            ax, ay, bx, by = a[i : i + 4096, 0], a[i : i + 4096, 1], b[i : i + 4096, 0], b[i : i + 4096, 1]
            left = (bx - ax) * (y - ay) - (x - ax) * (by - ay)
            up = (ay <= y) & (by > y) & (left > 0)
            down = (ay > y) & (by <= y) & (left < 0)
            total += up.sum(axis=1) - down.sum(axis=1)
    return total


def stroked_region(shape: Shape, paths: Sequence[Points], width: float) -> BaseGeometry:
    """The region that lines, (n, 2) mm, cover when drawn with a width in mm, their caps and joins. The nib and the clip of
    the shape are left to painted_region. matrix: (2, 3) to the wall, mm; None: artwork frame."""
    caps: dict[str, CapStyle] = {"butt": "flat", "round": "round", "square": "square"}
    joins: dict[str, JoinStyle] = {"miter": "mitre", "round": "round", "bevel": "bevel"}
    closed = shape.closed or (False,) * len(paths)
    lines = [
        shapely.LinearRing(p) if c and len(p) >= 3 else shapely.LineString(p)
        for p, c in zip(paths, closed, strict=True)
        if len(p) >= 2
    ]
    if not lines:
        return shapely.Polygon()
    covered = shapely.buffer(
        np.array(lines, dtype=object),
        width / 2,
        quad_segs=16,
        cap_style=caps.get(shape.cap, "flat"),
        join_style=joins.get(shape.join, "mitre"),
        mitre_limit=shape.miter_limit,
    )
    return shapely.unary_union(covered)


def painted_region(shape: Shape, matrix: Floats | None = None) -> BaseGeometry:
    """All that a shape covers: its region, or what its lines cover. matrix: (2, 3) to the wall; None: artwork frame.

    In mm.
    """
    if shape.is_region:
        return region_of([placed(p, matrix) for p in shape.paths], shape.even_odd)
    paths: Sequence[Points] = shape.paths
    if shape.nib:
        back = np.linalg.inv(np.reshape(shape.nib, (2, 2)))
        paths = [p @ back.T for p in paths]
    region = stroked_region(shape, paths, shape.width)
    if shape.nib:
        a, b, c, d = shape.nib
        region = affine_transform(region, [a, b, c, d, 0, 0])
    if shape.clip is not None:
        region = shapely.intersection(region, region_of(shape.clip, True))
    if matrix is not None:
        (a, b, x), (c, d, y) = matrix.tolist()
        region = affine_transform(region, [a, b, c, d, x, y])
    return region


def placed(points: Points, matrix: Floats | None) -> Floats:
    """(n, 2) points through a (2, 3) map, or as they are. In mm."""
    return points if matrix is None else points @ matrix[:, :2].T + matrix[:, 2]


def rings_of(region: BaseGeometry) -> list[Points]:
    """Closed rings (first point repeated) of a region, outer and inner. Each (n, 2), mm."""
    rings = []
    for polygon in shapely.get_parts(region):
        if polygon.geom_type == "Polygon" and not polygon.is_empty:
            rings.append(shapely.get_coordinates(polygon.exterior))
            rings.extend(shapely.get_coordinates(ring) for ring in polygon.interiors)
    return rings


def all_rings(regions: Objects) -> tuple[Objects, Integers]:
    """LinearRings of many regions (n,), outer and inner as rings_of has them, and the number of the region of each."""
    parts, region = shapely.get_parts(regions, return_index=True)
    kept = (shapely.get_type_id(parts) == shapely.GeometryType.POLYGON) & ~shapely.is_empty(parts)
    rings, part = shapely.get_rings(parts[kept], return_index=True)
    return rings, region[kept][part]


def all_lines(geometries: Objects) -> tuple[Objects, Integers]:
    """Line parts of many geometries (n,) as lines_of has them, and the number of the geometry of each."""
    parts, of = shapely.get_parts(geometries, return_index=True)
    types = shapely.get_type_id(parts)
    kept = (types == shapely.GeometryType.LINESTRING) | (types == shapely.GeometryType.LINEARRING)
    kept &= ~shapely.is_empty(parts)
    return parts[kept], of[kept]


def lines_of(geometry: BaseGeometry) -> list[Points]:
    """Polylines, (n, 2) mm, of a geometry's line parts. Each (n, 2)."""
    parts = shapely.get_parts(geometry)
    return [shapely.get_coordinates(p) for p in parts if p.geom_type in ("LineString", "LinearRing") and not p.is_empty]
