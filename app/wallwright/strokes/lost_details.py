"""Details that a pen is too broad to draw: how many, where the largest is, and which pen would draw it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from wallwright.artwork.drawing import Finding, Severity
from wallwright.document.language import plural, tr
from wallwright.strokes.stroke_generation import StrokeStyle
from wallwright.strokes.strokes import Strokes
from wallwright.strokes.thin_parts import LEAST_AREA
from wallwright.strokes.visibility import VisibleShape

SEEN = 0.1
"""mm across: nobody misses smaller ones."""


def lost_details(
    things: Sequence[VisibleShape],
    styles: Mapping[int, StrokeStyle],
    parts: Sequence[Strokes],
    first_tints: int,
) -> list[Finding]:
    """One finding, or none. parts: the strokes of each thing that has a style, in their order; first_tints: numbers below
    this are things, others are further tints of them."""
    lost: list[BaseGeometry] = []
    drawn = {n % first_tints for n, part in zip(styles, parts, strict=True) if len(part)}
    for number, style in styles.items():
        region = things[number].region
        if number >= first_tints or number in drawn or region is None or region.is_empty:
            continue
        if things[number].tone is None and region.area <= LEAST_AREA * style.width**2:
            lost.append(region)
    if not lost:
        return []
    areas = shapely.area(np.array(lost, dtype=object))
    largest = lost[int(np.argmax(areas))]
    size = float(2 * np.sqrt(areas.max() / np.pi))
    if size < SEEN:
        return []
    x, y = shapely.get_coordinates(shapely.centroid(largest))[0].tolist()
    widest = float(np.sqrt(areas.max() / LEAST_AREA))
    text = plural(
        "{0} detail is too small for the pen and not drawn: {1:.1f} mm across, at x {2:.0f} mm, y {3:.0f} mm of the wall. A "
        "pen of {4:.1f} mm draws it",
        "{0} details are too small for the pen and not drawn. The largest is {1:.1f} mm across, at x {2:.0f} mm, "
        "y {3:.0f} mm of the wall. A pen of {4:.1f} mm draws it",
        len(lost),
        size,
        x,
        y,
        float(np.floor(widest * 10) / 10),
    )
    return [Finding(Severity.NOTE, tr("small details"), text)]
