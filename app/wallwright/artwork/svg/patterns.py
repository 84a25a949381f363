"""Patterns as SVG describes them, made into tiles (SVG 2, 14.3)."""

from __future__ import annotations

import dataclasses
import xml.etree.ElementTree as ET

import numpy as np

from wallwright.artwork.drawing import Paint
from wallwright.artwork.paints import mean_paint
from wallwright.artwork.svg.boxes import Box, box_matrix
from wallwright.artwork.svg.context import ReadingContext, scale_of
from wallwright.artwork.svg.gradients import chain_of, inherited, paint_transform
from wallwright.artwork.svg.numbers import MM_PER_PX, BadNumber, length
from wallwright.artwork.svg.sink import ShapeSink
from wallwright.artwork.svg.traversal import scene_of
from wallwright.artwork.svg.viewport import fit, view_box
from wallwright.artwork.svg.xml_parser import local
from wallwright.artwork.tile_paint import TilePaint


def pattern_of(target: ET.Element, context: ReadingContext, sink: ShapeSink, box: Box | None) -> Paint | None:
    """The paint of a pattern element on something with a box in the user space of `context`; None paints nothing."""
    chain = chain_of(context.document, target, ("pattern",))
    holder = next((e for e in chain if any(local(child) for child in e)), None)
    if holder is None:
        return None
    unit = box_matrix(box)
    is_box = inherited(chain, "patternUnits") != "userSpaceOnUse"
    content_is_box = inherited(chain, "patternContentUnits") == "objectBoundingBox"
    asked = next((e for e in chain if e.get("viewBox") is not None), None)
    if unit is None and (is_box or (content_is_box and asked is None)):
        return None
    viewport = (1.0, 1.0) if is_box else context.viewport
    try:
        x, y, w, h = (
            length(inherited(chain, name), viewport[i % 2], 0.0, context.style.em)
            for i, name in enumerate(("x", "y", "width", "height"))
        )
        viewed = view_box(asked) if asked is not None else None
    except BadNumber:
        return None
    if is_box and box is not None:
        x, y, w, h = x * box[2] + box[0], y * box[3] + box[1], w * box[2], h * box[3]
    if w <= 0 or h <= 0:
        return None
    to_mm = context.to_mm() @ paint_transform(inherited(chain, "patternTransform"))
    fine = scale_of(to_mm)
    if fine == 0:
        return None
    if viewed is not None and 0 in viewed[2:]:
        return None
    if viewed is not None:
        content = fit(viewed, inherited(chain, "preserveAspectRatio"), w, h)
    elif content_is_box and box is not None:
        content = np.diag([box[2], box[3], 1.0])
    else:
        content = np.eye(3)
    inner = dataclasses.replace(
        context,
        matrix=np.diag([fine / MM_PER_PX, fine / MM_PER_PX, 1.0]) @ content,
        style=context.document.style_at(holder),
        opacity=1.0,
        paint_context=None,
    )
    scene = scene_of(holder, inner, sink)
    if not scene.shapes:
        return None
    corner = np.array([[1 / fine, 0, x], [0, 1 / fine, y], [0, 0, 1.0]])
    tiles = TilePaint("#000000", scene=scene, size=(w * fine, h * fine), to_page=to_mm @ corner)
    size = np.array([[0.0, 0.0], [w, 0], [w, h], [0, h]]) * fine
    return mean_paint(tiles, size @ tiles.to_page[:2, :2].T + tiles.to_page[:2, 2])
