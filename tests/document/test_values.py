"""Numbers that no range of msgspec's catches: not finite, next to 0, points metres away. Each is refused in a sentence."""

import math

import msgspec
import pytest

from wallwright.document import edits
from wallwright.document.consistency import validate
from wallwright.document.controller import Controller
from wallwright.document.document import Document, Pen
from wallwright.document.edits_body import fit_body
from wallwright.document.edits_keep_outs import fit_keep_out, is_simple
from wallwright.document.errors import BadFile, BadValue
from wallwright.document.generated_artwork import HelperFigure, TextArtwork, decode
from wallwright.document.project import decode_project, encode_project
from wallwright.document.quantity import quantities
from wallwright.document.wall import KeepOut

NAN, INF = math.nan, math.inf


@pytest.mark.parametrize(
    "path, value, says",
    [
        ("pens.0.speed", 1e-300, "pens 1, speed: must be 0, or at least 0.1 mm/s"),
        ("pens.0.speed", NAN, "pens 1, speed"),
        ("pens.0.width", NAN, "pens 1, width"),
        ("machine.controller.assumed_steps", 1e-9, "must be 0, or at least 0.1 1/mm"),
        ("machine.controller.assumed_distance", 1e-300, "must be 0, or at least 50 mm"),
        ("settings.fill.coverage", 1e-12, "must be 0, or at least 0.1 %"),
        ("settings.fill.cross_spacing", 1e-3, "must be 0, or at least 0.05 mm"),
        ("settings.order.band", 1e-5, "must be 0, or at least 1 mm"),
        ("settings.joining.overlap", 1e-5, "must be 0, or at least 0.05 mm"),
        ("machine.body.mass", INF, "machine, body, mass: must be at most 20"),
        ("machine.body.centre", (0.0, 1e6), "centre of mass of the body is out of range: 1000000. Enter −2000 to 2000"),
        ("machine.body.centre", (NAN, 0.0), "machine, body, centre 1: must be a finite number"),
        ("machine.body.left_exit", (-90_000.0, 0.0), "left exit of the body is out of range: −90000"),
        ("machine.body.outline", ((0.0, 0.0), (90_000.0, 0.0), (0.0, 9.0)), "outline of “body” is out of range: 90000"),
        ("hangings.0.start_point", (1e6, 0.0), "starting point of “Hanging 1” is out of range: 1000000"),
        ("hangings.0.start_point", (NAN, 0.0), "must be a finite number"),
        ("hangings.0.register.left_over", INF, "register, left over: must be a finite number"),
        ("wall.keep_outs", (KeepOut("Door", ((0.0, 0.0), (1.0, NAN), (0.0, 9.0))),), "must be a finite number"),
        (
            "wall.keep_outs",
            (KeepOut("Door", ((0.0, 0.0), (1e6, 0.0), (0.0, 9.0))),),
            "outline of “Door” is out of range",
        ),
    ],
)
def test_a_number_that_makes_no_sense_is_refused_with_its_name(path, value, says):
    with pytest.raises(BadValue) as refused:
        validate(edits.with_field(Document(), path, value))
    assert says in str(refused.value)


@pytest.mark.parametrize("path, value", [("pens.0.speed", 0.0), ("pens.0.speed", 0.1), ("settings.order.band", 0.0)])
def test_zero_and_the_least_stay_allowed(path, value):
    validate(edits.with_field(Document(), path, value))


def test_every_zero_with_a_meaning_has_a_least_amount():
    """A number whose 0 means "none" divides somewhere: what is next to 0 would be a drawing of a thousand years."""
    types = [Pen, Controller, TextArtwork]
    for quantity in (q for type_ in types for q in quantities(type_).values()):
        assert not quantity.zero or quantity.least > 0, quantity.name


def test_a_project_with_such_a_number_says_so_and_is_not_opened():
    document = edits.with_field(Document(), "pens.0.speed", 1e-300)
    with pytest.raises(BadFile, match="pens 1, speed: must be 0, or at least"):
        decode_project(encode_project(document), "job.wallwright")


def test_made_artwork_is_held_to_the_same():
    words = msgspec.json.encode(TextArtwork("A", radius=1e-300))
    with pytest.raises(BadFile, match="radius: must be 0, or at least 1 mm"):
        decode(words, "application/vnd.wallwright.words+json", "A")
    grid = msgspec.json.encode(HelperFigure("grid"))
    assert decode(grid, "application/vnd.wallwright.figure+json", "grid") == HelperFigure("grid")


@pytest.mark.parametrize("outline", [((0.0, 0.0), (5.0, 0.0), (9.0, 0.0)), ((3.0, 3.0),) * 3])
def test_shapes_without_area_become_the_box_they_are_stretched_to(outline):
    document = edits.with_field(Document(), "wall.keep_outs", (KeepOut("Door", outline),))
    mended = fit_keep_out(document, 0, (0.0, 0.0, 30.0, 40.0)).wall.keep_outs[0].outline
    assert is_simple(mended) and max(mended) == (30.0, 40.0)
    body = fit_body(edits.with_field(Document(), "machine.body.outline", outline), (-9.0, -9.0, 9.0, 9.0))
    assert is_simple(body.machine.body.outline)
