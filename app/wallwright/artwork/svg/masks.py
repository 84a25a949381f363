"""Masks (SVG 2, 14.5; CSS Masking 1, section 7)."""

from __future__ import annotations

import dataclasses
import xml.etree.ElementTree as ET
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from wallwright.artwork.colour import rgb_of
from wallwright.artwork.drawing import Paint, PaintLayer, PaintMask, Severity
from wallwright.artwork.sampling import LIGHT
from wallwright.artwork.shape_regions import painted_region
from wallwright.artwork.svg.boxes import Box, box_matrix, corners
from wallwright.artwork.svg.clip import cut_shapes
from wallwright.artwork.svg.context import Place, mapped
from wallwright.artwork.svg.numbers import BadNumber, length
from wallwright.artwork.svg.paint import URL
from wallwright.artwork.svg.xml_parser import local
from wallwright.document.language import tr

if TYPE_CHECKING:
    from wallwright.artwork.svg.walk import Reader

MOST_CUT = 200
"""Shapes of a mask that are worked out as geometry; a mask of more is painted."""


def mask_shapes(reader: Reader, first: int, value: str, place: Place, name: str, box: Box | None) -> None:
    """Masks what the reader has found since its shape number `first`, which has a box in user units."""
    match = URL.match(value)
    target = reader.by_id.get(match[1]) if match else None
    if target is None:
        reader.tell(
            Severity.WARNING, name, tr("its mask '{0}' is not in the file; it is drawn whole", value[:30])
        )
        return
    masks: list[PaintMask] = []
    while target is not None and id(target) not in reader.open:
        if local(target) != "mask" or (mask := mask_of(reader, target, place, box)) is None:
            reader.tell(Severity.ERROR, name, tr("is not drawn: its mask lets nothing through"))
            del reader.shapes[first:]
            return
        masks.append(mask)
        match = URL.match(reader.style_at(target)["mask"])
        outer = reader.by_id.get(match[1]) if match else None
        target = None if outer is None or outer is target or len(masks) > 8 else outer
    soft = []
    for mask in masks:
        region = two_valued(mask)
        if region is None:
            soft.append(mask)
        else:
            cut_shapes(reader, first, region)
    if soft and len(reader.shapes) > first:
        reader.tell(
            Severity.NOTE, name, tr("its mask fades it; lines are drawn where more than half is seen")
        )
        number = len(reader.layers)
        reader.layers.append(PaintLayer(1.0, tuple(soft)))
        reader.shapes[first:] = [
            dataclasses.replace(s, layers=(number, *s.layers)) for s in reader.shapes[first:]
        ]


def mask_of(reader: Reader, target: ET.Element, place: Place, box: Box | None) -> PaintMask | None:
    """A mask element on something with a box in user units; None when it lets nothing through."""
    unit = box_matrix(box)
    is_box = target.get("maskUnits") != "userSpaceOnUse"
    content_is_box = target.get("maskContentUnits") == "objectBoundingBox"
    if unit is None and (is_box or content_is_box):
        return None
    viewport = (1.0, 1.0) if is_box else place.viewport
    style = reader.style_at(target)
    font = reader.font_of(style)

    def get(key: str, reference: float, default: str) -> float:
        try:
            return length(target.get(key, default), reference, None, font)
        except BadNumber:
            return length(default, reference)

    x, y = get("x", viewport[0], "-10%"), get("y", viewport[1], "-10%")
    w, h = get("width", viewport[0], "120%"), get("height", viewport[1], "120%")
    if w <= 0 or h <= 0:
        return None
    edge = mapped(place.to_mm() @ (unit if is_box else np.eye(3)), corners((x, y, w, h)))
    inner = dataclasses.replace(
        place, matrix=place.matrix @ (unit if content_is_box else np.eye(3)), style=style, opacity=1.0, context=None,
    )  # fmt: skip
    with reader.opened(target):
        scene = reader.scene_of(target, inner)
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
    return through.intersection(shapely.Polygon(mask.box))
