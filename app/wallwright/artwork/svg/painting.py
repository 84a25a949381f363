"""Basic shapes and paths: fill, stroke and markers of an outline, as shapes in mm (SVG 2, section 13)."""

from __future__ import annotations

from collections.abc import Callable

from wallwright.artwork.drawing import Paint, Severity, Shape
from wallwright.artwork.svg.boxes import Box, box_for, box_of
from wallwright.artwork.svg.context import (
    ReadingContext,
    SvgElement,
    is_crisp,
    largest_scale_of,
    mapped,
    scale_of,
)
from wallwright.artwork.svg.flatten import outline
from wallwright.artwork.svg.markers import draw_markers
from wallwright.artwork.svg.numbers import BadNumber
from wallwright.artwork.svg.paint import paint_of
from wallwright.artwork.svg.sink import ShapeSink
from wallwright.artwork.svg.straight_paths import Subpath
from wallwright.artwork.svg.stroking import stroke
from wallwright.document.arrays import Floats
from wallwright.document.language import tr


def read_shape(element: SvgElement, context: ReadingContext, sink: ShapeSink) -> None:
    """A path or a basic shape. Raises BadFile."""
    style, name = context.style, element.name
    if style["visibility"] != "visible":
        return
    to_mm = context.to_mm()
    largest = largest_scale_of(to_mm)
    if largest == 0 or scale_of(to_mm) == 0:
        return  # a transform that flattens everything paints nothing
    doubts: list[str] = []
    try:
        subpaths = _outline(element, context, context.document.flatness / largest, doubts)
    except BadNumber as error:
        doubts, subpaths = [str(error)], []
    for doubt in doubts:
        if subpaths:
            sink.report(Severity.WARNING, name, tr("{0}; the rest is drawn", doubt))
        else:
            sink.report(Severity.ERROR, name, tr("is not drawn: {0}", doubt))
    if not subpaths:
        return
    box = None
    if any(style[key] != "none" for key in ("marker-start", "marker-mid", "marker-end")):
        box = box_of([line for line, _ in subpaths])
    paints: dict[str, Callable[[], None]] = {
        "fill": lambda: fill(subpaths, to_mm, name, context, sink, box),
        "stroke": lambda: stroke(subpaths, to_mm, name, context, sink, box),
        "markers": lambda: draw_markers(element, context, sink, box),
    }
    for kind in paint_order(style["paint-order"]):
        paints[kind]()


def _outline(element: SvgElement, context: ReadingContext, tolerance: float, doubts: list[str]) -> list[Subpath]:
    """Subpaths of a shape, user units; doubts: filled with what cannot be read. Raises TooLarge, BadFile."""
    # A path that is copied is shown many times; path data has no units, so that its outline depends on nothing else.
    copies = context.document.copied_outlines if context.uses and element.tag == "path" else None
    known = element.outline or (copies.peek(id(element.node)) if copies is not None else None)
    if known is not None and known[0] == tolerance:
        found = known[1]
    else:
        before = len(doubts)
        found = outline(element.node.attrib, element.tag, context.viewport, tolerance, context.style.em, doubts)
        if copies is not None and len(doubts) == before:
            copies.put(id(element.node), (tolerance, found))
    context.document.usage.add_points(sum(len(points) for points, _ in found))
    return found


def paint_order(text: str) -> list[str]:
    """fill, stroke and markers in the order asked for (SVG 2, 13.8); what cannot be read counts as normal."""
    usual = ["fill", "stroke", "markers"]
    words = text.split()
    if len(set(words)) != len(words) or not set(words) <= set(usual):
        return usual
    return words + [kind for kind in usual if kind not in words]


def fill(
    subpaths: list[Subpath],
    to_mm: Floats,
    name: str,
    context: ReadingContext,
    sink: ShapeSink,
    box: Box | None = None,
) -> None:
    """Adds the region of subpaths in user units, by (3, 3) to mm. box: of the whole element, when it is more than these."""
    style, is_clip = context.style, context.is_clip
    if style["fill"] == "none" and not is_clip and not sink.is_measuring:
        return
    rings = [mapped(to_mm, line) for line, _ in subpaths]
    sink.add_extents(rings)
    rings = [ring for ring in rings if len(ring) >= 3]
    if not rings or (style["fill"] == "none" and not is_clip):
        return
    paint: Paint | None
    if is_clip:
        paint = Paint("#000000")
    else:
        own = box_for(style["fill"], box, [line for line, _ in subpaths])
        paint = paint_of("fill", name, context, sink, own)
    if paint is None:
        return
    even_odd = style["clip-rule" if is_clip else "fill-rule"] == "evenodd"
    sink.add(Shape(name, context.group, paint, tuple(rings), True, even_odd, is_crisp=is_crisp(context)))
