"""Consistency between the parts of a document, beyond the range of each number."""

from __future__ import annotations

import msgspec

from wallwright.document.calibration import Mark
from wallwright.document.code_settings import check_code
from wallwright.document.document import Document
from wallwright.document.errors import BadValue
from wallwright.document.language import N_, format_number, tr
from wallwright.document.machine import BODY_REACH
from wallwright.document.quantity import check_numbers
from wallwright.document.register import RegisterMark
from wallwright.document.validation_text import describe_invalid
from wallwright.document.wall import COORDINATE, Hanging, Point
from wallwright.document.whole_file import MB

MOST_PIXELS = 1e6
"""Largest pixel coordinate in a photo: more than any camera has."""

MOST_PLACEMENTS, MOST_PENS, MOST_HANGINGS, MOST_KEEP_OUTS = 2_000, 200, 200, 1_000
MOST_ARTWORK = 512 * MB
"""Largest size of a project's artwork, in bytes, unpacked."""
REMAINDER_COUNTS = (3, 7)
"""Allowed numbers of coefficients per direction: monomials of degree two, or of two and three."""


def validate(document: Document) -> Document:
    """Returns the document, or raises BadValue naming the quantity, the value and the limit."""
    try:
        # Values built in the program skip msgspec's checks; a round trip applies them.
        msgspec.convert(msgspec.to_builtins(document, builtin_types=(bytes,)), Document)
    except msgspec.ValidationError as error:
        raise BadValue(describe_invalid(str(error))) from error
    check_numbers(document)
    _check_size(document)
    if not document.hangings:
        raise BadValue(tr("A project needs at least one hanging"))
    if not document.pens:
        raise BadValue(tr("A project needs at least one pen"))
    first = document.hangings[0].left
    if (first.x, first.y) != (0.0, 0.0):
        raise BadValue(tr("The left anchor of the first hanging is the origin and must be at 0, 0"))
    for hanging in document.hangings:
        if hanging.right.x - hanging.left.x < 50:
            raise BadValue(
                tr(
                    "The anchors of “{0}” are {1:.0f} mm apart horizontally; the right one must be at least 50 "
                    "mm to the right of the left one",
                    hanging.name,
                    hanging.right.x - hanging.left.x,
                )
            )
        _check_within(hanging.start_point, COORDINATE, N_("the starting point of “{0}”"), hanging.name)
        for point, what in (
            (hanging.pen_change, N_("the point where pens are changed in “{0}”")),
            (hanging.priming, N_("the priming strip of “{0}”")),
        ):
            if point is not None:
                _check_within(point, COORDINATE, what, hanging.name)
        marks: list[Mark | RegisterMark] = [*hanging.survey.marks, *hanging.register.marks]
        for mark in marks:
            _check_within((mark.x, mark.y), COORDINATE, N_("mark “{0}” of “{1}”"), mark.name, hanging.name)
    controller = document.machine.controller
    check_code(controller.code, controller.takes == "plane", controller.curves == "arcs")
    body = document.machine.body
    if body.right_exit[0] <= body.left_exit[0]:
        raise BadValue(tr("The right exit must be to the right of the left exit"))
    for name, point in (
        (tr("left exit"), body.left_exit),
        (tr("right exit"), body.right_exit),
        (tr("centre of mass"), body.centre),
    ):
        _check_within(point, BODY_REACH, N_("the {0} of the body"), name)
    outlines: list[tuple[tuple[Point, ...], str, float]] = [(body.outline, tr("body"), BODY_REACH)]
    outlines += [(k.outline, k.name, COORDINATE) for k in document.wall.keep_outs]
    for outline, name, most in outlines:
        if len(outline) < 3:
            raise BadValue(tr("The outline of “{0}” needs at least three corners", name))
        for corner in outline:
            _check_within(corner, most, N_("the outline of “{0}”"), name)
    for hanging in document.hangings:
        _check_remainder(hanging)
        _check_within(hanging.survey.scale_centre, COORDINATE, N_("the test drawing of “{0}”"), hanging.name)
    _unique([p.id for p in document.pens], "pen")
    _unique([a.id for a in document.artworks], "artwork")
    _unique([p.id for p in document.placements], "placement")
    artworks = {a.id for a in document.artworks}
    if document.photo is not None:
        if document.photo.artwork not in artworks:
            raise BadValue(tr("The photo of the wall is missing from the project file"))
        for point in document.photo.seen:
            _check_within(point, MOST_PIXELS, N_("the corner points of the wall photo"))
        for point in document.photo.places:
            _check_within(point, COORDINATE, N_("the corner points of the wall photo"))
    pens = {p.id for p in document.pens} | {""}
    if document.settings.joining.pen not in pens:
        raise BadValue(
            tr(
                "The register marks use a pen “{0}” that is not in the list",
                document.settings.joining.pen,
            )
        )
    for placement in document.placements:
        if placement.artwork not in artworks:
            raise BadValue(tr("The file for artwork “{0}” is missing from the project", placement.id))
        for ink in placement.inks:
            for pen in (ink.pen, *(overlay.pen for overlay in ink.overlays)):
                if pen not in pens:
                    raise BadValue(tr("The colour {0} uses a pen “{1}” that is not in the list", ink.colour, pen))
        for pen in placement.picture.pens if placement.picture else ():
            if pen not in pens:
                raise BadValue(tr("A picture uses a pen “{0}” that is not in the list", pen))
    return document


