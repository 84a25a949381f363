"""Elements that hold or copy others: nested viewports, use and symbol, switch (SVG 1.1, section 5 and 7.9)."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from typing import TYPE_CHECKING

import numpy as np

from app.artwork.drawing import Severity
from app.artwork.svg.clip import clip_to_viewport
from app.artwork.svg.numbers import BadNumber, length
from app.artwork.svg.parse import href, local
from app.artwork.svg.place import Place
from app.artwork.svg.viewport import fit, view_box
from app.document.language import tr

if TYPE_CHECKING:
    from app.artwork.svg.walk import Reader

DEEPEST_USE = 50


def nested(
    reader: Reader, element: ET.Element, name: str, place: Place, width: str | None, height: str | None
) -> None:
    """A viewport inside another: an inner svg, or a symbol shown by use (SVG 1.1, 7.9)."""
    w, h = place.viewport
    try:
        x, y = length(element.get("x"), w, 0.0), length(element.get("y"), h, 0.0)
        width_px, height_px = length(width, w, w), length(height, h, h)
        if width_px <= 0 or height_px <= 0:
            return
        inner = fit(element, width_px, height_px)
        box = view_box(element)
    except BadNumber as error:
        reader.tell(Severity.ERROR, name, tr("is not drawn: {0}", error))
        return
    move = np.array([[1, 0, x], [0, 1, y], [0, 0, 1.0]])
    viewport = box[2:] if box else (width_px, height_px)
    first, outer = len(reader.shapes), place.matrix @ move
    for child in element:
        reader.element(child, Place(outer @ inner, place.style, viewport, place.opacity,
                                    place.group, place.uses))  # fmt: skip

    if reader.style_of(element, place.style)["overflow"] not in ("visible", "auto"):
        clip_to_viewport(reader, first, outer, width_px, height_px)


def use(reader: Reader, element: ET.Element, name: str, place: Place) -> None:
    target = reader.by_id.get(href(element).removeprefix("#"))
    if target is None:
        reader.tell(Severity.WARNING, name, tr("shows '{0}', which is not in the file", href(element)[:40]))
        return
    if id(target) in place.uses or len(place.uses) > DEEPEST_USE:
        reader.tell(Severity.ERROR, name, tr("is not drawn: it is a copy of itself"))
        return
    try:
        x, y = (length(element.get(k), v, 0.0) for k, v in zip("xy", place.viewport, strict=True))
    except BadNumber as error:
        reader.tell(Severity.ERROR, name, tr("is not drawn: {0}", error))
        return
    move = np.array([[1, 0, x], [0, 1, y], [0, 0, 1.0]])
    inner = Place(place.matrix @ move, place.style, place.viewport, place.opacity, place.group,
                  (*place.uses, id(target)))  # fmt: skip
    if local(target) in ("symbol", "svg"):
        style = reader.style_of(target, inner.style)
        inner = Place(inner.matrix, style, inner.viewport, inner.opacity * reader.opacity_of(style), inner.group,
                      inner.uses)  # fmt: skip
        default = (
            ("100%", "100%") if local(target) == "symbol" else (target.get("width"), target.get("height"))
        )
        nested(
            reader,
            target,
            name,
            inner,
            element.get("width") or default[0],
            element.get("height") or default[1],
        )
    else:
        reader.element(target, inner)


def passes(element: ET.Element) -> bool:
    """Whether a child of switch is chosen (SVG 1.1, 5.8): no extensions needed, English or no language asked."""
    if element.get("requiredExtensions"):
        return False
    languages = element.get("systemLanguage")
    return languages is None or any(tag.strip().lower().split("-")[0] == "en" for tag in languages.split(","))
