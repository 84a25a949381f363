"""Visible parts of shapes: resolves painter's order, so that nothing hidden under a later opaque shape is drawn."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import cast

import numpy as np
import shapely
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from shapely.geometry.base import BaseGeometry

from wallwright.artwork.drawing import Drawing, Shape
from wallwright.artwork.paints import VaryingPaint
from wallwright.artwork.shape_regions import painted_region, region_of
from wallwright.document.arrays import Floats, Integers, Points
from wallwright.document.placing import transform
from wallwright.strokes.line_geometries import line_strings
from wallwright.strokes.mixed_tone import SeenColour
from wallwright.strokes.tone import Tone, tone_of

OPAQUE = 0.995
"""Opacity from which a shape hides what is under it."""
SLIVER = 1e-4
"""Area, mm², below which the remainder of a region is rounding, not ink."""
TOUCH = 1e-4
"""Distance, mm, up to which things touch."""
AT_ONCE = 64
"""Number of shapes processed between two checks for cancel."""


@dataclass(frozen=True)
class VisibleShape:
    """The visible part of one shape, on the wall."""

    source: int
    """Index into Drawing.shapes."""
    colour: str
    opacity: float
    region: BaseGeometry | None
    """Area to fill, mm, if it is a region."""
    lines: BaseGeometry | None
    """Centrelines to draw, if it consists of lines thin enough for the pen."""
    tone: Tone | None = None
    """Its local ink density; None: full."""
    no_edge: BaseGeometry | None = None
    """Region within which the edge is not drawn, because a neighbour's is."""
    seen: SeenColour | None = None
    """For translucent or varying shapes mixed from the pens: the visible colour, including everything below."""


def painted(
    drawing: Drawing, matrix: Floats, is_line: Sequence[bool], progress: Callable[[float], None]
) -> list[BaseGeometry]:
    """Returns each shape's geometry on the wall: a region, or a MultiLineString where is_line says so.

    matrix: (2, 3) artwork to wall, mm.
    """
    result: list[BaseGeometry] = []
    for i, shape in enumerate(drawing.shapes):
        if i % 64 == 0:
            progress(i / len(drawing.shapes))
        if is_line[i]:
            paths = [transform(matrix, p) for p in shape.paths]
            closed = shape.closed or (False,) * len(paths)
            runs = [np.concatenate([p, p[:1]]) if c else p for p, c in zip(paths, closed, strict=True) if len(p) >= 2]
            lines = _lines(runs)
            if shape.clip is not None:
                lines = shapely.intersection(lines, region_of([transform(matrix, p) for p in shape.clip], True))
            result.append(lines)
        else:
            result.append(painted_region(shape, matrix))
    return result


def _lines(runs: list[Points]) -> BaseGeometry:
    if not runs:
        return shapely.MultiLineString()
    indices = np.repeat(np.arange(len(runs)), [len(r) for r in runs])
    return cast("BaseGeometry", shapely.multilinestrings(line_strings(np.concatenate(runs), indices)))


def visible_shapes(
    drawing: Drawing,
    matrix: Floats,
    is_line: Sequence[bool],
    progress: Callable[[float], None],
    is_mixed: Sequence[bool] | None = None,
) -> list[VisibleShape]:
    """Returns the visible part of every shape, in painter's order. matrix: (2, 3) artwork to wall. is_mixed: shapes that,
    where they are translucent or vary, are drawn in the visible colour, including everything below; they hide it.

    Opaque regions hide what lies under them, whatever their colour: white paint on white paper is not ink, but it hides.
    Lines hide by their painted width, except thin ones, which have too little effect. In a layer that is translucent as a
    whole, shapes hide each other, and nothing outside it.
    """
    shapes = drawing.shapes
    geometries = painted(drawing, matrix, is_line, lambda done: progress(0.5 * done))
    seen = np.zeros(len(shapes), dtype=bool)
    if is_mixed is not None:
        seen[:] = [
            mixed and not line and is_soft(drawing, shape)
            for shape, line, mixed in zip(shapes, is_line, is_mixed, strict=True)
        ]
    hides = seen | np.array(
        [not line and s.paint.opacity >= OPAQUE for s, line in zip(shapes, is_line, strict=True)], dtype=bool
    )
    every = shapely.STRtree(geometries) if seen.any() else None
    within = [see_through(drawing, s) for s in shapes]
    hiders = np.flatnonzero(hides)
    tree = shapely.STRtree([geometries[i] for i in hiders])
    result = []
    over_each: list[Integers] = []
    for i, (shape, geometry) in enumerate(zip(shapes, geometries, strict=True)):
        if i % AT_ONCE == 0:
            progress(0.5 + 0.5 * i / len(shapes))
            over_each = _over(tree, hiders, geometries[i : i + AT_ONCE], i)
        over = over_each[i % AT_ONCE].tolist()
        if geometry.is_empty:
            continue
        if drawing.layers and over:
            over = [j for j in over if seen[j] or shapes[j].layers[: within[j]] == shape.layers[: within[j]]]
        if over:
            geometry = shapely.difference(geometry, shapely.unary_union([geometries[j] for j in over]))
        if geometry.is_empty or (not is_line[i] and geometry.area < SLIVER):
            continue
        if seen[i] and every is not None:
            near = np.sort(every.query(geometry, predicate="intersects")).tolist()
            colour = SeenColour.of(drawing, [j for j in near if not is_line[j]], matrix)
            result.append(VisibleShape(i, shape.paint.colour, shape.paint.opacity, geometry, None, seen=colour))
            continue
        region, lines = (None, geometry) if is_line[i] else (geometry, None)
        tone = tone_of(drawing, shape, matrix, geometry)
        if lines is not None and tone is not None:
            lines = _dark_parts(lines, tone)
            if lines.is_empty:
                continue
        result.append(VisibleShape(i, shape.paint.colour, shape.paint.opacity, region, lines, tone))
    return result


