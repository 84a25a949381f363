"""Recipes for flat colours, the table written from them, and pens worth buying."""

import io
import json
import zipfile

import numpy as np
import pytest

from tests.support.ink import inked
from wallwright.artwork.colour import ciede2000, lab_of, lab_of_light, rgb_of
from wallwright.artwork.inks.pen_advice import advise_pens
from wallwright.artwork.inks.recipes import Recipe, recipes_of
from wallwright.artwork.raster.tone import linear
from wallwright.document import edits
from wallwright.document.consistency import validate
from wallwright.document.document import Document, Ink, Overlay, Pen
from wallwright.document.errors import BadValue
from wallwright.document.picture import PictureSettings
from wallwright.document.project import decode_project, encode_project
from wallwright.planning.clock import Clock
from wallwright.planning.runner import Runner
from wallwright.strokes.palette import difference, pens_worth_buying, with_recipes_in_table, with_rule

PENS = (Pen("k", "Black", "#000000", 2.0), Pen("r", "Red", "#d02020", 2.0), Pen("b", "Blue", "#2050b0", 2.0))
MARKERS = (
    Pen("k", "Black", "#202020", 1.0),
    Pen("r", "Red", "#c02020", 1.0),
    Pen("y", "Yellow", "#f0d020", 1.0),
)
GREYS = ("#000000", "#555555", "#888888", "#bbbbbb", "#dddddd")
SQUARES = "".join(f'<rect x="{60 * i}" y="0" width="50" height="50" fill="{c}"/>' for i, c in enumerate(GREYS))
SQUARES += "".join(
    f'<rect x="{60 * i}" y="60" width="50" height="50" fill="{c}"/>' for i, c in enumerate(("#e08080", "#ffaa00"))
)
SVG = f'<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="110mm" viewBox="0 0 300 110">{SQUARES}</svg>'


def tints(recipe: Recipe) -> dict[int, float]:
    return {tint.pen: tint.coverage for tint in recipe.tints}


def placed(pens=MARKERS):
    document = edits.set_field(Document(), "pens", pens)
    return edits.add_artwork(
        document, "a.svg", "image/svg+xml", SVG.encode(), (300.0, 110.0), (1000.0, 800.0), 600.0, 220.0
    )


def preview(document):
    return Runner().preview(document, lambda stage, done, saving=None: None, Clock())


@pytest.mark.parametrize("pens", [PENS, PENS[1:], PENS[:0:-1]])
@pytest.mark.parametrize(
    ("colour", "pen"), [("#2050b0", "b"), ("#2452ae", "b"), ("#1d4fb4", "b"), ("#d02020", "r"), ("#cc2424", "r")]
)
def test_a_colour_like_a_pen_is_drawn_with_that_pen_alone_all_over(pens, colour, pen):
    """Whether or not there is a black pen too: without one, dark colours are moved up in lightness."""
    found = tints(recipes_of([colour], pens)[colour])
    assert {pens[number].id: coverage for number, coverage in found.items()} == {pen: 1.0}


@pytest.mark.parametrize("blue", ["#0000ff", "#2050b0", "#2563eb"])
@pytest.mark.parametrize("colour", ["#1f4e9e", "#1e3a8a", "#0d47a1", "#2b4c9b", "#1565c0", "#4169e1"])
def test_plain_blue_gets_no_red_from_which_it_would_not_come_nearer(blue, colour):
    pens = (Pen("r", "Red", "#c8102e", 2.0), Pen("b", "Blue", blue, 2.0))
    assert set(tints(recipes_of([colour], pens)[colour])) == {1}


def test_grey_is_black_ink_on_half_the_wall():
    """Murray and Davies (1936): #bcbcbc has half the light of white (sRGB), so black ink covers half."""
    found = recipes_of(["#bcbcbc"], PENS)["#bcbcbc"]
    assert tints(found) == {0: pytest.approx(0.5, abs=0.011)}
    assert found.difference < 0.5


@pytest.mark.parametrize("pens", [PENS, MARKERS, MARKERS[:1]])
def test_greys_are_drawn_in_black_and_differ_in_tone(pens):
    """A grey dinosaur is not drawn yellow; #000 is dark and #ddd nearly white."""
    found = recipes_of(GREYS, pens)
    coverage = [tints(found[grey]) for grey in GREYS]
    assert all(set(c) == {0} for c in coverage)
    shares = np.array([c[0] for c in coverage])
    assert np.all(np.diff(shares) < -0.07)
    assert shares[0] == 1.0
    assert shares[-1] == pytest.approx(1 - linear(221.0), abs=0.05)


def test_pink_is_a_tint_of_red_and_orange_two_pens():
    found = recipes_of(["#f0a0a0", "#ffaa00", "#ffffff"], MARKERS)
    assert max(tints(found["#f0a0a0"]), key=tints(found["#f0a0a0"]).get) == 1
    assert set(tints(found["#ffaa00"])) == {1, 2}
    assert (found["#ffffff"].tints, found["#ffffff"].line_pen) == ((), -1)


@pytest.mark.parametrize("colour", ["#ff0000", "#f44336", "#dd1111"])
def test_a_red_that_no_ink_reaches_is_drawn_with_the_red_pen_alone(colour):
    """Orange on the red would bring it nearer by less than anybody sees (own choice: 3 CIEDE2000)."""
    pens = (*PENS, Pen("o", "Orange", "#e08a1e", 2.0))
    (tint,) = recipes_of([colour], pens)[colour].tints
    assert pens[tint.pen].name == "Red" and tint.coverage > 0.85


