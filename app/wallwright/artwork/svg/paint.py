"""Paint values of fill and stroke: colours, gradients, patterns and what stands in when they cannot be had (SVG 2, 13.2)."""

from __future__ import annotations

import dataclasses
import re
import xml.etree.ElementTree as ET
from typing import TYPE_CHECKING

from wallwright.artwork.drawing import Paint, Severity
from wallwright.artwork.paints import Gradient, with_opacity
from wallwright.artwork.svg.boxes import Box
from wallwright.artwork.svg.colours import colour_of, share
from wallwright.artwork.svg.context import Place
from wallwright.artwork.svg.gradients import GRADIENTS, gradient_of
from wallwright.artwork.svg.patterns import pattern_of
from wallwright.artwork.svg.xml_parser import local
from wallwright.document.language import tr

if TYPE_CHECKING:
    from wallwright.artwork.svg.walk import Reader

URL = re.compile(r"url\(\s*['\"]?#([^'\")]+?)['\"]?\s*\)\s*(.*)", re.DOTALL)


def _pattern(
    reader: Reader, target: ET.Element, place: Place, box: Box | None, strength: float
) -> Paint | None:
    """A pattern, read once for all that stands alike."""
    font = reader.font_of(place.style)
    key = id(target), place.matrix.tobytes(), place.viewport, box, font, frozenset(reader.open)
    if key not in reader.patterns:
        with reader.opened(target):
            reader.patterns[key] = pattern_of(reader, target, place, box)
    paint = reader.patterns[key]
    return None if paint is None else with_opacity(paint, strength)


def paint_of(reader: Reader, kind: str, name: str, place: Place, box: Box | None) -> Paint | None:
    """The paint of "fill" or "stroke" of something with a box in user units; None paints nothing.

    What is not painted as asked is told.
    """
    strength = share(place.style[f"{kind}-opacity"]) * place.opacity
    if strength <= 0:
        return None
    value = place.style[kind].strip()
    seen = 0
    while value in ("context-fill", "context-stroke"):
        if place.context is None or seen > 20:
            return None
        seen += 1
        box, place = (
            place.context.box or box,
            dataclasses.replace(place.context.place, context=place.context.outer),
        )
        value = place.style[value.removeprefix("context-")].strip()
    if match := URL.match(value):
        target = reader.by_id.get(match[1])
        paint = None
        if target is not None and id(target) in reader.open:
            return None  # a pattern in itself
        if target is not None:
            if local(target) in GRADIENTS:
                paint = gradient_of(reader, target, place, box, strength)
                if isinstance(paint, Gradient) and not reader.open:
                    reader.tell(Severity.NOTE, name, tr("its {0} is a gradient; it is drawn as tone", kind))
            elif local(target) == "pattern":
                paint = _pattern(reader, target, place, box, strength)
        if paint is not None:
            return paint
        value = match[2].strip() or "none"
        if target is None and value == "none":
            reader.tell(Severity.WARNING, name, tr("its {0} is not in the file; it is not drawn", kind))
    if value == "none":
        return None
    colour = colour_of(value, place.style["color"])
    if colour is None:
        initial = "black" if kind == "fill" else "none"
        reader.tell(
            Severity.WARNING,
            name,
            tr("its {0} colour '{1}' is not known; it counts as {2}", kind, value[:30], initial),
        )
        colour = ("#000000", 1.0 if kind == "fill" else 0.0)
    return Paint(colour[0], colour[1] * strength) if colour[1] > 0 else None
