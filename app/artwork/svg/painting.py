"""Fill and stroke of an outline, as shapes in mm (SVG 1.1, section 11)."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from typing import TYPE_CHECKING

import numpy as np

from app.artwork.drawing import Paint, Severity, Shape
from app.artwork.svg.flatten import Subpath, dashed, outline
from app.artwork.svg.numbers import BadNumber, length
from app.artwork.svg.paint import paint_of
from app.artwork.svg.place import Place, largest_scale_of, mapped, scale_of
from app.document.language import tr

if TYPE_CHECKING:
    from app.artwork.svg.walk import Reader


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
        subpaths = outline(
            element, tag, place.viewport, reader.flatness / largest, reader.font_of(style), doubts
        )
    except BadNumber as error:
        doubts, subpaths = [str(error)], []
    for doubt in doubts:
        if subpaths:
            reader.tell(Severity.WARNING, name, tr("{0} and is drawn without it", doubt))
        else:
            reader.tell(Severity.ERROR, name, tr("is not drawn: {0}", doubt))
    if not subpaths:
        return
    paints = [
        lambda: fill(reader, subpaths, to_mm, name, place),
        lambda: stroke(reader, subpaths, to_mm, scale, name, place),
    ]
    order = style["paint-order"].split()
    if "stroke" in order and ("fill" not in order or order.index("stroke") < order.index("fill")):
        paints.reverse()
    for paint in paints:
        paint()
    for position in ("marker-start", "marker-mid", "marker-end"):
        value = style[position] if style[position] != "none" else style["marker"]
        if value != "none" and tag in ("path", "line", "polyline", "polygon"):
            reader.tell(Severity.WARNING, name, tr("is drawn without its markers (arrow heads, dots)"))
            break


def fill(reader: Reader, subpaths: list[Subpath], to_mm: np.ndarray, name: str, place: Place) -> None:
    paint = Paint("#000000") if reader.clipping else paint_of(reader, "fill", name, place)
    rings = [mapped(to_mm, line) for line, _ in subpaths if len(line) >= 3]
    if paint is None or not rings:
        return
    even_odd = place.style["clip-rule" if reader.clipping else "fill-rule"] == "evenodd"
    reader.shapes.append(Shape(name, place.group, paint, tuple(rings), True, even_odd))


def stroke(
    reader: Reader, subpaths: list[Subpath], to_mm: np.ndarray, scale: float, name: str, place: Place
) -> None:
    paint = None if reader.clipping else paint_of(reader, "stroke", name, place)
    style = place.style
    if paint is None:
        return
    diagonal = float(np.hypot(*place.viewport) / np.sqrt(2))
    try:
        width = length(style["stroke-width"], diagonal, 1.0, reader.font_of(style))
        pattern = []
        if style["stroke-dasharray"] not in ("none", ""):
            pattern = [
                length(v, diagonal) for v in re.split(r"[\s,]+", style["stroke-dasharray"].strip()) if v
            ]
        offset = length(style["stroke-dashoffset"], diagonal, 0.0)
        miter = float(style["stroke-miterlimit"])
    except (BadNumber, ValueError) as error:
        reader.tell(
            Severity.WARNING,
            name,
            tr("a line width or dash cannot be read ({0}); its line is not drawn", error),
        )
        return
    if width <= 0:
        return
    lines, closed = [line for line, _ in subpaths], [c for _, c in subpaths]
    if pattern and min(pattern) >= 0 and sum(pattern) > 0:
        if sum(pattern) * scale < reader.flatness:
            reader.tell(
                Severity.NOTE, name, tr("its dashes are finer than can be drawn; the line is drawn whole")
            )
        else:
            lines = [dash for line, c in subpaths for dash in dashed(line, c, pattern, offset)]
            closed = [False] * len(lines)
    kept = [(mapped(to_mm, line), c) for line, c in zip(lines, closed, strict=True) if len(line) >= 2]
    if kept:
        reader.shapes.append(
            Shape(
                name, place.group, paint, tuple(k[0] for k in kept), False, width=width * scale,
                cap=style["stroke-linecap"], join=style["stroke-linejoin"], miter_limit=max(miter, 1.0),
                closed=tuple(k[1] for k in kept),
            )
        )  # fmt: skip