def test_what_a_recipe_says_of_its_difference_is_the_difference_of_its_mixture():
    """Overprints summed by hand: Neugebauer with multiplied inks."""
    colours = ["#ffaa00", "#8c564b", "#2f7d4f", "#f0a0a0"]
    for colour, recipe in recipes_of(colours, MARKERS).items():
        light = np.ones(3)
        for tint in recipe.tints:
            light *= 1 - tint.coverage * (1 - linear(np.array(rgb_of(MARKERS[tint.pen].colour))))
        direct = ciede2000(lab_of_light(light[None]), lab_of(np.array([rgb_of(colour)])))[0]
        assert recipe.difference == pytest.approx(direct, abs=0.4)
        assert difference(colour, MARKERS, recipe.tints) == pytest.approx(direct, abs=0.01)


def test_lines_take_the_pen_that_is_nearest_among_the_recipe():
    found = recipes_of(["#ff0000", "#888888", "#e0c000"], MARKERS)
    assert [found[c].line_pen for c in ("#ff0000", "#888888", "#e0c000")] == [1, 0, 2]


def test_colours_alike_on_the_wall_have_hatches_at_different_angles():
    """One black pen: a red and a green of the same lightness (CIELAB 53) would have one hatch."""
    found = recipes_of(["#ff0000", "#109010"], MARKERS[:1])
    assert abs(tints(found["#ff0000"])[0] - tints(found["#109010"])[0]) < 0.05
    assert found["#ff0000"].turns != found["#109010"].turns


def test_squares_on_the_wall_are_as_dark_as_in_the_artwork():
    """Painted by Qt: the light of each square against that of its colour (sRGB); a black pen is not darker than its ink."""
    document, placement = placed()
    strokes = preview(document).strokes
    corner = np.array([placement.x - 300.0, placement.y - 110.0])
    light = np.ones((220 * 2, 600 * 2, 3))
    for number, pen in enumerate(MARKERS):
        mine = [stroke - corner for stroke, p in zip(strokes, strokes.pen.tolist(), strict=True) if p == number]
        ink = inked(mine, 1.0, (600.0, 220.0), per_width=2)
        light *= np.where(ink[..., None], linear(np.array(rgb_of(pen.colour))), 1.0)
    for i, grey in enumerate(GREYS):
        square = light[20:180, 240 * i + 20 : 240 * i + 180].mean(axis=(0, 1))
        assert square.mean() == pytest.approx(max(linear(np.array(rgb_of(grey))).mean(), 0.03), abs=0.05)
    for i, colour in enumerate(("#e08080", "#ffaa00")):
        square = light[260:420, 240 * i + 20 : 240 * i + 180].mean(axis=(0, 1))
        assert ciede2000(lab_of_light(square[None]), lab_of(np.array([rgb_of(colour)])))[0] < 10


def test_the_table_written_from_recipes_draws_the_same():
    document, placement = placed()
    before = preview(document)
    written = with_recipes_in_table(document, placement.id, before.reports[0].colours)
    inks = {ink.colour: ink for ink in written.placements[0].inks}
    assert inks["#888888"].fill.coverage == 76
    assert [type(o) for o in inks["#ffaa00"].overlays] == [Overlay]
    after = preview(written)
    assert len(after.strokes) == len(before.strokes)
    assert after.strokes.points == pytest.approx(before.strokes.points)
    mixed = with_rule(written, placement.id, "mixed")
    assert mixed.placements[0] == document.placements[0]


def test_an_overlay_of_a_pen_that_is_not_there_is_refused():
    document, placement = placed()
    ink = Ink("#ffaa00", "r", overlays=(Overlay("gone", document.settings.fill),))
    with pytest.raises(BadValue, match="gone"):
        validate(edits.set_ink(document, placement.id, ink))


def test_a_project_of_before_keeps_its_colours_and_has_no_gaps():
    """Saved without the rule for colours and the gap: nearest pens that meet, pictures with one pen a place."""
    document, _ = placed()
    with zipfile.ZipFile(io.BytesIO(encode_project(document))) as archive:
        files = {name: archive.read(name) for name in archive.namelist()}
    head = json.loads(files["document.json"])
    head["version"] = 2
    del head["document"]["settings"]["gap"]
    for place in head["document"]["placements"]:
        del place["colours"], place["gaps"]
    files["document.json"] = json.dumps(head).encode()
    old = io.BytesIO()
    with zipfile.ZipFile(old, "w") as archive:
        for name, data in files.items():
            archive.writestr(name, data)
    read = decode_project(old.getvalue(), "old.wallwright")
    assert (read.settings.gap, read.placements[0].colours, PictureSettings().mixing) == (
        0.0,
        "solid",
        "apart",
    )


def test_one_solid_pen_each_is_the_nearest_with_the_fill_of_the_job():
    document, placement = placed()
    report = preview(with_rule(document, placement.id, "solid")).reports[0]
    assert all(use.tints == () for use in report.colours)
    assert {use.pen for use in report.colours} <= {0, 1, 2}


def test_a_removed_pen_leaves_overlays_too():
    document, placement = placed()
    written = with_recipes_in_table(document, placement.id, preview(document).reports[0].colours)
    left = edits.remove_pen(written, "y")
    assert all(o.pen != "y" for ink in left.placements[0].inks for o in ink.overlays)


def test_pens_worth_buying_are_those_that_an_artwork_lacks():
    """An artwork half in green and half in grey, with a black and a red pen: green comes first, and brings its half near."""
    advice = advise_pens({"#008856": 100.0, "#808080": 100.0}, PENS[:2])
    assert advice[0].colour == "#008856"
    assert advice[0].after < 0.5 * advice[0].before
    assert advise_pens({"#808080": 100.0}, PENS[:1]) == []
    document, _ = placed(MARKERS[:1])
    found = pens_worth_buying(document, preview(document).reports[0].colours)
    assert 1 <= len(found) <= 3
    assert all(a.after < a.before for a in found)
