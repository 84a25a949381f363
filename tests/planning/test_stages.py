"""Stages kept by content: an edit redoes only what it changes, with the same result as from nothing."""

import numpy as np
import pytest

from wallwright.document.document import Fill, Ink
from wallwright.document.edits import add_artwork, replace, set_field, set_placement
from wallwright.planning import runner as runner_module
from wallwright.planning.demo import demo_document
from wallwright.planning.plan import Goal, Request
from wallwright.planning.runner import Runner
from wallwright.strokes import stroke_composition


@pytest.mark.parametrize("rule", ["solid", "mixed"])
def test_another_hatch_of_one_colour_redoes_the_shapes_of_that_colour_only(rule, monkeypatch):
    real, drawn = stroke_composition.generate_strokes, []

    def counted(items, sources, styles, *rest):
        drawn.extend(items[number].colour for number in styles)
        return real(items, sources, styles, *rest)

    looked = []
    real_seen = stroke_composition.visible_shapes
    monkeypatch.setattr(stroke_composition, "generate_strokes", counted)
    monkeypatch.setattr(stroke_composition, "visible_shapes", lambda *a: (looked.append(1), real_seen(*a))[1])
    document, runner = demo_document(), Runner()
    first = Ink("#c02020", "red", fill=Fill("hatch", 7.0, 0.3))
    document = set_placement(document, document.placements[0].id, colours=rule, inks=(first,))
    runner.run(Request(1, document, Goal.PREVIEW))
    colours = set(drawn)
    assert len(colours) > 2 and len(looked) == 1
    drawn.clear()
    red = Ink("#c02020", "red", fill=Fill("hatch", 9.0, 0.3))
    edited = set_placement(document, document.placements[0].id, inks=(red,))
    answer = runner.run(Request(2, edited, Goal.PREVIEW))
    assert set(drawn) == {"#c02020"} and len(looked) == 1
    fresh = Runner().run(Request(3, edited, Goal.PREVIEW))
    for field in ("points", "offsets", "pen", "source", "is_fill"):
        np.testing.assert_array_equal(getattr(answer.preview.strokes, field), getattr(fresh.preview.strokes, field))


def test_a_moved_artwork_keeps_its_strokes(monkeypatch):
    """They are moved, not made anew, and are those that a fresh start makes there, byte for byte."""
    real, made = runner_module.compose_strokes, []
    monkeypatch.setattr(runner_module, "compose_strokes", lambda *a: (made.append(1), real(*a))[1])
    document, runner = demo_document(), Runner()
    before = runner.run(Request(1, document, Goal.PREVIEW)).preview.strokes
    composed = len(made)
    placement = document.placements[0]
    edited = set_placement(document, placement.id, x=placement.x + 12.3, y=placement.y - 4.5)
    moved = runner.run(Request(2, edited, Goal.PREVIEW)).preview.strokes
    assert len(made) == composed
    fresh = Runner().run(Request(3, edited, Goal.PREVIEW)).preview.strokes
    for field in ("points", "offsets", "pen", "source", "is_fill"):
        np.testing.assert_array_equal(getattr(moved, field), getattr(fresh, field))
    by = moved.points - before.points
    np.testing.assert_allclose(by, np.broadcast_to((12.3, -4.5), by.shape), atol=1e-9)


NEIGHBOURS = b"""<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="60mm" viewBox="0 0 100 60">
<rect width="50" height="60" fill="#202020"/><rect x="50" width="50" height="60" fill="#e08a1e"/>
<g fill="#c02020" fill-opacity="0.4"><rect x="10" y="10" width="80" height="20"/>
<rect x="12" y="20" width="80" height="20"/></g></svg>"""


def test_gaps_and_widths_after_edits_are_those_of_a_fresh_start():
    """What is kept between edits: gaps to neighbours, and see-through slices merged by the width of the broadest pen."""
    document = replace(demo_document(), artworks=(), placements=())
    document, placed = add_artwork(document, "n.svg", "image/svg+xml", NEIGHBOURS, (100.0, 60.0))
    document = replace(document, pens=tuple(replace(pen, width=0.5) for pen in document.pens))
    wide = tuple(replace(pen, width=4.0) if pen.id == "black" else pen for pen in document.pens)
    edits = [
        set_field(document, "settings.gap", 1.0),
        set_field(document, "settings.gap", 2.0),
        set_placement(document, placed.id, inks=(Ink("#e08a1e", "blue"),)),
        replace(document, pens=wide),
        set_field(document, "settings.gap", 1.0),
    ]
    runner = Runner()
    for edited in edits:
        answer = runner.run(Request(1, edited, Goal.PREVIEW)).preview.strokes
        fresh = Runner().run(Request(2, edited, Goal.PREVIEW)).preview.strokes
        for field in ("points", "offsets", "pen", "source", "is_fill"):
            np.testing.assert_array_equal(getattr(answer, field), getattr(fresh, field))


SOFT = b"""<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="60mm" viewBox="0 0 100 60">
<rect x="5" y="5" width="30" height="50" fill="#1f4e8c"/><rect x="40" y="5" width="30" height="50" fill="#c02020"/>
<circle cx="40" cy="30" r="12" fill="#e0c020" fill-opacity="0.5"/>
<rect x="76" y="5" width="20" height="50" fill="#206030"/></svg>"""


@pytest.mark.parametrize("colour", ["#c02020", "#e0c020"])
def test_a_first_choice_redoes_what_it_changes_only(colour, monkeypatch):
    """Of colours that are mixed from the pens one is given a pen: a flat one, and one that is see-through."""
    real, drawn = stroke_composition.generate_strokes, []

    def counted(items, sources, styles, *rest):
        drawn.extend(items[number].colour for number in styles)
        return real(items, sources, styles, *rest)

    monkeypatch.setattr(stroke_composition, "generate_strokes", counted)
    document = replace(demo_document(), artworks=(), placements=())
    document, placed = add_artwork(document, "soft.svg", "image/svg+xml", SOFT, (100.0, 60.0))
    assert placed.colours == "mixed"
    runner = Runner()
    runner.run(Request(1, document, Goal.PREVIEW))
    drawn.clear()
    edited = set_placement(document, placed.id, inks=(Ink(colour, "red", fill=Fill("hatch", 9.0, 0.3)),))
    answer = runner.run(Request(2, edited, Goal.PREVIEW)).preview.strokes
    assert colour in drawn and "#206030" not in drawn
    fresh = Runner().run(Request(3, edited, Goal.PREVIEW)).preview.strokes
    for field in ("points", "offsets", "pen", "source", "is_fill"):
        np.testing.assert_array_equal(getattr(answer, field), getattr(fresh, field))
