"""The parts of a document that a plan depends on."""

from __future__ import annotations

from wallwright.document.calibration import Survey
from wallwright.document.document import Document
from wallwright.document.edits import replace


def same_plan_input(a: Document, b: Document) -> bool:
    """Whether two documents have the same plan. Calibration readings not yet applied and the photo of the wall do not affect
    it."""
    return a is b or _planned(a) == _planned(b)


def _planned(document: Document) -> Document:
    used = {placement.artwork for placement in document.placements}
    return replace(
        document,
        photo=None,
        artworks=tuple(a for a in document.artworks if a.id in used),
        hangings=tuple(replace(h, survey=Survey()) for h in document.hangings),
    )
