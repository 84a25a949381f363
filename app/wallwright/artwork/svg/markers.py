"""Markers: small drawings at the points of a path (SVG 2, 13.7)."""

from __future__ import annotations

import dataclasses
import math
import re
import xml.etree.ElementTree as ET
from dataclasses import dataclass

import numpy as np

from wallwright.artwork.drawing import Severity
from wallwright.artwork.svg.boxes import Box
from wallwright.artwork.svg.clip import clip_to_viewport
from wallwright.artwork.svg.context import PaintContext, ReadingContext, SvgElement
from wallwright.artwork.svg.numbers import BadNumber, length
from wallwright.artwork.svg.references import target_of
from wallwright.artwork.svg.sink import ShapeSink
from wallwright.artwork.svg.stroking import line_of
from wallwright.artwork.svg.style import Style
from wallwright.artwork.svg.transforms import moved
from wallwright.artwork.svg.vertices import Vertex, vertices
from wallwright.artwork.svg.viewport import fit, view_box
from wallwright.artwork.svg.xml_parser import local
from wallwright.document.arrays import Floats
from wallwright.document.language import tr

DEGREES = {"": 1.0, "deg": 1.0, "grad": 0.9, "rad": 180 / math.pi, "turn": 360.0}
ANGLE = re.compile(r"([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)(deg|grad|rad|turn|)")
WHERE = {"left": "0%", "top": "0%", "center": "50%", "right": "100%", "bottom": "100%"}


@dataclass(frozen=True)
class Marker:
    """A marker element, read once for all the points it is drawn at."""

    element: ET.Element
    style: Style
    matrix: Floats
    """(3, 3) from the marker's content to its place: reference point at the origin, not yet turned."""
    edge: tuple[Floats, float, float] | None
    """Map of the viewport, its width and height; None when what leaves it is shown."""
    viewport: tuple[float, float]
    orient: str


def draw_markers(element: SvgElement, context: ReadingContext, sink: ShapeSink, box: Box | None) -> None:
    """Adds the markers of a shape. box: of the shape, user units. Raises BadFile."""
    wanted = {where: context.style[f"marker-{where}"] for where in ("start", "mid", "end")}
    if context.is_clip or all(value == "none" for value in wanted.values()):
        return
    width = line_of(element.name, context, sink).width
    markers = {
        where: _marker(value, width, element.name, context, sink) for where, value in wanted.items() if value != "none"
    }
    if not any(markers.values()):
        return
    inner = dataclasses.replace(context, paint_context=PaintContext(context, box, context.paint_context))
    for vertex in vertices(element.node, element.tag, context.viewport, context.style.em):
        marker = markers.get(vertex.where)
        if marker is not None and id(marker.element) not in context.open:
            _draw(marker, vertex, inner, sink)


def _draw(marker: Marker, vertex: Vertex, context: ReadingContext, sink: ShapeSink) -> None:
    angle = vertex.angle
    if marker.orient == "auto-start-reverse" and vertex.where == "start":
        angle += math.pi
    elif not marker.orient.startswith("auto"):
        match = ANGLE.fullmatch(marker.orient)
        angle = math.radians(float(match[1]) * DEGREES[match[2]]) if match else 0.0
    cos, sin = math.cos(angle), math.sin(angle)
    turned = context.matrix @ np.array([[cos, -sin, vertex.x], [sin, cos, vertex.y], [0, 0, 1.0]])
    inner = dataclasses.replace(
        context.inside(marker.element),
        matrix=turned @ marker.matrix,
        style=marker.style,
        viewport=marker.viewport,
        opacity=1.0,
    )
    found = sink.branch()
    for child in marker.element:
        context.elements.read(child, inner, found)
    if marker.edge is None:
        sink.join(found)
    else:
        sink.join(found, clip_to_viewport(found.shapes, turned @ marker.edge[0], *marker.edge[1:]))


def _marker(value: str, line_width: float, name: str, context: ReadingContext, sink: ShapeSink) -> Marker | None:
    element = target_of(context.document, value)
    if element is None or local(element) != "marker":
        sink.report(Severity.NOTE, name, tr("its marker “{0}” is not in the file", value[:30]))
        return None
    style = context.document.style_at(element)
    font = style.em
    try:
        width, height = (length(element.get(k, "3"), 100.0, 3.0, font) for k in ("markerWidth", "markerHeight"))
        box = view_box(element)
        viewport = box[2:] if box else (width, height)
        x, y = (
            length(WHERE.get(element.get(k, "0").strip(), element.get(k, "0")), v, 0.0, font)
            for k, v in zip(("refX", "refY"), viewport, strict=True)
        )
    except BadNumber as error:
        sink.report(Severity.WARNING, name, tr("its marker is not drawn: {0}", error))
        return None
    scale = line_width if element.get("markerUnits") != "userSpaceOnUse" else 1.0
    if width <= 0 or height <= 0 or scale <= 0 or (box and 0 in box[2:]):
        return None
    inner = fit(box, element.get("preserveAspectRatio"), width, height)
    at = inner @ np.array([x, y, 1.0])
    outer = np.array([[scale, 0, -scale * at[0]], [0, scale, -scale * at[1]], [0, 0, 1.0]])
    # What leaves the viewBox is hidden; without one, what leaves the viewport.
    edge = (outer @ inner @ moved(*(box or (0.0, 0.0))[:2]), *viewport)
    shown = style["overflow"] in ("visible", "auto")
    return Marker(element, style, outer @ inner, None if shown else edge, viewport, element.get("orient", "0").strip())
