"""Clip paths, and the clipping of nested viewports, as geometry (CSS Masking 1, section 5; SVG 2, 8.7 overflow)."""

from __future__ import annotations

import dataclasses
import xml.etree.ElementTree as ET
from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from wallwright.artwork.clipping import clip_shape
from wallwright.artwork.drawing import Severity, Shape
from wallwright.artwork.shape_regions import region_of
from wallwright.artwork.svg.boxes import Box, box_matrix, corners
from wallwright.artwork.svg.context import ReadingContext, mapped
from wallwright.artwork.svg.numbers import MM_PER_PX, BadNumber
from wallwright.artwork.svg.references import URL, target_of
from wallwright.artwork.svg.sink import ShapeSink
from wallwright.artwork.svg.transforms import transform_of
from wallwright.artwork.svg.xml_parser import href, local
from wallwright.document.arrays import Floats, Points
from wallwright.document.language import tr

OUTLINED = ("path", "rect", "circle", "ellipse", "line", "polyline", "polygon", "text")
"""What a clip path may hold, itself or by use; anything else in it counts for nothing."""
OVER_EDGE = 1e-4
"""Of the page's longer side: what reaches no farther beyond the page is left whole, for it is rounding."""
FAR_OVER_EDGE = 1e-2
"""Of the page's longer side: from here on a person is warned that something is cut off."""


def clip_shapes(
    shapes: Sequence[Shape], context: ReadingContext, sink: ShapeSink, name: str, box: Box | None
) -> Sequence[Shape]:
    """Shapes of an element as its clip-path leaves them. box: of the element, user units. Raises BadFile."""
    value = context.style["clip-path"]
    target = target_of(context.document, value)
    if target is None:
        # A reference to nothing clips nothing.
        text = tr("its clip path “{0}” is not in the file; it is drawn without clipping", value[:30])
        sink.report(Severity.WARNING, name, text)
        return shapes
    if local(target) != "clipPath":
        sink.report(
            Severity.ERROR,
            name,
            tr("is not drawn: its clip path points to something that is not a clip path"),
        )
        return ()
    if id(target) in context.open:
        sink.report(Severity.WARNING, name, tr("its clip path refers to itself; it is drawn without clipping"))
        return shapes
    return cut_shapes(shapes, clip_region(target, context, sink, box))


def clip_region(target: ET.Element, context: ReadingContext, sink: ShapeSink, box: Box | None) -> BaseGeometry:
    """The region of a clipPath element on the page, mm. Raises BadFile."""
    document, matrix = context.document, context.matrix
    try:
        matrix = matrix @ transform_of(target.get("transform"))
    except BadNumber:
        return shapely.Polygon()
    if target.get("clipPathUnits") == "objectBoundingBox":
        unit = box_matrix(box)
        if unit is None:
            return shapely.Polygon()
        matrix = matrix @ unit
    style = document.style_at(target)
    inner = dataclasses.replace(
        context.inside(target), matrix=matrix, opacity=1.0, style=style, paint_context=None, is_clip=True
    )
    found = sink.apart()
    for child in target:
        shown = document.by_id.get(href(child).removeprefix("#")) if local(child) == "use" else child
        if shown is not None and local(shown) in OUTLINED:
            context.elements.read(child, inner, found)
    parts = [region_of(s.paths, s.even_odd) for s in found.shapes]
    region = shapely.union_all(parts) if parts else shapely.Polygon()
    outer = target_of(document, style["clip-path"])
    if outer is not None and local(outer) == "clipPath" and not _leads_back(outer, inner):
        region = region & clip_region(outer, dataclasses.replace(context, open=inner.open), sink, box)
    return region


def _leads_back(element: ET.Element | None, context: ReadingContext) -> bool:
    """Whether the clip path of a clip path, and so on, is one that is being read."""
    met: set[int] = set()
    while element is not None and id(element) not in met:
        if id(element) in context.open:
            return True
        met.add(id(element))
        match = URL.match(context.document.style_at(element)["clip-path"])
        element = context.document.by_id.get(match[1]) if match else None
    return False


def clip_to_viewport(shapes: Sequence[Shape], matrix: Floats, width: float, height: float) -> Sequence[Shape]:
    """Shapes cut to a viewport of width by height at the origin of `matrix`, (3, 3) to px.

    width, height: numbers in user units.
    """
    edge = MM_PER_PX * mapped(matrix, corners((0, 0, width, height)))
    return cut_shapes(shapes, shapely.Polygon(edge))


def clip_to_page(shapes: Sequence[Shape], name: str, sink: ShapeSink, width: float, height: float) -> Sequence[Shape]:
    """Shapes cut to the page, px: web browsers and resvg show nothing beyond it, even where the file says
    overflow="visible". Lines along the page's edge, of which at least half the width is on the page, stay whole."""
    size = MM_PER_PX * np.array([width, height])
    region = shapely.box(0.0, 0.0, *size)
    found, is_warned = [], False
    for shape, beyond in zip(shapes, _beyond(shapes, size), strict=True):
        cut = shape if beyond <= max(OVER_EDGE * size.max(), shape.width / 2) else clip_shape(shape, region)
        is_warned |= cut is not shape and beyond > FAR_OVER_EDGE * size.max()
        found += [] if cut is None else [cut]
    if is_warned:
        text = tr(
            "part of the drawing lies off its page and is not drawn, as viewers do not show it. To draw it, enlarge the "
            "page in your drawing program"
        )
        sink.report(Severity.WARNING, name, text)
    return found


AT_ONCE = 100_000
"""Points of shapes that are handled together, at least: numpy takes longer for a shape than for its points."""


def _beyond(shapes: Sequence[Shape], size: Floats) -> Iterator[float]:
    """How far, in mm, the points of each shape reach beyond a page of a size (2,) mm; at least 0."""
    paths: list[Points] = []
    begins, points = [], 0
    for number, shape in enumerate(shapes, 1):
        paths.extend(shape.paths)
        begins.append(points)
        points += sum(map(len, shape.paths))
        if points < AT_ONCE and number < len(shapes):
            continue
        x, y = np.concatenate(paths).T
        reach = [np.maximum.reduceat(side, begins) for side in (-x, x - size[0], -y, y - size[1])]
        yield from np.maximum(np.max(reach, axis=0), 0.0).tolist()
        paths, begins, points = [], [], 0


def cut_shapes(shapes: Sequence[Shape], region: BaseGeometry) -> Sequence[Shape]:
    """Shapes cut to a region, mm."""
    shapely.prepare(region)
    return [c for c in (clip_shape(s, region) for s in shapes) if c is not None]
