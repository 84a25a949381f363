"""What must hold between the parts of a document, beyond the range of each number."""

from __future__ import annotations

import math

import msgspec

from app.document.document import Document
from app.document.errors import BadValue


def validate(document: Document) -> Document:
    """Returns the document, or raises BadValue naming the quantity, the value and the limit."""
    try:
        # Values built in the program skip msgspec's checks; a round trip applies them.
        msgspec.convert(msgspec.to_builtins(document, builtin_types=(bytes,)), Document)
    except msgspec.ValidationError as error:
        raise BadValue(str(error)) from error
    if not document.hangings:
        raise BadValue("A project needs at least one hanging")
    if not document.pens:
        raise BadValue("A project needs at least one pen")
    first = document.hangings[0].left
    if (first.x, first.y) != (0.0, 0.0):
        raise BadValue("The left anchor of the first hanging is the origin and must be at 0, 0")
    for hanging in document.hangings:
        if hanging.right.x - hanging.left.x < 50:
            raise BadValue(
                f"The anchors of '{hanging.name}' are {hanging.right.x - hanging.left.x:.0f} mm apart across; "
                "the right one must be at least 50 mm to the right of the left one"
            )
        _finite(hanging.datum, f"the datum pose of '{hanging.name}'")
    body = document.machine.body
    if body.right_exit[0] <= body.left_exit[0]:
        raise BadValue("The right exit must be to the right of the left exit")
    for name, point in (
        ("left exit", body.left_exit),
        ("right exit", body.right_exit),
        ("mass centre", body.centre),
    ):
        _finite(point, f"the {name} of the body")
    for outline, name in [(body.outline, "body"), *((k.outline, k.name) for k in document.wall.keep_outs)]:
        if len(outline) < 3:
            raise BadValue(f"The outline of '{name}' needs at least three corners")
        for corner in outline:
            _finite(corner, f"the outline of '{name}'")
    _unique([p.id for p in document.pens], "pen")
    _unique([a.id for a in document.artworks], "artwork")
    _unique([p.id for p in document.placements], "placement")
    artworks = {a.id for a in document.artworks}
    pens = {p.id for p in document.pens} | {""}
    for placement in document.placements:
        if placement.artwork not in artworks:
            raise BadValue(f"The placement '{placement.id}' shows an artwork that the project does not carry")
        for ink in placement.inks:
            if ink.pen not in pens:
                raise BadValue(
                    f"The colour {ink.colour} is given to a pen '{ink.pen}' that is not in the list"
                )
    return document


def _finite(point: tuple[float, float], what: str) -> None:
    if not all(math.isfinite(v) and abs(v) <= 1e6 for v in point):
        raise BadValue(f"A number in {what} is not usable: {point}")


def _unique(ids: list[str], what: str) -> None:
    for i in ids:
        if ids.count(i) > 1:
            raise BadValue(f"Two entries of the {what} list have the same id '{i}'")
