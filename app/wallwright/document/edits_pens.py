"""Edits of the list of pens, whose order is the drawing order."""

from __future__ import annotations

from collections.abc import Sequence

from wallwright.document.document import Document, Pen, Settings
from wallwright.document.edits import replace, unused_id


def in_order(document: Document, order: Sequence[int]) -> Document:
    """Reorders the pens; order: their present indices in the new order."""
    return replace(document, pens=tuple(document.pens[k] for k in order))


def move_pen(document: Document, pen_id: str, to: int) -> Document:
    """Moves a pen to an index in the list, clamped to its ends."""
    pen = document.pen(pen_id)
    others = [p for p in document.pens if p.id != pen_id]
    at = min(max(to, 0), len(others))
    return replace(document, pens=(*others[:at], pen, *others[at:]))


def add_saved_pen(document: Document, saved: Pen) -> Document:
    """Adds a saved pen."""
    own = replace(saved, id=unused_id([p.id for p in document.pens], "pen"))
    return replace(document, pens=(*document.pens, own))


def refill_pen(document: Document, pen_id: str) -> Document:
    """Marks a pen as full."""
    pens = tuple(replace(p, used=0.0) if p.id == pen_id else p for p in document.pens)
    return replace(document, pens=pens)


def with_gaps(document: Document) -> Document:
    """Sets at least the usual gap between any two colours."""
    usual = Settings().gap
    placements = tuple(
        replace(p, gaps=tuple(replace(g, gap=max(g.gap, usual)) for g in p.gaps)) for p in document.placements
    )
    settings = replace(document.settings, gap=max(document.settings.gap, usual))
    return replace(document, settings=settings, placements=placements)
