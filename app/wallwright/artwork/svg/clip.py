"""Clip paths, and the clipping of nested viewports, as geometry (CSS Masking 1, section 5; SVG 2, 8.7 overflow)."""

from __future__ import annotations

import dataclasses
import xml.etree.ElementTree as ET
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from wallwright.artwork.clipping import clip_shape
from wallwright.artwork.drawing import Severity, Shape
from wallwright.artwork.shape_regions import region_of
from wallwright.artwork.svg.boxes import Box, box_matrix, corners
from wallwright.artwork.svg.context import Place, mapped
from wallwright.artwork.svg.numbers import MM_PER_PX, BadNumber
from wallwright.artwork.svg.paint import URL
from wallwright.artwork.svg.transforms import transform_of
from wallwright.artwork.svg.xml_parser import href, local
from wallwright.document.language import tr

if TYPE_CHECKING:
    from wallwright.artwork.svg.walk import Reader

OUTLINED = ("path", "rect", "circle", "ellipse", "line", "polyline", "polygon", "text")
"""What a clip path may hold, itself or by use; anything else in it counts for nothing."""
OVER_EDGE = 1e-4
"""Of the page's longer side: what reaches no farther beyond the page is left whole, for it is rounding."""
FAR_OVER_EDGE = 1e-2
"""Of the page's longer side: from here on a person is warned that something is cut off."""


def clip_shapes(reader: Reader, first: int, value: str, place: Place, name: str, box: Box | None) -> None:
    """Clips what the reader has found since its shape number `first`, which has a box in user units."""
    match = URL.match(value)
    target = reader.by_id.get(match[1]) if match else None
    if target is None:
        # A reference to nothing clips nothing.
        reader.tell(
            Severity.WARNING,
            name,
            tr("its clip path '{0}' is not in the file; it is drawn whole", value[:30]),
        )
    elif local(target) != "clipPath":
        reader.tell(Severity.ERROR, name, tr("is not drawn: what should clip it is no clip path"))
        del reader.shapes[first:]
    elif id(target) in reader.open:
        reader.tell(Severity.WARNING, name, tr("its clip path clips itself; it is drawn without"))
    else:
        cut_shapes(reader, first, clip_region(reader, target, place, box))


def clip_region(reader: Reader, target: ET.Element, place: Place, box: Box | None) -> BaseGeometry:
    """The region of a clipPath element on the page, mm."""
    matrix = place.matrix
    try:
        matrix = matrix @ transform_of(target.get("transform"))
    except BadNumber:
        return shapely.Polygon()
    if target.get("clipPathUnits") == "objectBoundingBox":
        unit = box_matrix(box)
        if unit is None:
            return shapely.Polygon()
        matrix = matrix @ unit
    style = reader.style_at(target)
    inner = dataclasses.replace(place, matrix=matrix, opacity=1.0, style=style, context=None)
    parts = []
    with reader.opened(target), reader.apart(clipping=True):
        for child in target:
            shown = reader.by_id.get(href(child).removeprefix("#")) if local(child) == "use" else child
            if shown is None or local(shown) not in OUTLINED:
                continue
            start = len(reader.shapes)
            reader.element(child, inner)
            parts += [region_of(s.paths, s.even_odd) for s in reader.shapes[start:]]
        region = shapely.union_all(parts) if parts else shapely.Polygon()
        outer = URL.match(style["clip-path"])
        other = reader.by_id.get(outer[1]) if outer else None
        if other is not None and local(other) == "clipPath" and not _leads_back(reader, other):
            region = region & clip_region(reader, other, place, box)
    return region


def _leads_back(reader: Reader, element: ET.Element | None) -> bool:
    """Whether the clip path of a clip path, and so on, is one that is being read."""
    met: set[int] = set()
    while element is not None and id(element) not in met:
        if id(element) in reader.open:
            return True
        met.add(id(element))
        match = URL.match(reader.style_at(element)["clip-path"])
        element = reader.by_id.get(match[1]) if match else None
    return False


def clip_to_viewport(reader: Reader, first: int, matrix: np.ndarray, width: float, height: float) -> None:
    """Clips shapes found since number `first` to a viewport at the origin of `matrix` (3, 3) to px."""
    edge = MM_PER_PX * mapped(matrix, corners((0, 0, width, height)))
    cut_shapes(reader, first, shapely.Polygon(edge))


def clip_to_page(reader: Reader, width: float, height: float) -> None:
    """Clips all shapes of the reader to the page, px: web browsers and resvg show nothing beyond it, even where the file
    says overflow="visible". Lines along the page's edge, of which at least half the width is on the page, stay whole."""
    size = MM_PER_PX * np.array([width, height])
    region = shapely.box(0.0, 0.0, *size)
    found, is_warned = [], False
    for shape in reader.shapes:
        beyond = _beyond(shape, size)
        cut = shape if beyond <= max(OVER_EDGE * size.max(), shape.width / 2) else clip_shape(shape, region)
        is_warned |= cut is not shape and beyond > FAR_OVER_EDGE * size.max()
        found += [] if cut is None else [cut]
    reader.shapes[:] = found
    if is_warned:
        text = tr(
            "part of the drawing lies off its page and is not drawn, as viewers do not show it. To draw it, enlarge the "
            "page in your drawing program"
        )
        reader.tell(Severity.WARNING, reader.name, text)


def _beyond(shape: Shape, size: np.ndarray) -> float:
    """How far, in mm, the points of a shape reach beyond a page of a size (2,) mm; at least 0."""
    points = np.concatenate(shape.paths)
    return max(float(np.max(-points.min(axis=0))), float(np.max(points.max(axis=0) - size)), 0.0)


def cut_shapes(reader: Reader, first: int, region: BaseGeometry) -> None:
    """Cuts what the reader has found since its shape number `first` to a region, mm."""
    shapely.prepare(region)
    reader.shapes[first:] = [
        c for c in (clip_shape(s, region) for s in reader.shapes[first:]) if c is not None
    ]
