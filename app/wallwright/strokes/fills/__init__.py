"""Fill styles: one module per style, one line in the table.

A fill is a function (region, fill, pen_width, progress) -> polylines in mm. The region is where the pen's centre may be:
already inset by half a pen width.
"""

from __future__ import annotations

from collections.abc import Callable

from shapely.geometry.base import BaseGeometry

from wallwright.document.arrays import Floats, Integers, Objects
from wallwright.document.document import Fill
from wallwright.strokes.fills.contour import contour
from wallwright.strokes.fills.hatch import cross_hatch, cross_hatches, hatch, hatches
from wallwright.strokes.fills.progress import Progress, no_progress
from wallwright.strokes.fills.quickest import quickest
from wallwright.strokes.fills.spiral import spiral
from wallwright.strokes.fills.stipple import stipple
from wallwright.strokes.fills.toned import TONED, TonedFill
from wallwright.strokes.fills.zigzag import zigzag

__all__ = ["FILLS", "MANY", "TONED", "FillFunction", "TonedFill"]

FillFunction = Callable[[BaseGeometry, Fill, float, Progress], list[Floats]]

ManyFill = Callable[[Objects, Fill, float], tuple[Floats, Integers]]
"""(regions (n,), fill, pen_width) -> lines (m, p, 2) of p points each, and the region index of each, ascending."""


def no_fill(region: BaseGeometry, fill: Fill, pen_width: float, progress: Progress = no_progress) -> list[Floats]:
    """Returns no lines. Each would be (n, 2) mm."""
    return []


FILLS: dict[str, FillFunction] = {
    "none": no_fill,
    "quickest": quickest,
    "hatch": hatch,
    "cross-hatch": cross_hatch,
    "zigzag": zigzag,
    "contour": contour,
    "spiral": spiral,
    "stipple": stipple,
}

MANY: dict[str, ManyFill] = {"hatch": hatches, "cross-hatch": cross_hatches}
"""Fills that process many regions at once; each region gets the same lines as by itself."""