def _over(tree: shapely.STRtree, hiders: Integers, geometries: Sequence[BaseGeometry], first: int) -> list[Integers]:
    """Returns the numbers, ascending, of the shapes that overlap each of the geometries, whose own numbers are first,
    first + 1 and so on. tree: of the hiders (h,), which are shape numbers, ascending."""
    shape, found = tree.query(geometries, predicate="intersects")
    over = hiders[found]
    later = over > first + shape
    shape, over = shape[later], over[later]
    order = np.lexsort((over, shape))
    return np.split(over[order], np.searchsorted(shape[order], np.arange(1, len(geometries))))


def with_slices_merged(things: Sequence[VisibleShape], width: float) -> list[VisibleShape]:
    """Returns the things with mixed ones merged if they are thinner than width, mm, and touch each other: a shadow made
    of many overlapping translucent shapes is visible as slices too thin to be hatched one by one."""
    numbers = np.array(
        [
            n
            for n, t in enumerate(things)
            if t.seen is not None and t.region is not None and 2 * t.region.area < width * t.region.length
        ],
        dtype=np.int64,
    )
    if len(numbers) < 2:
        return list(things)
    regions = np.array([things[n].region for n in numbers.tolist()], dtype=object)
    one, other = shapely.STRtree(regions).query(regions, predicate="dwithin", distance=TOUCH)
    size = (len(numbers), len(numbers))
    _, label = connected_components(coo_array((np.ones(len(one)), (one, other)), shape=size), directed=False)
    result: list[VisibleShape | None] = list(things)
    for group in np.unique(label[np.bincount(label)[label] > 1]).tolist():
        mine = numbers[label == group].tolist()
        last = things[mine[-1]]
        for n in mine:
            result[n] = None
        colours = [seen for seen in (things[n].seen for n in mine) if seen is not None]
        region = shapely.union_all(regions[label == group], grid_size=TOUCH)
        result[mine[-1]] = replace(last, region=region, seen=colours[-1].with_others(colours[:-1]))
    return [thing for thing in result if thing is not None]


def is_soft(drawing: Drawing, shape: Shape) -> bool:
    """Returns whether a shape varies from place to place or is translucent."""
    layers = [drawing.layers[n] for n in shape.layers]
    through = shape.paint.opacity * math.prod(layer.opacity for layer in layers)
    return isinstance(shape.paint, VaryingPaint) or through < OPAQUE or any(layer.masks for layer in layers)


def see_through(drawing: Drawing, shape: Shape) -> int:
    """Returns how many of a shape's outer layers are translucent, and so hide nothing outside them."""
    clear = [n for n, k in enumerate(shape.layers) if drawing.layers[k].opacity < OPAQUE or drawing.layers[k].masks]
    return clear[-1] + 1 if clear else 0


def _dark_parts(lines: BaseGeometry, tone: Tone) -> BaseGeometry:
    """Returns, for thin lines whose tone varies by a mask or a gradient, the parts of at least half the tone; a thin line
    cannot be lighter, so a uniformly translucent one stays whole."""
    points = shapely.get_coordinates(shapely.segmentize(lines, 1.0))
    if not len(points):
        return lines
    tones = tone(points)
    if np.ptp(tones) < 0.02:
        return lines if tones[0] > 0.02 else shapely.MultiLineString()
    parts = shapely.get_parts(shapely.segmentize(lines, 1.0))
    runs = []
    for part in parts:
        run = shapely.get_coordinates(part)
        dark = tone((run[:-1] + run[1:]) / 2) >= 0.5
        edges = np.flatnonzero(np.diff(np.concatenate([[False], dark, [False]]).astype(int)))
        runs += [run[a : b + 1] for a, b in zip(edges[::2], edges[1::2], strict=True)]
    return _lines(runs)
