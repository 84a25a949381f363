"""What of a document a plan is made from."""

from __future__ import annotations

from wallwright.document.calibration import Survey
from wallwright.document.document import Document
from wallwright.document.edits import replace


def same_plan_input(a: Document, b: Document) -> bool:
    """Whether two documents have the same plan: readings on their way to a calibration and the photo of the wall have no
    part in it."""
    return a is b or _planned(a) == _planned(b)


def _planned(document: Document) -> Document:
    used = {placement.artwork for placement in document.placements}
    return replace(
        document,
        photo=None,
        artworks=tuple(a for a in document.artworks if a.id in used),
        hangings=tuple(replace(h, survey=Survey()) for h in document.hangings),
    )
