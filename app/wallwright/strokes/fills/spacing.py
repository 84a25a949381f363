"""Distance between fill lines for a given share of the area."""

from __future__ import annotations

import numpy as np

from wallwright.document.document import Fill

NEIGHBOURS_MISS = 0.3
"""Largest error of the distance between two neighbouring lines, plus that of their width, mm: from swing, slack and the
pen."""
MOST_OVERLAP = 0.3
"""Largest overlap of lines, as a share of the pen width: more would wet the wall twice."""


def spacing_of(fill: Fill, pen_width: float) -> float:
    """Returns the distance between lines, mm. Lines at a spacing s cover pen_width / s of the area; two layers that cover
    c each leave (1 - c)² bare where they cross at any angle."""
    if fill.coverage <= 0:
        return fill.spacing
    share = min(fill.coverage / 100, 1.0)
    if fill.kind == "cross-hatch":
        share = 1 - np.sqrt(1 - share)
    return pen_width / share


def flat_spacing_of(fill: Fill, pen_width: float) -> float:
    """Returns the distance between the lines of a flat area, mm: as spacing_of, but for full coverage the lines overlap
    enough to leave no gaps despite small errors. Two layers need no overlap."""
    if fill.coverage < 100 or fill.kind == "cross-hatch":
        return spacing_of(fill, pen_width)
    return pen_width - min(NEIGHBOURS_MISS, MOST_OVERLAP * pen_width)


def coverage_of(fill: Fill, pen_width: float) -> float:
    """Returns the share of the area, %, that a fill's lines cover, as specified or from its spacing; 0 without fill."""
    if fill.kind == "none":
        return 0.0
    first = min(pen_width / spacing_of(fill, pen_width), 1.0)
    if fill.kind != "cross-hatch":
        return 100 * first
    second = min(pen_width / second_spacing_of(fill, pen_width), 1.0)
    return 100 * (1 - (1 - first) * (1 - second))


def second_spacing_of(fill: Fill, pen_width: float) -> float:
    """Returns the distance between the lines of a cross-hatch's second layer, mm."""
    if fill.coverage > 0 or fill.cross_spacing <= 0:
        return spacing_of(fill, pen_width)
    return fill.cross_spacing
