"""Edits of hangings and their handover lines."""

from __future__ import annotations

from wallwright.document.document import Document
from wallwright.document.edits import replace, shift_frame, with_field
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.document.wall import Anchor, Hanging, Point

MOST_HANGINGS = 40
"""Largest number of hangings in a project; a wall of a hundred metres needs fewer."""
BESIDE = 100.0
"""Shift of a duplicate from its original, mm."""


def unused_name(document: Document) -> str:
    """Returns the first of "Hanging 1", "Hanging 2", ... that is not taken."""
    taken = {h.name for h in document.hangings}
    number = len(taken) + 1
    while tr("Hanging {0}", number) in taken:
        number += 1
    return tr("Hanging {0}", number)


def add_hanging(document: Document, left: Point, right: Point, start_point: Point) -> Document:
    """Appends a hanging, drawn after the others, with the fixing ratings of the first one. Raises BadValue."""
    if len(document.hangings) >= MOST_HANGINGS:
        raise BadValue(tr("A project can have at most {0} hangings", MOST_HANGINGS))
    first = document.hangings[0]
    new = _hanging_like(first, unused_name(document), left, right, start_point)
    return replace(document, hangings=(*document.hangings, new))


def _hanging_like(like: Hanging, name: str, left: Point, right: Point, start_point: Point) -> Hanging:
    """Returns a hanging with the fixing ratings of another one."""

    def anchor(at: Point, old: Anchor) -> Anchor:
        return Anchor(float(at[0]), float(at[1]), old.stand_off, old.rating)

    start = (float(start_point[0]), float(start_point[1]))
    return Hanging(name, anchor(left, like.left), anchor(right, like.right), start)


def duplicate_hanging(document: Document, hanging: int) -> Document:
    """Duplicates a hanging, a little to the right. Raises BadValue."""
    of = document.hangings[hanging]
    left, right, start_point = (
        (x + BESIDE, y) for x, y in ((of.left.x, of.left.y), (of.right.x, of.right.y), of.start_point)
    )
    return add_hanging(document, left, right, start_point)


def remove_hanging(document: Document, hanging: int) -> Document:
    """Removes a hanging. Raises BadValue for the last one. Without the first, the next one's left anchor is the origin."""
    if len(document.hangings) == 1:
        raise BadValue(tr("A project needs at least one hanging"))
    left = document.hangings[:hanging] + document.hangings[hanging + 1 :]
    document = replace(document, hangings=left)
    origin = left[0].left
    return shift_frame(document, origin.x, origin.y) if (origin.x, origin.y) != (0.0, 0.0) else document


def set_handover_line(document: Document, hanging: int, x: float | None) -> Document:
    """Sets the x at which a hanging hands over to its right neighbour, mm; None: the middle of what both can draw."""
    return with_field(document, f"hangings.{hanging}.handover", None if x is None else float(x))


def replace_hangings(document: Document, places: tuple[tuple[Point, Point, Point], ...]) -> Document:
    """Replaces all hangings by (left anchor, right anchor, starting point), mm, in drawing order. Names and fixings of the
    old ones are kept."""
    first = document.hangings[0]
    found: tuple[Hanging, ...] = ()
    for number, (left, right, start_point) in enumerate(places):
        like = document.hangings[number] if number < len(document.hangings) else first
        name = like.name if like is not first or number == 0 else unused_name(replace(document, hangings=found))
        found = (*found, _hanging_like(like, name, left, right, start_point))
    origin = found[0].left
    document = replace(document, hangings=found)
    return shift_frame(document, origin.x, origin.y) if (origin.x, origin.y) != (0.0, 0.0) else document
