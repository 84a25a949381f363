"""Elements that hold or copy others: the page, nested viewports, use and symbol, switch (SVG 1.1, sections 5 and 7.9)."""

from __future__ import annotations

import dataclasses
import xml.etree.ElementTree as ET
from collections.abc import Sequence

import numpy as np

from wallwright.artwork.drawing import Paint, Severity, Shape
from wallwright.artwork.svg.boxes import box_within
from wallwright.artwork.svg.clip import clip_to_viewport
from wallwright.artwork.svg.colours import colour_of
from wallwright.artwork.svg.context import (
    PageLayout,
    PaintContext,
    ReadingContext,
    Size,
    SvgElement,
    mapped,
    report_doubts,
)
from wallwright.artwork.svg.grouping import grouped
from wallwright.artwork.svg.numbers import MM_PER_PX, BadNumber, length_or
from wallwright.artwork.svg.sink import ShapeSink
from wallwright.artwork.svg.svg_document import SvgDocument
from wallwright.artwork.svg.transforms import moved
from wallwright.artwork.svg.traversal import read_children
from wallwright.artwork.svg.viewport import NOTHING_SAID, Box, fit, page_size, view_box
from wallwright.artwork.svg.xml_parser import href, local
from wallwright.document.errors import BadFile
from wallwright.document.language import plural, tr

DEEPEST_USE = 500
"""Elements with an id that an element may stand in, through copies too."""


def place_page(document: SvgDocument, sink: ShapeSink) -> PageLayout:
    """How the page of a file lies. Raises BadFile for one that has no size."""
    if document.cascade.left_out:
        text = plural(
            "one rule of its style sheet has a selector that is too long and is ignored",
            "{0} rules of its style sheet have selectors that are too long and are ignored",
            document.cascade.left_out,
        )
        sink.report(Severity.WARNING, document.name, text)
    root = document.root
    doubts: list[str] = []
    try:
        box = _box_or_none(root, doubts)
        size = page_size(root, box, doubts)
        if box and 0 in box[2:]:
            raise BadNumber(tr("its viewBox “{0}” has no size", root.get("viewBox")))
        if box is None and size is None and doubts:
            raise BadNumber(doubts[0])
    except BadNumber as error:
        raise BadFile(
            tr("{0} cannot be placed: {1}. Set a page size in your drawing program.", document.name, error)
        ) from error
    report_doubts(sink, "svg", doubts)
    width, height = size or NOTHING_SAID
    matrix = fit(box, root.get("preserveAspectRatio"), width, height)
    return PageLayout((width, height), size is not None, matrix, box[2:] if box else (width, height))


def read_svg_element(element: SvgElement, context: ReadingContext, sink: ShapeSink) -> None:
    """The outermost svg, or one inside another, or inside what a use shows. Raises BadFile."""
    if element.node is context.document.root and element.size == (None, None):
        _read_page(element, context, sink)
        return
    own = (element.node.get("width"), element.node.get("height"))
    width, height = (asked or given for asked, given in zip(element.size, own, strict=True))
    _read_viewport(element, context, sink, width, height)


def read_symbol(element: SvgElement, context: ReadingContext, sink: ShapeSink) -> None:
    """A symbol shown by use. Raises BadFile."""
    _read_viewport(element, context, sink, *(asked or None for asked in element.size))


def read_group(element: SvgElement, context: ReadingContext, sink: ShapeSink) -> None:
    """A group, or a link. Raises BadFile."""
    read_children(element.node, context, sink)


def read_switch(element: SvgElement, context: ReadingContext, sink: ShapeSink) -> None:
    """The first child whose conditions hold (SVG 2, 5.7). Raises BadFile."""
    for child in element.node:
        if context.elements.is_known(local(child)) and passes(child):
            context.elements.read(child, context, sink)
            break


def _read_page(element: SvgElement, context: ReadingContext, sink: ShapeSink) -> None:
    """The children of the outermost svg."""
    page = context.page
    inner = dataclasses.replace(context, matrix=context.matrix @ page.matrix, viewport=page.viewport, group=())
    _background(context, sink)
    with grouped(inner, sink, element.name) as own:
        read_children(element.node, inner, own)


def _background(context: ReadingContext, sink: ShapeSink) -> None:
    """The page in the background colour of the outermost svg, as web browsers paint it (CSS Backgrounds 3, 3.2)."""
    colour = colour_of(context.style["background-color"], context.style["color"])
    if colour is None or colour[1] == 0 or context.is_clip:
        return
    w, h = context.viewport
    ring = mapped(context.to_mm(), np.array([[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]]))
    sink.report(Severity.NOTE, "svg", tr("its background colour is drawn as an area of the page's size"))
    sink.add(Shape("svg", (), Paint(*colour), (ring,), True))


