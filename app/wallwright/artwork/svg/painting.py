"""Fill, stroke and markers of an outline, as shapes in mm (SVG 2, section 13)."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from typing import TYPE_CHECKING

import numpy as np

from wallwright.artwork.drawing import Paint, Severity, Shape
from wallwright.artwork.svg.boxes import Box, box_for, box_of
from wallwright.artwork.svg.context import Place, is_crisp, largest_scale_of, mapped, scale_of
from wallwright.artwork.svg.flatten import Subpath
from wallwright.artwork.svg.markers import draw_markers
from wallwright.artwork.svg.numbers import BadNumber
from wallwright.artwork.svg.paint import paint_of
from wallwright.artwork.svg.stroking import stroke
from wallwright.document.language import tr

if TYPE_CHECKING:
    from wallwright.artwork.svg.walk import Reader


def shape(reader: Reader, element: ET.Element, tag: str, name: str, place: Place) -> None:
    style = place.style
    if style["visibility"] != "visible":
        return
    to_mm = place.to_mm()
    scale = scale_of(to_mm)
    largest = largest_scale_of(to_mm)
    if largest == 0 or scale == 0:
        return  # a transform that flattens everything paints nothing
    doubts: list[str] = []
    try:
        subpaths = reader.outline(element, tag, place, reader.flatness / largest, doubts)
    except BadNumber as error:
        doubts, subpaths = [str(error)], []
    for doubt in doubts:
        if subpaths:
            reader.tell(Severity.WARNING, name, tr("{0} and is drawn without it", doubt))
        else:
            reader.tell(Severity.ERROR, name, tr("is not drawn: {0}", doubt))
    if not subpaths:
        return
    box = None
    if any(style[key] != "none" for key in ("marker-start", "marker-mid", "marker-end")):
        box = box_of([line for line, _ in subpaths])
    paints = {
        "fill": lambda: fill(reader, subpaths, to_mm, name, place, box),
        "stroke": lambda: stroke(reader, subpaths, to_mm, scale, name, place, box),
        "markers": lambda: draw_markers(reader, element, tag, name, place, box),
    }
    for kind in paint_order(style["paint-order"]):
        paints[kind]()


def paint_order(text: str) -> list[str]:
    """fill, stroke and markers in the order asked for (SVG 2, 13.8); what cannot be read counts as normal."""
    usual = ["fill", "stroke", "markers"]
    words = text.split()
    if len(set(words)) != len(words) or not set(words) <= set(usual):
        return usual
    return words + [kind for kind in usual if kind not in words]


def fill(
    reader: Reader,
    subpaths: list[Subpath],
    to_mm: np.ndarray,
    name: str,
    place: Place,
    box: Box | None = None,
) -> None:
    """Appends the region of subpaths in user units. box: of the whole element, when it is more than these."""
    if place.style["fill"] == "none" and not reader.clipping and reader.extents is None:
        return
    rings = [mapped(to_mm, line) for line, _ in subpaths]
    if reader.extents is not None:
        reader.extents += rings
    rings = [ring for ring in rings if len(ring) >= 3]
    if not rings or (place.style["fill"] == "none" and not reader.clipping):
        return
    if reader.clipping:
        paint = Paint("#000000")
    else:
        own = box_for(place.style["fill"], box, [line for line, _ in subpaths])
        paint = paint_of(reader, "fill", name, place, own)
    if paint is None:
        return
    even_odd = place.style["clip-rule" if reader.clipping else "fill-rule"] == "evenodd"
    reader.shapes.append(
        Shape(name, place.group, paint, tuple(rings), True, even_odd, is_crisp=is_crisp(place))
    )
