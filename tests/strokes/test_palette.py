"""Pens and tints suggested for colours."""

import numpy as np
import pytest

from wallwright.artwork.colour import ciede2000, lab_of
from wallwright.document import edits
from wallwright.document.document import Document, Pen
from wallwright.strokes.palette import MOST, difference, suggest, with_suggestions
from wallwright.strokes.stroke_composition import ColourUse

PENS = (Pen("k", "Black", "#000000", 2.0), Pen("r", "Red", "#d02020", 2.0), Pen("b", "Blue", "#2050b0", 2.0))


def test_grey_is_black_ink_on_half_the_wall():
    """Murray and Davies (1936): #bcbcbc has half the light of white (sRGB), so black ink covers half."""
    found = suggest("#bcbcbc", PENS)
    assert (found.pen, found.share) == (0, pytest.approx(0.5, abs=0.011))
    assert found.difference < 0.5


def test_pink_is_a_tint_of_red_and_no_fill_wets_the_wall_twice():
    pink = suggest("#f0a0a0", PENS)
    assert pink.pen == 1
    assert 0.3 < pink.share < 0.8
    assert suggest("#000000", PENS).share == MOST
    assert suggest("#ffffff", PENS).pen == -1


def test_lines_take_the_nearest_pen_in_full():
    found = suggest("#f0a0a0", PENS, is_area=False)
    assert (found.pen, found.share) == (1, 1.0)
    assert found.difference == pytest.approx(difference("#f0a0a0", PENS[1]))
    direct = ciede2000(lab_of(np.array([[240, 160, 160]])), lab_of(np.array([[208, 32, 32]])))[0]
    assert found.difference == pytest.approx(direct)


def test_suggestions_become_inks():
    svg = b'<svg xmlns="http://www.w3.org/2000/svg" width="10" height="10"/>'
    document = edits.replace(Document(), pens=PENS)
    document, placed = edits.add_artwork(document, "a.svg", "image/svg+xml", svg, (10.0, 10.0))
    uses = [
        ColourUse("#bcbcbc", 0, False, 100.0, 0.0),
        ColourUse("#2040a0", 0, False, 0.0, 50.0),
        ColourUse("#ffffff", -1, False, 9.0, 0.0),
    ]
    inks = {i.colour: i for i in with_suggestions(document, placed.id, uses).placements[0].inks}
    assert inks["#bcbcbc"].pen == "k"
    assert inks["#bcbcbc"].fill.coverage == 50
    assert (inks["#2040a0"].pen, inks["#2040a0"].fill) == ("b", None)
    assert inks["#ffffff"].pen == ""
