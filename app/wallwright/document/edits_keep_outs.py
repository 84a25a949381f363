"""Edits of keep-outs and their corners."""

from __future__ import annotations

import re
from collections.abc import Sequence

from wallwright.document.document import Document
from wallwright.document.edits import replace, with_field
from wallwright.document.errors import BadValue
from wallwright.document.language import N_, in_every_language, tr
from wallwright.document.wall import KeepOut, KeepOutKind, Point

Outline = tuple[Point, ...]

_NAMES_OF_KIND: dict[KeepOutKind, tuple[str, ...]] = {
    "electrical": (N_("Socket"), N_("Switch"), N_("Lamp")),
    "water": (N_("Radiator"), N_("Tap")),
}
"""Names of keep-outs that cables or pipes usually lead to, by kind."""


def rectangle(a: Point, b: Point) -> Outline:
    """Returns the axis-parallel rectangle between two opposite corners, clockwise from its top left corner."""
    (left, right), (top, bottom) = sorted((a[0], b[0])), sorted((a[1], b[1]))
    return (left, top), (right, top), (right, bottom), (left, bottom)


def is_rectangle(outline: Sequence[Point]) -> bool:
    """Whether an outline is an axis-parallel rectangle."""
    return len(outline) == 4 and set(outline) == set(rectangle(outline[0], outline[2])) and len(set(outline)) == 4


def is_simple(outline: Sequence[Point]) -> bool:
    """Whether an outline of at least three corners has an area and does not cross or touch itself."""
    n = len(outline)
    if n < 3 or len(set(outline)) < n:
        return False
    sides = [(outline[i], outline[(i + 1) % n]) for i in range(n)]
    for i in range(n):
        a, b = sides[i]
        c = outline[(i + 2) % n]
        ahead = (b[0] - a[0]) * (c[0] - b[0]) + (b[1] - a[1]) * (c[1] - b[1])
        if _turn(a, b, c) == 0 and (n == 3 or ahead < 0):
            return False
        for j in range(i + 2, n - (i == 0)):
            if _cross(*sides[i], *sides[j]):
                return False
    return True


