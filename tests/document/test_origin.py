"""Positions and what they are measured from: what is shown, read back by its words, is the point on the wall."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.positions import positions_in
from wallwright.document import edits
from wallwright.document.document import Document
from wallwright.document.language import Language, set_language
from wallwright.document.origin import height_text, left_anchor, wall_corner
from wallwright.document.wall import Anchor, Hanging, Wall

LENGTH = st.floats(-9000, 9000).map(lambda v: round(v, 1))
TWO = st.builds(
    lambda left, top, x, y: edits.replace(
        Document(wall=Wall(left, top, 6000.0, 2500.0)),
        hangings=(
            Hanging("Hanging 1", Anchor(0.0, 0.0), Anchor(2000.0, 0.0), (1000.0, 800.0)),
            Hanging("The one by the door", Anchor(x, y), Anchor(x + 2000.0, y), (x + 1000.0, y + 800.0)),
        ),
    ),
    LENGTH,
    LENGTH,
    LENGTH,
    LENGTH,
)


def origins(document):
    return [*(left_anchor(document, h) for h in document.hangings), wall_corner(document)]


@given(TWO, LENGTH, LENGTH)
@settings(deadline=None, max_examples=60, derandomize=True)
def test_a_shown_position_is_read_back_through_its_origin(document, x, y):
    for origin in origins(document):
        assert positions_in(origin.text(x, y, ".1f"), document) == [pytest.approx((x, y), abs=0.06)]
        assert origin.to_wall(*origin.from_wall(x, y)) == pytest.approx((x, y), abs=1e-6)


@given(TWO, LENGTH, LENGTH)
@settings(deadline=None, max_examples=30, derandomize=True)
def test_both_coordinates_agree_with_their_single_texts(document, x, y):
    """What a guide line says is the half of what a point on it says."""
    for origin in origins(document):
        across, along = (text.split(" mm")[0] for text in (origin.across_text(x), origin.along_text(y)))
        both = origin.text(x, y).split(" mm")
        assert both[0] == across and both[1].rpartition(" ")[2] == along


def test_a_single_hanging_needs_no_name_and_heights_are_above_the_floor():
    document = Document()
    assert (
        left_anchor(document, document.hangings[0]).text(1050, 700)
        == "1050 mm right of and 700 mm below the left anchor"
    )
    assert wall_corner(document).text(1050, 700) == "1550 mm from the wall's left edge, 1500 mm above the floor"
    assert height_text(document, 0) == "2200 mm above the floor"


def test_decimal_commas_do_not_run_into_the_pair():
    set_language(Language("de", ","))
    try:
        text = wall_corner(Document()).text(1050.5, 700.25, ".1f")
    finally:
        set_language(Language())
    assert "1550,5 mm" in text and "1499,8 mm" in text
