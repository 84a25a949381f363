"""Paint values of fill and stroke: colours, gradients, patterns and what stands in when they cannot be had (SVG 2, 13.2)."""

from __future__ import annotations

import dataclasses
import xml.etree.ElementTree as ET
from typing import Literal

from wallwright.artwork.drawing import Paint, Severity
from wallwright.artwork.paints import Gradient, with_opacity
from wallwright.artwork.svg.boxes import Box
from wallwright.artwork.svg.colours import colour_of, share
from wallwright.artwork.svg.context import ReadingContext
from wallwright.artwork.svg.gradients import GRADIENTS, gradient_of
from wallwright.artwork.svg.patterns import pattern_of
from wallwright.artwork.svg.references import URL
from wallwright.artwork.svg.sink import ShapeSink
from wallwright.artwork.svg.xml_parser import local
from wallwright.document.language import tr

PaintKind = Literal["fill", "stroke"]
MOST_CONTEXTS = 20
"""Elements whose paint is asked for in turn."""


def _pattern(
    target: ET.Element, context: ReadingContext, sink: ShapeSink, box: Box | None, strength: float
) -> Paint | None:
    """A pattern, read once for all that stands alike."""
    key = id(target), context.matrix.tobytes(), context.viewport, box, context.style.em, context.open
    paint = context.document.patterns.get(key, lambda: pattern_of(target, context.inside(target), sink, box))
    return None if paint is None else with_opacity(paint, strength)


def paint_of(kind: PaintKind, name: str, context: ReadingContext, sink: ShapeSink, box: Box | None) -> Paint | None:
    """The paint of "fill" or "stroke" of something with a box in user units; None paints nothing.

    What is not painted as asked is reported. Raises BadFile.
    """
    strength = share(context.style[f"{kind}-opacity"]) * context.opacity
    if strength <= 0:
        return None
    value = context.style[kind].strip()
    document, is_open = context.document, context.open
    seen = 0
    while value in ("context-fill", "context-stroke"):
        source = context.paint_context
        if source is None or seen > MOST_CONTEXTS:
            return None
        seen += 1
        box = source.box or box
        context = dataclasses.replace(source.context, paint_context=source.outer, document=document, open=is_open)
        value = context.style[value.removeprefix("context-")].strip()
    if match := URL.match(value):
        target = document.by_id.get(match[1])
        paint = None
        if target is not None and id(target) in is_open:
            return None  # a pattern in itself
        if target is not None:
            if local(target) in GRADIENTS:
                paint = gradient_of(target, context, box, strength)
                if isinstance(paint, Gradient) and not is_open:
                    sink.report(Severity.NOTE, name, tr("its {0} is a gradient and is drawn in tones", kind))
            elif local(target) == "pattern":
                paint = _pattern(target, context, sink, box, strength)
        if paint is not None:
            return paint
        value = match[2].strip() or "none"
        if target is None and value == "none":
            sink.report(Severity.WARNING, name, tr("its {0} is not in the file; it is not drawn", kind))
    if value == "none":
        return None
    colour = colour_of(value, context.style["color"])
    if colour is None:
        initial = "black" if kind == "fill" else "none"
        sink.report(
            Severity.WARNING,
            name,
            tr("its {0} colour “{1}” is unknown; {2} is used", kind, value[:30], initial),
        )
        colour = ("#000000", 1.0 if kind == "fill" else 0.0)
    return Paint(colour[0], colour[1] * strength) if colour[1] > 0 else None
