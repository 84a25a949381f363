"""Check for overlapping artworks: each is drawn completely, whichever is in front."""

from __future__ import annotations

import itertools

import numpy as np

from wallwright.document.arrays import Integers, Points
from wallwright.document.language import tr
from wallwright.document.placing import box_around, overlaps
from wallwright.document.wall import Box
from wallwright.jobs.checks import Check, Verdict
from wallwright.planning.check_context import CheckContext
from wallwright.planning.drawn_parts import ink_boxes, placement_of_stroke
from wallwright.strokes.dense_points import densify
from wallwright.strokes.strokes import Strokes

CELL = 10.0
"""Distance, mm, within which lines appear to overlap."""
FEWEST = 10
"""Least number of cells with ink of both; with fewer, lines only touch or cross."""
MOST_PAIRS = 3
"""Largest number of pairs named; others are counted."""


def overlapping(context: CheckContext) -> list[Check]:
    """Checks for artworks with overlapping ink. Unlike within one drawing, nothing behind is left out."""
    document, preview = context.document, context.preview
    boxes = ink_boxes(document, preview)
    pairs = [(a, b) for a, b in itertools.combinations(boxes, 2) if overlaps(boxes[a], boxes[b])]
    if not pairs:
        return []
    number = {p.id: n for n, p in enumerate(document.placements)}
    owner = placement_of_stroke(preview)
    found: list[tuple[str, str, Integers]] = []
    for back, front in sorted(sorted(pair, key=lambda one: number[one]) for pair in pairs):
        common = _intersection(boxes[back], boxes[front])
        behind, before = (
            _cells(preview.strokes, np.flatnonzero(owner == number[one]), common) for one in (back, front)
        )
        shared = np.intersect1d(behind, before)
        if len(shared) >= FEWEST:
            found.append((back, front, shared))
    if not found:
        return []

    def name(placement: str) -> str:
        return document.artwork(document.placement(placement).artwork).name

    named = "; ".join(tr("“{0}” over “{1}”", name(front), name(back)) for back, front, _ in found[:MOST_PAIRS])
    if len(found) > MOST_PAIRS:
        named += "; " + tr("and {0} more", len(found) - MOST_PAIRS)
    text = tr(
        "{0}. Where their ink meets, both are drawn: which one is in front changes nothing there. Move one aside, or "
        "leave them if you want both.",
        named,
    )
    points = np.concatenate([_middles(shared) for _, _, shared in found])
    place = box_around(points)
    return [Check("overlapping", Verdict.NOTE, tr("Overlapping artwork"), text, place, figure=str(len(found)))]


def _intersection(one: Box, other: Box) -> Box:
    return max(one[0], other[0]), max(one[1], other[1]), min(one[2], other[2]), min(one[3], other[3])


SHIFT = 1 << 20
"""Number of cells in a row: more than any wall has."""


def _cells(strokes: Strokes, numbers: Integers, box: Box) -> Integers:
    """Returns (m,) the cell numbers within a box, mm, that strokes pass, ascending."""
    points = densify(strokes.take(numbers), CELL / 2).points
    left, top, right, bottom = box
    x, y = points[:, 0], points[:, 1]
    points = points[(x >= left) & (x <= right) & (y >= top) & (y <= bottom)]
    column, row = np.floor(points / CELL).astype(np.int64).T + SHIFT // 2
    return np.asarray(np.unique(row * SHIFT + column), dtype=np.int64)


def _middles(cells: Integers) -> Points:
    """Returns (m, 2) the centres of cells, mm."""
    row, column = np.divmod(cells, SHIFT)
    return (np.column_stack([column, row]) - SHIFT // 2 + 0.5) * CELL
