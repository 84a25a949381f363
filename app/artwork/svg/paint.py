"""Paint values: colours, and what is taken in place of gradients and patterns."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from typing import TYPE_CHECKING

from svgelements import Color

from app.artwork.drawing import Paint, Severity
from app.artwork.svg.numbers import BadNumber, length
from app.artwork.svg.parse import href, local
from app.artwork.svg.place import Place
from app.document.language import tr

if TYPE_CHECKING:
    from app.artwork.svg.walk import Reader

URL = re.compile(r"url\(\s*['\"]?#([^'\")]+)['\"]?\s*\)\s*(.*)", re.DOTALL)


def colour_of(text: str, current: str) -> tuple[str, float] | None:
    """("#rrggbb", opacity) of a CSS colour, or None when it is none or unknown."""
    text = text.strip()
    if text.lower() in ("none", "transparent", "context-fill", "context-stroke", ""):
        return None
    if text.lower() == "currentcolor":
        text = current
    try:
        colour = Color(text)
    except (ValueError, TypeError, IndexError):
        return None
    if colour.value is None:
        return None
    return f"#{colour.red:02x}{colour.green:02x}{colour.blue:02x}", colour.alpha / 255


def is_known(text: str) -> bool:
    """Whether svgelements knows the colour; it turns unknown ones into black without a word."""
    text = text.strip().lower()
    if text.startswith(("#", "rgb", "hsl")):
        return True
    return text in ("none", "transparent", "currentcolor", "black") or Color(text).hex != "#000000"


def mean_of_gradient(
    target: ET.Element, by_id: dict[str, ET.Element], style_of, current: str, depth: int = 0
) -> tuple[str, float] | None:
    """One colour for a gradient: the mean of its stops, weighted by the length each covers."""
    stops = [e for e in target if local(e) == "stop"]
    if not stops:
        inherited = by_id.get(href(target).lstrip("#"))
        if inherited is None or depth > 8:
            return None
        return mean_of_gradient(inherited, by_id, style_of, current, depth + 1)
    at, colours = [], []
    for stop in stops:
        style = style_of(stop)
        colour = colour_of(style["stop-color"], current) or ("#000000", 1.0)
        text = stop.get("offset", "0").strip()
        try:
            offset = float(text.rstrip("%")) / (100 if text.endswith("%") else 1)
        except ValueError:
            offset = 0.0
        at.append(max(min(max(offset, 0.0), 1.0), at[-1] if at else 0.0))
        try:
            opacity = colour[1] * min(max(float(style["stop-opacity"]), 0), 1)
        except ValueError:
            opacity = colour[1]
        colours.append((*(int(colour[0][i : i + 2], 16) for i in (1, 3, 5)), opacity))
    total = [0.0] * 4
    pieces = [(at[0], colours[0], colours[0])]
    pieces += [(at[i + 1] - at[i], colours[i], colours[i + 1]) for i in range(len(at) - 1)]
    pieces += [(1 - at[-1], colours[-1], colours[-1])]
    for share, a, b in pieces:
        for i in range(4):
            total[i] += share * (a[i] + b[i]) / 2
    r, g, b = (round(v) for v in total[:3])
    return f"#{r:02x}{g:02x}{b:02x}", total[3]


def paint_of(reader: Reader, kind: str, name: str, place: Place) -> Paint | None:
    """The paint of "fill" or "stroke"; None paints nothing. What is not painted as asked is told."""
    style = place.style
    value, current = style[kind].strip(), style["color"]
    found: tuple[str, float] | None
    if match := URL.match(value):
        target = reader.by_id.get(match[1])
        if target is not None and local(target) in ("linearGradient", "radialGradient"):
            found = mean_of_gradient(target, reader.by_id, lambda e: reader.style_of(e, style), current)
            if found:
                reader.tell(Severity.NOTE, name, tr("its {0} is a gradient; the mean colour is drawn", kind))
        else:
            found = colour_of(match[2], current) if match[2] else None
            what = tr("a pattern") if target is not None else tr("not in the file")
            reader.tell(Severity.WARNING, name, tr("its {0} is {1}; it is not drawn", kind, what))
    else:
        if value and not is_known(value):
            reader.tell(
                Severity.WARNING,
                name,
                tr("its {0} colour '{1}' is not known; it is not drawn", kind, value[:30]),
            )
            return None
        found = colour_of(value, current)
    if found is None:
        return None
    try:
        own = length(style[f"{kind}-opacity"], 1.0, 1.0)
    except BadNumber:
        own = 1.0
    opacity = found[1] * min(max(own, 0.0), 1.0) * place.opacity
    return Paint(found[0], opacity) if opacity > 0 else None
