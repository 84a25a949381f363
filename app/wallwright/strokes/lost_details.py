"""Details lost because the pen is too broad: how many, where the largest is, and which pen could draw it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from wallwright.artwork.drawing import Finding, Severity
from wallwright.document.arrays import Floats
from wallwright.document.language import plural, tr
from wallwright.document.placing import box_around
from wallwright.strokes.stroke_generation import StrokeStyle
from wallwright.strokes.strokes import Strokes
from wallwright.strokes.thin_parts import LEAST_AREA
from wallwright.strokes.visibility import VisibleShape

LEAST_DIAMETER = 0.1
"""Smallest diameter, mm, of a detail that anyone would miss."""


def lost_details(
    things: Sequence[VisibleShape],
    styles: Mapping[int, StrokeStyle],
    parts: Sequence[Strokes],
    first_tints: int,
    matrix: Floats,
) -> list[Finding]:
    """Returns one finding with the position of the largest lost detail, or none.

    parts: the strokes of each thing that has a style, in their order; first_tints: numbers below this are things, others
    are further tints of them; matrix: (2, 3) from the artwork frame, in which positions are given, to that of the things,
    mm.
    """
    lost: list[BaseGeometry] = []
    drawn = {n % first_tints for n, part in zip(styles, parts, strict=True) if len(part)}
    for number, style in styles.items():
        region = things[number].region
        if number >= first_tints or number in drawn or region is None or region.is_empty:
            continue
        # What a gap to a neighbour removed is not missing from the artwork.
        is_whole = things[number].tone is None and not style.bordered_by
        if is_whole and _across(region) >= LEAST_DIAMETER and region.area <= LEAST_AREA * style.width**2:
            lost.append(region)
    if not lost:
        return []
    largest = max(lost, key=lambda region: region.area)
    text = plural(
        "{0} detail is too small for the pen and not drawn: {1:.1f} mm across. A pen of {2:.1f} mm draws it",
        "{0} details are too small for the pen and not drawn. The largest is {1:.1f} mm across. A pen of {2:.1f} mm "
        "draws it",
        len(lost),
        _across(largest),
        float(np.floor(np.sqrt(largest.area / LEAST_AREA) * 10) / 10),
    )
    points = (shapely.get_coordinates(largest) - matrix[:, 2]) @ np.linalg.inv(matrix[:, :2]).T
    return [Finding(Severity.NOTE, tr("small details"), text, box_around(points))]


def _across(region: BaseGeometry) -> float:
    """Returns the diameter of a disc of the same area, mm."""
    return float(2 * np.sqrt(region.area / np.pi))
