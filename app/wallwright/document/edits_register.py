"""Edits of register marks and handover lines, which are fixed once a job is exported."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from wallwright.document.document import Document
from wallwright.document.edits import replace
from wallwright.document.register import RegisterMark
from wallwright.document.wall import Hanging


def keep_handover_lines(
    document: Document, lines: Mapping[int, float], marks: Mapping[int, Sequence[RegisterMark]]
) -> Document:
    """Stores planned handover lines and marks where the document has none yet, so that what one hanging has drawn stays
    valid whatever is learnt about the next. lines: x, mm, by the hanging on the left; marks: by the hanging that uses
    them."""

    def kept(number: int, hanging: Hanging) -> Hanging:
        if hanging.handover is None and number in lines:
            hanging = replace(hanging, handover=float(lines[number]))
        if not hanging.register.marks and number in marks:
            hanging = replace(hanging, register=replace(hanging.register, marks=tuple(marks[number])))
        return hanging

    return replace(document, hangings=tuple(kept(i, h) for i, h in enumerate(document.hangings)))
