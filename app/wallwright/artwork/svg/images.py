"""The image element: pictures and drawings inside the file (SVG 2, 12.3). What is elsewhere is not fetched."""

from __future__ import annotations

import dataclasses

import numpy as np

from wallwright.artwork.data_uri import bytes_of
from wallwright.artwork.drawing import Severity, Shape
from wallwright.artwork.pixel_paint import PixelPaint
from wallwright.artwork.svg.clip import clip_to_viewport
from wallwright.artwork.svg.context import ReadingContext, SvgElement, mapped
from wallwright.artwork.svg.embedded_pictures import EmbeddedPicture, unpack_picture
from wallwright.artwork.svg.numbers import BadNumber, length_or
from wallwright.artwork.svg.sink import ShapeSink
from wallwright.artwork.svg.structure import place_page
from wallwright.artwork.svg.svg_document import SvgDocument
from wallwright.artwork.svg.transforms import moved
from wallwright.artwork.svg.viewport import fit
from wallwright.artwork.svg.xml_parser import href, parse
from wallwright.document.errors import BadFile
from wallwright.document.language import tr

DEEPEST = 4
"""Drawings inside drawings."""
SQUARE = ("optimizeSpeed", "pixelated", "crisp-edges")
"""Values of image-rendering that ask for no interpolation."""
AskedSize = tuple[float | None, float | None]
"""Width and height of an image element, user units; None where it leaves them to the picture."""


def read_image(element: SvgElement, context: ReadingContext, sink: ShapeSink) -> None:
    """An image element. Raises BadFile when the file as a whole asks for too much."""
    if context.style["visibility"] != "visible":
        return
    node, name = element.node, element.name
    uri = href(node)
    data = b"" if uri in context.document.pictures else bytes_of(uri)
    if data is None:
        what = tr("the picture “{0}” is not in the file; add it as a separate file", uri[:40])
        sink.report(Severity.ERROR, name, tr("is not drawn: {0}", what))
        return
    doubts: list[str] = []
    w, h = context.viewport
    font = context.style.em
    try:
        x, y, width, height = (
            length_or(node.get(key), size, default, font, doubts)
            for key, size, default in (("x", w, 0.0), ("y", h, 0.0), ("width", w, -1.0), ("height", h, -1.0))
        )
        asked_width, asked_height = (
            None if node.get(key, "auto").strip() in ("", "auto") or size == -1.0 else size
            for key, size in (("width", width), ("height", height))
        )
        is_svg = data[:2] == b"\x1f\x8b" or b"<svg" in data[:4096]
        show = _drawing if is_svg else _picture
        inner = dataclasses.replace(context, matrix=context.matrix @ moved(x, y))
        show(element, data, inner, sink, (asked_width, asked_height))
    except (BadNumber, BadFile) as error:
        sink.report(Severity.ERROR, name, tr("is not drawn: {0}", str(error).rstrip(".")))


def _size(natural: tuple[float, float], asked: AskedSize) -> tuple[float, float]:
    """Width and height of the viewport; one that is not asked for follows from the other."""
    (w, h), (width, height) = natural, asked
    if width is None:
        return natural if height is None else (height * w / h, height)
    return width, width * h / w if height is None else height


def _picture(element: SvgElement, data: bytes, context: ReadingContext, sink: ShapeSink, asked: AskedSize) -> None:
    node, name, document = element.node, element.name, context.document
    document.limits.report_progress()
    picture = document.pictures.get(href(node), lambda: _unpacked(data, name, context, sink))
    columns, rows = picture.natural
    kept_rows, kept_columns = picture.rgba.shape[:2]
    width, height = _size((float(columns), float(rows)), asked)
    if width <= 0 or height <= 0:
        return
    to_viewport = fit((0.0, 0.0, float(columns), float(rows)), node.get("preserveAspectRatio"), width, height)
    corners = mapped(to_viewport, np.array([[0.0, 0.0], [columns, rows]]))
    if context.style["overflow"] not in ("visible", "auto"):
        corners = np.clip(corners, 0.0, [width, height])
    (left, top), (right, bottom) = corners
    if right <= left or bottom <= top:
        return
    to_mm = context.to_mm()
    try:
        to_own = np.diag([kept_columns / columns, kept_rows / rows, 1.0]) @ np.linalg.inv(to_mm @ to_viewport)
    except np.linalg.LinAlgError:
        return  # a transform that flattens everything shows nothing
    ring = mapped(to_mm, np.array([[left, top], [right, top], [right, bottom], [left, bottom]]))
    sink.add_extents([ring])
    opacity = picture.opacity * context.opacity
    is_smooth = context.style["image-rendering"] not in SQUARE
    paint = PixelPaint(
        picture.colour,
        opacity,
        rgba=picture.rgba,
        to_own=to_own,
        is_smooth=is_smooth,
        strength=context.opacity,
    )
    if opacity > 0:
        text = tr("is a picture and is drawn in tones; for line styles, add it as a separate file")
        sink.report(Severity.NOTE, name, text)
        sink.add(Shape(name, context.group, paint, (ring,), True))


def _unpacked(data: bytes, name: str, context: ReadingContext, sink: ShapeSink) -> EmbeddedPicture:
    """The picture, with a finding when fewer of its pixels are used. Raises BadFile."""
    picture = unpack_picture(data, context.document.usage)
    rows, columns = picture.rgba.shape[:2]
    if (columns, rows) != picture.natural:
        text = tr("its {0} by {1} pixels are reduced to {2} by {3}", *picture.natural, columns, rows)
        sink.report(Severity.NOTE, name, text)
    return picture


def _drawing(element: SvgElement, data: bytes, context: ReadingContext, sink: ShapeSink, asked: AskedSize) -> None:
    """A drawing shown as a picture: with styles and ids of its own."""
    outer = context.document
    if outer.depth >= DEEPEST:
        raise BadFile(tr("it contains drawings nested too deeply"))
    document = SvgDocument(parse(data, outer.name), outer.name, outer.flatness, outer.progress, outer)
    page = place_page(document, sink)
    width, height = _size(page.size, asked)
    if width <= 0 or height <= 0:
        return
    to_viewport = fit((0.0, 0.0, *page.size), element.node.get("preserveAspectRatio"), width, height)
    inner = dataclasses.replace(
        context,
        document=document,
        page=page,
        matrix=context.matrix @ to_viewport,
        viewport=page.size,
        open=frozenset(),
    )
    found = sink.branch()
    inner.elements.read(document.root, inner, found)
    sink.join(found, clip_to_viewport(found.shapes, context.matrix, width, height))
