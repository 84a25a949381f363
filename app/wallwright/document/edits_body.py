"""Edits of the machine's body."""

from __future__ import annotations

from wallwright.document.document import Document
from wallwright.document.edits import set_field
from wallwright.document.edits_keep_outs import fitted
from wallwright.document.errors import BadValue
from wallwright.document.language import tr


def fit_body(document: Document, box: tuple[float, float, float, float]) -> Document:
    """Stretches the outline of the body to a box (left, top, right, bottom) relative to the pen, mm. Raises BadValue for a
    box that does not contain the pen."""
    if not (box[0] < 0 < box[2] and box[1] < 0 < box[3]):
        raise BadValue(
            tr(
                "The pen must lie inside the body: enter negative numbers for left and top, positive ones for "
                "right and bottom"
            )
        )
    return set_field(document, "machine.body.outline", fitted(document.machine.body.outline, box))
