"""Going down the tree: the children of an element in painter's order, and what an element shows apart from the drawing."""

from __future__ import annotations

import dataclasses
import xml.etree.ElementTree as ET

from wallwright.artwork.drawing import ShapeTree
from wallwright.artwork.svg.context import KnownOutline, ReadingContext, largest_scale_of
from wallwright.artwork.svg.many_paths import BLOCK, read_together
from wallwright.artwork.svg.sink import ShapeSink
from wallwright.artwork.svg.xml_parser import SVG

FEW = 8
"""Paths side by side that are not worth reading together."""


def read_children(parent: ET.Element, context: ReadingContext, sink: ShapeSink) -> None:
    """The children of an element where it stands; path elements among many are read together."""
    elements = list(parent)
    for i in range(0, len(elements), BLOCK):
        block = elements[i : i + BLOCK]
        outlines = _read_ahead(block, context) if len(block) > FEW else {}
        for child in block:
            context.elements.read(child, context, sink, None, outlines.pop(id(child), None))


def scene_of(holder: ET.Element, context: ReadingContext, sink: ShapeSink) -> ShapeTree:
    """What the children of an element show, apart from the drawing; findings go to the sink."""
    context, scene = dataclasses.replace(context, is_clip=False), sink.apart()
    for child in holder:
        context.elements.read(child, context, scene)
    return scene.tree()


def _read_ahead(block: list[ET.Element], context: ReadingContext) -> dict[int, KnownOutline]:
    """Outlines of plain paths, by id() of their elements."""
    paths = [
        (e, e.attrib["d"]) for e in block if e.tag == f"{SVG}path" and "transform" not in e.attrib and "d" in e.attrib
    ]
    largest = largest_scale_of(context.to_mm())
    if len(paths) <= FEW or largest == 0:
        return {}
    tolerance = context.document.flatness / largest
    found = read_together([d for _, d in paths], tolerance)
    return {id(e): (tolerance, f) for (e, _), f in zip(paths, found, strict=True) if f is not None}