def _turn(a: Point, b: Point, c: Point) -> float:
    """Returns the cross product of ab and bc, mm²; positive for a right turn with y down."""
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _cross(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Whether segments ab and cd have a point in common."""
    if max(a[0], b[0]) < min(c[0], d[0]) or max(c[0], d[0]) < min(a[0], b[0]):
        return False
    if max(a[1], b[1]) < min(c[1], d[1]) or max(c[1], d[1]) < min(a[1], b[1]):
        return False
    return _turn(a, b, c) * _turn(a, b, d) <= 0 and _turn(c, d, a) * _turn(c, d, b) <= 0


def usual_kind(name: str) -> KeepOutKind:
    """Returns the usual kind of a keep-out with this name: an obstacle, or an outlet of cables or pipes.

    Names in any of the program's languages count, since the project may come from somebody else; so do words that end with
    one ("light switch", "Lichtschalter").
    """
    words = [word.casefold() for word in re.findall(r"[^\W\d_]+", name)]
    for kind, names in _NAMES_OF_KIND.items():
        ends = tuple(word.casefold() for one in names for word in in_every_language(one))
        if any(word.endswith(ends) for word in words):
            return kind
    return "obstacle"


def rename_keep_out(document: Document, index: int, name: str) -> Document:
    """Renames a keep-out. Its kind follows the name unless the person had chosen a kind other than the usual one."""
    old = document.wall.keep_outs[index]
    kind = usual_kind(name) if old.kind == usual_kind(old.name) else old.kind
    return with_field(document, f"wall.keep_outs.{index}", replace(old, name=name, kind=kind))


def add_keep_out(document: Document, name: str, outline: Outline) -> Document:
    """Appends a keep-out. Raises BadValue for an outline that crosses itself."""
    if not is_simple(outline):
        raise BadValue(tr("The sides of a keep-out must not cross, and it needs at least three corners"))
    corners = tuple((float(x), float(y)) for x, y in outline)
    keep_outs = (*document.wall.keep_outs, KeepOut(name, corners, usual_kind(name)))
    return with_field(document, "wall.keep_outs", keep_outs)


def move_keep_out(document: Document, index: int, dx: float, dy: float) -> Document:
    """Moves a keep-out on the wall, mm."""
    return _set(document, index, tuple((x + dx, y + dy) for x, y in document.wall.keep_outs[index].outline))


def fit_keep_out(document: Document, index: int, box: tuple[float, float, float, float]) -> Document:
    """Stretches a keep-out to a box (left, top, right, bottom), mm. Raises BadValue for an empty box."""
    if box[2] - box[0] < 1 or box[3] - box[1] < 1:
        raise BadValue(tr("A keep-out must be at least 1 mm wide and high"))
    return _set(document, index, fitted(document.wall.keep_outs[index].outline, box))


def fitted(outline: Sequence[Point], box: tuple[float, float, float, float]) -> tuple[Point, ...]:
    """Returns an outline stretched to a box (left, top, right, bottom), mm; one without width or height becomes the box."""
    left, top, right, bottom = box_of(outline)
    w, h = right - left, bottom - top
    if min(w, h) <= 0:
        return rectangle(box[:2], box[2:])
    return tuple(
        (box[0] + (x - left) / w * (box[2] - box[0]), box[1] + (y - top) / h * (box[3] - box[1])) for x, y in outline
    )


def box_of(outline: Sequence[Point]) -> tuple[float, float, float, float]:
    """Returns left, top, right and bottom of an outline, mm."""
    xs, ys = [p[0] for p in outline], [p[1] for p in outline]
    return min(xs), min(ys), max(xs), max(ys)


def move_corner(document: Document, index: int, corner: int, to: Point, alone: bool = False) -> Document:
    """Moves one corner. A rectangle stays one, with the opposite corner fixed, unless alone is True.

    Returns the same document where the outline would cross itself.
    """
    outline = document.wall.keep_outs[index].outline
    if is_rectangle(outline) and not alone:
        fixed = outline[(corner + 2) % 4]
        # Corners keep their indices even when the rectangle is turned inside out.
        beside_x = outline[(corner + 1) % 4][0] == outline[corner][0]
        other = ((to[0], fixed[1]), (fixed[0], to[1]))
        after, before = other if beside_x else other[::-1]
        new = list(outline)
        new[corner], new[(corner + 1) % 4], new[(corner - 1) % 4] = to, after, before
    else:
        new = [*outline[:corner], to, *outline[corner + 1 :]]
    return _set(document, index, tuple(new)) if is_simple(new) else document


def move_side(document: Document, index: int, side: int, to: Point) -> Document:
    """Moves the side after a rectangle's corner, at right angles, to a point; an empty rectangle is left unchanged."""
    outline = list(document.wall.keep_outs[index].outline)
    a, b = side, (side + 1) % 4
    if outline[a][0] == outline[b][0]:
        outline[a], outline[b] = (to[0], outline[a][1]), (to[0], outline[b][1])
    else:
        outline[a], outline[b] = (outline[a][0], to[1]), (outline[b][0], to[1])
    return _set(document, index, tuple(outline)) if is_simple(outline) else document


def add_corner(document: Document, index: int, after: int, at: Point) -> Document:
    """Adds a corner to the side after a corner; returns the same document where the outline would cross itself."""
    outline = document.wall.keep_outs[index].outline
    new = (*outline[: after + 1], at, *outline[after + 1 :])
    return _set(document, index, new) if is_simple(new) else document


def remove_corner(document: Document, index: int, corner: int) -> Document:
    """Removes a corner. Raises BadValue when only three are left, or when the sides would cross without it."""
    outline = document.wall.keep_outs[index].outline
    new = (*outline[:corner], *outline[corner + 1 :])
    if not is_simple(new):
        raise BadValue(tr("Without this corner nothing is left of the outline. Remove the keep-out instead"))
    return _set(document, index, new)


def remove_keep_out(document: Document, index: int) -> Document:
    kept = document.wall.keep_outs[:index] + document.wall.keep_outs[index + 1 :]
    return with_field(document, "wall.keep_outs", kept)


def _set(document: Document, index: int, outline: Outline) -> Document:
    old = document.wall.keep_outs[index]
    return with_field(document, f"wall.keep_outs.{index}", replace(old, outline=outline))