def _check_remainder(hanging: Hanging) -> None:
    """Raises BadValue for a formula remainder that calibration could not have produced."""
    remainder = hanging.remainder
    if remainder is None:
        return
    if len(remainder.right) != len(remainder.down) or len(remainder.right) not in REMAINDER_COUNTS:
        raise BadValue(
            tr("The remainder that calibration found for “{0}” is incomplete. Calibrate again", hanging.name)
        )
    for point in (remainder.centre, *zip(remainder.right, remainder.down, strict=True)):
        _check_within(point, COORDINATE, N_("the remainder that calibration found for “{0}”"), hanging.name)


def _check_within(point: tuple[float, float], most: float, what: str, *names: str) -> None:
    """Raises BadValue for a point with a coordinate outside -most to most, or NaN.

    what: untranslated text about the point, with names to fill in; translated only when needed.
    """
    for value in point:
        if not abs(value) <= most:
            raise BadValue(
                tr(
                    "A number in {0} is out of range: {1}. Enter {2} to {3}",
                    tr(what, *names),
                    format_number(value, ".10g"),
                    format_number(-most, ".10g"),
                    format_number(most, ".10g"),
                )
            )


def _check_size(document: Document) -> None:
    """Limits the size of a project, to keep the window responsive and memory bounded. Raises BadValue."""
    for count, most, what in (
        (len(document.placements), MOST_PLACEMENTS, N_("artworks")),
        (len(document.pens), MOST_PENS, N_("pens")),
        (len(document.hangings), MOST_HANGINGS, N_("hangings")),
        (len(document.wall.keep_outs), MOST_KEEP_OUTS, N_("keep-outs")),
    ):
        if count > most:
            raise BadValue(
                tr(
                    "A project can have at most {0:,} {1}; this one would have {2:,}. Combine drawings or make "
                    "several projects",
                    most,
                    tr(what),
                    count,
                )
            )
    size = sum({id(a.data): len(a.data) for a in document.artworks}.values())
    if size > MOST_ARTWORK:
        raise BadValue(
            tr(
                "The artwork of a project can have at most {0:,} MB in total; this one would have {1:,} MB. Use "
                "smaller files or make several projects",
                MOST_ARTWORK // MB,
                -(-size // MB),
            )
        )


def _unique(ids: list[str], what: str) -> None:
    seen: set[str] = set()
    for i in ids:
        if i in seen:
            raise BadValue(tr("Two entries in the {0} list have the same id “{1}”", what, i))
        seen.add(i)
