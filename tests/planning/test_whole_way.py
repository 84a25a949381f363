"""Small drawings with what real clip art holds, from the file to the replayed program.

Judges: the replay is that of an own model of a controller (tests/support/controller.py); double ink, reversals and feeds are
measured by tests/support/whole_way.py, which shares no code with the program.
"""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.artwork.documents.clip_art import DRAWN, REFUSED
from tests.support.whole_way import double_ink, reversals, whole_way, wrong
from wallwright.strokes.strokes import Strokes


@pytest.mark.parametrize("name", DRAWN)
def test_it_is_drawn_in_a_time_that_its_ink_explains(name, tmp_path):
    pens = (2, 4) if "gradient" in name else (2,)
    record = whole_way(DRAWN[name].encode(), "drawing.svg", tmp_path, 150.0, pens)
    assert record["failure"] is None
    assert wrong(record) == []
    for plan in record["plans"].values():
        assert plan["ink m"] > 0
        assert plan["double ink"] < 0.25
        assert plan["reversals per m"] < 2


@pytest.mark.parametrize(
    "name",
    [
        "a shadow of hairlines",
        "a scribble denser than the pen",
        "an outline drawn three times, a little aside",
        "a filled star with sharp tips",
    ],
)
def test_crowded_lines_are_drawn_about_once(name, tmp_path):
    """Before, from 45 to 94 % of their ink lay on other ink."""
    record = whole_way(DRAWN[name].encode(), "drawing.svg", tmp_path, 300.0, (2,), light=True)
    assert record["plans"]["2"]["double ink"] < 0.12


def test_what_lies_off_the_page_is_not_drawn(tmp_path):
    """The largest rectangle would take 80,000 km; what is on the page is a rectangle, and parts of a circle and a line."""
    record = whole_way(DRAWN["left-overs far off the page"].encode(), "drawing.svg", tmp_path, 300.0, (2,), light=True)
    assert record["failure"] is None
    assert record["plans"]["2"]["ink m"] < 40
    assert any("off its page" in finding for finding in record["findings"])


@pytest.mark.parametrize("name", REFUSED)
def test_it_is_refused_with_a_sentence(name, tmp_path):
    failure = whole_way(REFUSED[name].encode(), "drawing.svg", tmp_path)["failure"]
    assert failure["kind"] == "refused", failure["trace"]
    assert failure["text"].endswith(".") and "{" not in failure["text"]


@given(st.floats(20, 200), st.floats(0, 6.28), st.floats(0.05, 0.95), st.booleans())
@settings(deadline=None, max_examples=20)
def test_ink_drawn_twice_is_measured(length, heading, share, backwards):
    """A line, and a part of it once more, in either sense: the share is known."""
    along = np.array([np.cos(heading), np.sin(heading)])
    part = np.array([0.0, share])[:, None] * length * along
    lines = [np.array([0.0, 1.0])[:, None] * length * along, part[::-1] if backwards else part]
    found = double_ink(Strokes.pack(lines, 0), [2.0])
    assert found == pytest.approx(share / (1 + share), abs=3 / length)


def test_ink_that_crosses_or_bends_is_not_drawn_twice():
    angle = np.linspace(0, 2 * np.pi, 200)
    circle = 40 * np.column_stack([np.cos(angle), np.sin(angle)])
    cross = [np.array([[-50.0, 0.0], [50.0, 0.0]]), np.array([[0.0, -50.0], [0.0, 50.0]])]
    assert double_ink(Strokes.pack([circle, *cross], 0), [2.0]) == 0.0


def test_reversals_are_counted():
    line = np.array([[0.0, 0.0], [100.0, 0.0], [100.0, 50.0], [100.0, 20.0], [100.0, 20.0], [0.0, 0.0]])
    assert reversals(Strokes.pack([line], 0)) == 1
