"""Gradients as SVG describes them, made into paints (SVG 2, 14.2)."""

from __future__ import annotations

import functools
import xml.etree.ElementTree as ET

import numpy as np

from wallwright.artwork.colour import rgb_of
from wallwright.artwork.drawing import Paint
from wallwright.artwork.paints import Circle, Gradient, mean_paint
from wallwright.artwork.svg.boxes import Box, box_matrix, corners
from wallwright.artwork.svg.colours import colour_of, share
from wallwright.artwork.svg.context import ReadingContext, mapped
from wallwright.artwork.svg.numbers import BadNumber, length
from wallwright.artwork.svg.svg_document import SvgDocument
from wallwright.artwork.svg.transforms import transform_of
from wallwright.artwork.svg.xml_parser import href, local
from wallwright.document.arrays import Floats

LONGEST_CHAIN = 50
"""Elements that refer to each other; editors write two."""
GRADIENTS = ("linearGradient", "radialGradient")
COORDINATES = ("x1", "y1", "x2", "y2", "cx", "cy", "r", "fx", "fy", "fr")


def chain_of(document: SvgDocument, first: ET.Element, kinds: tuple[str, ...]) -> list[ET.Element]:
    """An element and those its href leads to, as long as they are of the kinds; a loop, or LONGEST_CHAIN, ends the
    chain."""
    chain: list[ET.Element] = []
    target: ET.Element | None = first
    while (
        target is not None
        and len(chain) < LONGEST_CHAIN
        and local(target) in kinds
        and all(target is not e for e in chain)
    ):
        chain.append(target)
        target = document.by_id.get(href(target).removeprefix("#"))
    return chain


def inherited(chain: list[ET.Element], name: str) -> str | None:
    """The attribute of the first element of a chain that has it; coordinates only from elements of the same kind."""
    kind = local(chain[0])
    for element in chain:
        if element.get(name) is not None and (name not in COORDINATES or local(element) == kind):
            return element.get(name)
    return None


def paint_transform(text: str | None) -> Floats:
    """(3, 3); one that cannot be read or turned round counts as none."""
    try:
        matrix = transform_of(text)
    except BadNumber:
        return np.eye(3)
    return matrix if abs(np.linalg.det(matrix[:2, :2])) > 1e-12 else np.eye(3)


def gradient_of(target: ET.Element, context: ReadingContext, box: Box | None, strength: float) -> Paint | None:
    """The paint of a gradient element on something with a box in the user space of `context`; None paints nothing."""
    chain = chain_of(context.document, target, GRADIENTS)
    offsets, stops = _stops(context.document, chain)
    if not len(offsets):
        return None
    to_mm = context.to_mm()
    is_box = inherited(chain, "gradientUnits") != "userSpaceOnUse"
    if len(offsets) == 1:
        return _flat(stops[-1], strength)
    if is_box:
        own = box_matrix(box)
        if own is None:
            return None
        to_mm, viewport = to_mm @ own, (1.0, 1.0)
    else:
        viewport = context.viewport
    to_mm = to_mm @ paint_transform(inherited(chain, "gradientTransform"))
    diagonal = float(np.hypot(*viewport) / np.sqrt(2))

    def get(name: str, reference: float, default: str) -> float:
        text = inherited(chain, name)
        try:
            return length(default if text is None else text, reference, None, context.style.em)
        except BadNumber:
            return length(default, reference)

    w, h = viewport
    inner: Circle | None = None
    outer: Circle | None = None
    if local(target) == "linearGradient":
        x1, y1, x2, y2 = get("x1", w, "0%"), get("y1", h, "0%"), get("x2", w, "100%"), get("y2", h, "0%")
        dx, dy = x2 - x1, y2 - y1
        if dx == dy == 0:
            return _flat(stops[-1], strength)
        own = np.array([[dx, -dy, x1], [dy, dx, y1], [0, 0, 1.0]])
    else:
        cx, cy, r = get("cx", w, "50%"), get("cy", h, "50%"), get("r", diagonal, "50%")
        if r <= 0:
            return _flat(stops[-1], strength)
        fx = get("fx", w, "0") if inherited(chain, "fx") is not None else cx
        fy = get("fy", h, "0") if inherited(chain, "fy") is not None else cy
        own, inner, outer = np.eye(3), (fx, fy, max(get("fr", diagonal, "0%"), 0.0)), (cx, cy, r)
    if abs(np.linalg.det((to_mm @ own)[:2, :2])) < 1e-18:
        return None
    gradient = Gradient(
        "#000000",
        offsets=offsets,
        stops=stops,
        to_own=np.asarray(np.linalg.inv(to_mm @ own), dtype=np.float64),
        spread=inherited(chain, "spreadMethod") or "pad",
        inner=inner,
        outer=outer,
        strength=strength,
    )
    return mean_paint(gradient, mapped(context.to_mm(), corners(box or (0, 0, *context.viewport))))


def _stops(document: SvgDocument, chain: list[ET.Element]) -> tuple[Floats, Floats]:
    """(k,) offsets and (k, 4) colours of the first element of a chain that has stops."""
    for element in chain:
        if any(local(e) == "stop" for e in element):
            return document.stops.get(id(element), functools.partial(_read_stops, document, element))
    return np.zeros(0), np.zeros((0, 4))


def _read_stops(document: SvgDocument, element: ET.Element) -> tuple[Floats, Floats]:
    """(k,) offsets and (k, 4) colours of an element that has stops."""
    offsets: list[float] = []
    colours: list[list[float]] = []
    for stop in element:
        if local(stop) != "stop":
            continue
        style = document.style_at(stop)
        colour = colour_of(style["stop-color"], style["color"]) or ("#000000", 1.0)
        rgb = np.array(rgb_of(colour[0])) / 255
        offsets.append(max(share(stop.get("offset", "0"), 0.0), offsets[-1] if offsets else 0.0))
        colours.append([*rgb, colour[1] * share(style["stop-opacity"])])
    return np.array(offsets), np.array(colours)


def _flat(rgba: Floats, strength: float) -> Paint | None:
    r, g, b = (round(255 * v) for v in rgba[:3])
    opacity = float(rgba[3]) * strength
    return Paint(f"#{r:02x}{g:02x}{b:02x}", opacity) if opacity > 0 else None
