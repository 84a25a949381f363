"""Patterns as the shapes they show, for what draws shapes only."""

from __future__ import annotations

import dataclasses

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from wallwright.artwork.clipping import clip_shape
from wallwright.artwork.drawing import Drawing, Paint, PaintLayer, Shape, ShapeTree
from wallwright.artwork.paints import with_opacity
from wallwright.artwork.shape_regions import lines_of, painted_region, region_of, rings_of
from wallwright.artwork.tile_paint import TilePaint
from wallwright.document.arrays import Floats, Integers, Points

MOST = 20_000
"""Copies of shapes that one pattern may ask for; a finer one is drawn in its mean colour."""


def untiled(drawing: Drawing) -> tuple[Drawing, Integers]:
    """The drawing with every pattern replaced by what its tiles show, and (n,) which shape each came from.

    Numbers of shapes in the drawing given.
    """
    if not any(isinstance(s.paint, TilePaint) for s in drawing.shapes):
        return drawing, np.arange(len(drawing.shapes))
    scene, source = _untiled(ShapeTree(drawing.shapes, drawing.layers), {})
    return dataclasses.replace(drawing, shapes=scene.shapes, layers=scene.layers), source


Known = dict[int, ShapeTree]
"""Tiles' scenes worked out already, by id(): patterns in patterns share them."""


def _untiled(scene: ShapeTree, known: Known) -> tuple[ShapeTree, Integers]:
    shapes: list[Shape] = []
    layers, source = list(scene.layers), list[int]()
    for number, shape in enumerate(scene.shapes):
        paint = shape.paint
        found = _shown(shape, paint, layers, known) if isinstance(paint, TilePaint) else [shape]
        shapes += found
        source += [number] * len(found)
    return ShapeTree(tuple(shapes), tuple(layers)), np.array(source, dtype=np.int64)


def _shown(shape: Shape, tiles: TilePaint, layers: list[PaintLayer], known: Known) -> list[Shape]:
    """The shapes that a tiled shape shows; appends the layers they need."""
    region = painted_region(shape)
    if region.is_empty:
        return []
    back, size = np.linalg.inv(tiles.to_page), np.array(tiles.size)
    corners = shapely.get_coordinates(shapely.envelope(region)) @ back[:2, :2].T + back[:2, 2]
    low = np.floor(corners.min(axis=0) / size).astype(int)
    high = np.ceil(corners.max(axis=0) / size).astype(int)
    if id(tiles.scene) not in known:
        known[id(tiles.scene)] = _untiled(tiles.scene, known)[0]
    scene = known[id(tiles.scene)]
    if np.prod(high - low) * len(scene.shapes) > MOST:
        return [dataclasses.replace(shape, paint=Paint(tiles.colour, tiles.opacity))]
    i, j = (a.ravel() for a in np.meshgrid(np.arange(low[0], high[0]), np.arange(low[1], high[1])))
    moves = np.column_stack([i, j]) * size
    first = len(layers)
    layers += scene.layers
    edge = shapely.box(0, 0, *size)
    edges = tuple(ring[:-1] for ring in rings_of(region))
    found = []
    for part in scene.shapes:
        part = dataclasses.replace(
            part,
            layers=(*shape.layers, *(first + n for n in part.layers)),
            element=shape.element,
            group=shape.group,
            paint=with_opacity(Paint(part.paint.colour, part.paint.opacity), tiles.strength),
        )
        shown = _region(part, edge, moves, tiles, region) if part.is_region else _lines(part, edge, moves, tiles, edges)
        if shown is not None:
            found.append(shown)
    return found


def _placed(path: Points, moves: Floats, tiles: TilePaint) -> list[Points]:
    """A path of the tile in every tile on the page."""
    copies = path[None] + moves[:, None]
    return list(copies @ tiles.to_page[:2, :2].T + tiles.to_page[:2, 2])


def _region(part: Shape, edge: BaseGeometry, moves: Floats, tiles: TilePaint, region: BaseGeometry) -> Shape | None:
    inside = clip_shape(part, edge)
    if inside is None:
        return None
    rings = [_placed(ring, moves, tiles) for ring in inside.paths]
    copies = [region_of(copy, inside.even_odd) for copy in zip(*rings, strict=True)]
    # On a fine grid, so that tiles that touch have no seam.
    whole = shapely.intersection(shapely.union_all(copies, grid_size=1e-6), region)
    paths = tuple(ring[:-1] for ring in rings_of(whole))
    return dataclasses.replace(inside, paths=paths, even_odd=True) if paths else None


def _lines(part: Shape, edge: BaseGeometry, moves: Floats, tiles: TilePaint, clip: tuple[Points, ...]) -> Shape | None:
    closed = part.closed or (False,) * len(part.paths)
    paths = []
    for path, is_closed in zip(part.paths, closed, strict=True):
        line = shapely.LineString(np.concatenate([path, path[:1]]) if is_closed else path)
        within = [path] if edge.contains(line) else lines_of(shapely.intersection(line, edge))
        paths += [(copy, is_closed and edge.contains(line)) for p in within for copy in _placed(p, moves, tiles)]
    if not paths:
        return None
    linear = tiles.to_page[:2, :2] @ (np.reshape(part.nib, (2, 2)) if part.nib else np.eye(2))
    long, short = np.linalg.svd(linear, compute_uv=False)
    nib = None
    if long / short >= 1 + 1e-6:
        a, b, c, d = (linear / np.sqrt(long * short)).ravel().tolist()
        nib = (a, b, c, d)
    return dataclasses.replace(
        part, paths=tuple(p for p, _ in paths), closed=tuple(c for _, c in paths), nib=nib, clip=clip
    )
