"""Drawn parts of artworks: the box around the ink of each, on its page and on the wall."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from wallwright.document.arrays import Integers
from wallwright.document.document import Document
from wallwright.document.placing import box_around, part_of_page
from wallwright.document.wall import Box
from wallwright.planning.plan import StrokePreview

Parts = Mapping[str, Box]
"""Drawn part of the page by placement id; without an entry, the whole page counts."""


def drawn_parts(document: Document, preview: StrokePreview) -> Parts:
    """Returns the drawn parts of the artworks from a preview of their strokes. Strokes clipped to the zone do not show
    everything; whole pages count then."""
    strokes = preview.strokes
    if document.settings.outside == "clip" or not len(strokes):
        return {}
    placement = placement_of_stroke(preview)[strokes.stroke_of_point]
    found = {}
    for number in np.unique(placement[placement >= 0]).tolist():
        of = document.placements[number]
        found[of.id] = part_of_page(of, strokes.points[placement == number])
    return found


def placement_of_stroke(preview: StrokePreview) -> Integers:
    """Returns (k,) the index of the placement of each stroke; -1: none."""
    source = preview.strokes.source
    if not len(preview.placement_of_source):
        return np.full(len(source), -1, dtype=np.int64)
    return np.where(source >= 0, preview.placement_of_source[source], -1)


def ink_boxes(document: Document, preview: StrokePreview) -> dict[str, Box]:
    """Returns the box around the strokes of each placement that has some, mm, by placement id."""
    strokes = preview.strokes
    placement = placement_of_stroke(preview)[strokes.stroke_of_point]
    numbers = np.unique(placement[placement >= 0]).tolist()
    return {document.placements[n].id: box_around(strokes.points[placement == n]) for n in numbers}