def _read_viewport(
    element: SvgElement, context: ReadingContext, sink: ShapeSink, width: str | None, height: str | None
) -> None:
    """A viewport inside another: an inner svg, or a symbol shown by use (SVG 1.1, 7.9)."""
    node, name, (w, h) = element.node, element.name, context.viewport
    font = context.style.em
    doubts: list[str] = []
    try:
        x, y = (0.0, 0.0)
        if element.tag == "svg":
            x, y = (length_or(node.get(k), s, 0.0, font, doubts) for k, s in (("x", w), ("y", h)))
        width_px, height_px = (length_or(v, s, s, font, doubts) for v, s in ((width, w), (height, h)))
        box = _box_or_none(node, doubts)
    except BadNumber as error:
        sink.report(Severity.ERROR, name, tr("is not drawn: {0}", error))
        return
    report_doubts(sink, name, doubts)
    if width_px <= 0 or height_px <= 0 or (box and 0 in box[2:]):
        return  # SVG 1.1, 5.1.2 and 7.7: nothing of it is shown
    inner = fit(box, node.get("preserveAspectRatio"), width_px, height_px)
    viewport = box[2:] if box else (width_px, height_px)
    outer = context.matrix @ moved(x, y)
    content = dataclasses.replace(context, matrix=outer @ inner, viewport=viewport)
    found = sink.branch()
    with grouped(content, found, name) as own:
        read_children(node, content, own)
    if context.style["overflow"] in ("visible", "auto"):
        sink.join(found)
    else:
        sink.join(found, clip_to_viewport(found.shapes, outer, width_px, height_px))


def read_use(element: SvgElement, context: ReadingContext, sink: ShapeSink) -> None:
    """A copy of another element (SVG 2, 5.5). Raises BadFile."""
    node, name, document = element.node, element.name, context.document
    target = document.by_id.get(href(node).removeprefix("#"))
    if target is None:
        text = tr("refers to “{0}”, which is not in the file", href(node)[:40])
        sink.report(Severity.WARNING, name, text)
        return
    if id(target) in context.uses or len(context.uses) > DEEPEST_USE:
        sink.report(Severity.ERROR, name, tr("is not drawn: it refers to itself"))
        return
    document.limits.weigh(target, document.by_id)
    font = context.style.em
    doubts: list[str] = []
    try:
        x, y = (length_or(node.get(k), v, 0.0, font, doubts) for k, v in zip("xy", context.viewport, strict=True))
    except BadNumber as error:
        sink.report(Severity.ERROR, name, tr("is not drawn: {0}", error))
        return
    report_doubts(sink, name, doubts)
    inner = dataclasses.replace(
        context,
        matrix=context.matrix @ moved(x, y),
        paint_context=PaintContext(context, None, context.paint_context),
    )
    is_viewport = local(target) in ("symbol", "svg")
    size: Size = (node.get("width"), node.get("height")) if is_viewport else (None, None)
    if _asks_for_box(target, context):
        box = _box_of_copy(target, inner, size)
        inner = dataclasses.replace(inner, paint_context=PaintContext(context, box, context.paint_context))
    with grouped(context if is_viewport else inner, sink, name) as own:
        context.elements.read(target, inner, own, size)


def _asks_for_box(target: ET.Element, context: ReadingContext) -> bool:
    """Whether a copy takes a gradient or pattern of its use, whose box units are of the copy as a whole."""
    if not any(context.style[kind].startswith("url(") for kind in ("fill", "stroke")):
        return False
    return any("context-" in value for part in target.iter() for value in part.attrib.values())


def _box_of_copy(target: ET.Element, context: ReadingContext, size: Size) -> Box | None:
    """The box of what a use shows, in the user units of its context; nothing is drawn or reported."""
    unseen = ShapeSink(is_measuring=True)
    context.elements.read(target, dataclasses.replace(context, is_clip=False), unseen, size)
    return box_within(unseen.extents, context.to_mm())


FEATURES = (
    "http://www.w3.org/TR/SVG11/feature#",
    "http://www.w3.org/TR/SVG/feature#",
    "org.w3c.svg.",
    "org.w3c.dom.svg.",
)
"""What the names of SVG's own features begin with (SVG 1.1, appendix N)."""


def passes(element: ET.Element) -> bool:
    """Whether the conditions of an element hold (SVG 1.1, 5.8): no extensions needed, features of SVG only, English or
    no language asked. An empty condition does not hold."""
    attributes = element.attrib
    if "requiredExtensions" in attributes:
        return False
    if "requiredFeatures" in attributes:
        features = attributes["requiredFeatures"].split()
        if not features or not all(f.startswith(FEATURES) for f in features):
            return False
    languages = attributes.get("systemLanguage")
    return languages is None or any(tag.strip().lower().split("-")[0] == "en" for tag in languages.split(","))


def _box_or_none(element: ET.Element, doubts: list[str]) -> Box | None:
    """The viewBox; one that cannot be read counts as not given."""
    try:
        return view_box(element)
    except BadNumber as error:
        doubts.append(str(error))
        return None


def size_as_drawn(shapes: Sequence[Shape]) -> tuple[float, float]:
    """The page of a file that says nothing of its size: from the origin to the far side of what is drawn, px."""
    far = np.array([0.0, 0.0])
    for shape in shapes:
        for points in shape.paths:
            far = np.maximum(far, points.max(axis=0) + shape.width / 2)
    width, height = np.where(far > 0, far / MM_PER_PX, NOTHING_SAID).tolist()
    return width, height
