"""Edits of guide lines."""

from __future__ import annotations

from wallwright.document.document import Document, GuideLine
from wallwright.document.edits import replace


def add_guide_line(document: Document, is_vertical: bool, at: float) -> Document:
    """Appends a guide line; at: x of a vertical line, else y, mm."""
    return replace(document, guide_lines=(*document.guide_lines, GuideLine(is_vertical, float(at))))


def move_guide_line(document: Document, number: int, at: float) -> Document:
    """Moves a guide line to a new x or y, mm."""
    lines = document.guide_lines
    moved = replace(lines[number], at=float(at))
    return replace(document, guide_lines=(*lines[:number], moved, *lines[number + 1 :]))


def remove_guide_line(document: Document, number: int) -> Document:
    lines = document.guide_lines
    return replace(document, guide_lines=(*lines[:number], *lines[number + 1 :]))
