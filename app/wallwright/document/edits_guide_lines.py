"""Edits of the vertical and horizontal lines that artwork is put by."""

from __future__ import annotations

from wallwright.document.document import Document, GuideLine
from wallwright.document.edits import replace


def add_guide_line(document: Document, is_vertical: bool, at: float) -> Document:
    """One more line, the last of them; at: its x when it is vertical, else its y, mm."""
    return replace(document, guide_lines=(*document.guide_lines, GuideLine(is_vertical, float(at))))


def move_guide_line(document: Document, number: int, at: float) -> Document:
    """Puts a line elsewhere, mm."""
    lines = document.guide_lines
    moved = replace(lines[number], at=float(at))
    return replace(document, guide_lines=(*lines[:number], moved, *lines[number + 1 :]))


def remove_guide_line(document: Document, number: int) -> Document:
    lines = document.guide_lines
    return replace(document, guide_lines=(*lines[:number], *lines[number + 1 :]))
