"""Masks (SVG 2, 14.5; CSS Masking 1, section 7)."""

from __future__ import annotations

import dataclasses
import xml.etree.ElementTree as ET
from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from wallwright.artwork.colour import rgb_of
from wallwright.artwork.drawing import Paint, PaintMask, Severity, Shape
from wallwright.artwork.sampling import LIGHT
from wallwright.artwork.shape_regions import painted_region
from wallwright.artwork.svg.boxes import Box, box_matrix, corners
from wallwright.artwork.svg.clip import cut_shapes
from wallwright.artwork.svg.context import ReadingContext, mapped
from wallwright.artwork.svg.numbers import BadNumber, length
from wallwright.artwork.svg.references import target_of
from wallwright.artwork.svg.sink import ShapeSink
from wallwright.artwork.svg.traversal import scene_of
from wallwright.artwork.svg.xml_parser import local
from wallwright.document.language import tr

MOST_CUT = 200
"""Shapes of a mask that are worked out as geometry; a mask of more is painted."""
MOST_MASKS = 8
"""Masks of masks that are followed."""


def mask_shapes(
    shapes: Sequence[Shape], context: ReadingContext, sink: ShapeSink, name: str, box: Box | None
) -> Sequence[Shape]:
    """Shapes of an element as its mask leaves them. box: of the element, user units. Raises BadFile."""
    document, value = context.document, context.style["mask"]
    target = target_of(document, value)
    if target is None:
        text = tr("its mask “{0}” is not in the file; it is drawn without a mask", value[:30])
        sink.report(Severity.WARNING, name, text)
        return shapes
    masks: list[PaintMask] = []
    while target is not None and id(target) not in context.open:
        if local(target) != "mask" or (mask := mask_of(target, context, sink, box)) is None:
            sink.report(Severity.ERROR, name, tr("is not drawn: its mask hides all of it"))
            return ()
        masks.append(mask)
        outer = target_of(document, document.style_at(target)["mask"])
        target = None if outer is None or outer is target or len(masks) > MOST_MASKS else outer
    soft = []
    for mask in masks:
        region = two_valued(mask)
        if region is None:
            soft.append(mask)
        else:
            shapes = cut_shapes(shapes, region)
    if soft and shapes:
        text = tr("its mask fades it; lines are drawn where at least half is visible")
        sink.report(Severity.NOTE, name, text)
        return sink.layered(shapes, masks=tuple(soft))
    return shapes


def mask_of(target: ET.Element, context: ReadingContext, sink: ShapeSink, box: Box | None) -> PaintMask | None:
    """A mask element on something with a box in user units; None when it lets nothing through. Raises BadFile."""
    unit = box_matrix(box)
    is_box = target.get("maskUnits") != "userSpaceOnUse"
    content_is_box = target.get("maskContentUnits") == "objectBoundingBox"
    if unit is None:
        if is_box or content_is_box:
            return None
        unit = np.eye(3)
    viewport = (1.0, 1.0) if is_box else context.viewport
    style = context.document.style_at(target)

    def get(key: str, reference: float, default: str) -> float:
        try:
            return length(target.get(key, default), reference, None, style.em)
        except BadNumber:
            return length(default, reference)

    x, y = get("x", viewport[0], "-10%"), get("y", viewport[1], "-10%")
    w, h = get("width", viewport[0], "120%"), get("height", viewport[1], "120%")
    if w <= 0 or h <= 0:
        return None
    edge = mapped(context.to_mm() @ (unit if is_box else np.eye(3)), corners((x, y, w, h)))
    inner = dataclasses.replace(
        context.inside(target),
        matrix=context.matrix @ (unit if content_is_box else np.eye(3)),
        style=style,
        opacity=1.0,
        paint_context=None,
    )
    scene = scene_of(target, inner, sink)
    kind = target.get("mask-type") if style["mask-type"] == "luminance" else style["mask-type"]
    return PaintMask(scene, kind != "alpha", edge)


def two_valued(mask: PaintMask) -> BaseGeometry | None:
    """The region a mask lets through, when it lets through all or nothing everywhere; None when it fades."""
    shapes = mask.scene.shapes
    if len(shapes) > MOST_CUT or any(s.layers or type(s.paint) is not Paint for s in shapes):
        return None
    through: BaseGeometry = shapely.Polygon()
    for shape in shapes:
        light = float(np.array(rgb_of(shape.paint.colour)) / 255 @ LIGHT) if mask.is_luminance else 1.0
        if shape.paint.opacity < 0.999 or 0.002 < light < 0.998:
            return None
        region = painted_region(shape)
        through = through.union(region) if light > 0.5 else through.difference(region)
    return through if mask.box is None else through.intersection(shapely.Polygon(mask.box))
