"""CSS colours of SVG properties (CSS Color 4, section 4; SVG 2, 13.2)."""

from __future__ import annotations

import functools
import re

from tinycss2.color4 import parse_color

Colour = tuple[str, float]
""""#rrggbb" and opacity."""
ICC = re.compile(r"\s*icc-color\(.*", re.DOTALL)


@functools.lru_cache(maxsize=4096)
def colour_of(text: str, current: str) -> Colour | None:
    """A colour, or None when it is none that is known. current: what currentColor stands for."""
    text = ICC.sub("", text.strip())
    colour = parse_color(text)
    if colour == "currentcolor":
        colour = parse_color(current)
    if colour is None or colour == "currentcolor":
        return None
    try:
        colour = colour.to("srgb")
    except NotImplementedError:
        return None
    rgb = [min(max(round(255 * (value or 0.0)), 0), 255) for value in colour.coordinates]
    return "#{:02x}{:02x}{:02x}".format(*rgb), min(max(float(colour.alpha or 0.0), 0.0), 1.0)


@functools.lru_cache(maxsize=4096)
def share(text: str, otherwise: float = 1.0) -> float:
    """A number or percentage between 0 and 1 (CSS Color 4, 4.2: opacity values are clamped)."""
    text = text.strip()
    try:
        value = float(text.rstrip("%")) / (100.0 if text.endswith("%") else 1.0)
    except ValueError:
        return otherwise
    return min(max(value, 0.0), 1.0) if value == value else otherwise
