"""Edits of what is fixed on the wall once it is exported: register marks and handover lines."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from wallwright.document.document import Document
from wallwright.document.edits import replace
from wallwright.document.register import RegisterMark
from wallwright.document.wall import Hanging


def keep_handover_lines(
    document: Document, lines: Mapping[int, float], marks: Mapping[int, Sequence[RegisterMark]]
) -> Document:
    """The document with handover lines and marks as they were planned, where it does not say them already: what one
    hanging has drawn stays right whatever is learnt of the next. lines: x, mm, by the hanging on the left; marks: by the
    hanging that looks for them."""

    def kept(number: int, hanging: Hanging) -> Hanging:
        if hanging.handover is None and number in lines:
            hanging = replace(hanging, handover=float(lines[number]))
        if not hanging.register.marks and number in marks:
            hanging = replace(hanging, register=replace(hanging.register, marks=tuple(marks[number])))
        return hanging

    return replace(document, hangings=tuple(kept(i, h) for i, h in enumerate(document.hangings)))
