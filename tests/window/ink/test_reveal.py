"""How far along the strokes a moment is; lengths by shapely."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from wallwright.strokes.strokes import Strokes
from wallwright.window.ink.reveal import Reveal

steps = st.tuples(st.floats(0.1, 50), st.floats(-50, 50))
walks = st.lists(st.lists(steps, min_size=1, max_size=12), min_size=1, max_size=4)


@settings(deadline=None, max_examples=60, derandomize=True)
@given(walks, st.data())
def test_the_fraction_of_a_strokes_length_is_reached(walk, data):
    strokes = Strokes.pack([np.cumsum(np.array([(0.0, 0.0), *w]), axis=0) for w in walk], 0)
    stroke = data.draw(st.integers(0, len(strokes) - 1))
    fraction = data.draw(st.floats(0.01, 1))
    reveal = Reveal.at(strokes, stroke, fraction)
    start = int(strokes.offsets[stroke])
    drawn = list(strokes.points[start : reveal.last + 1])
    if reveal.part > 0:
        a, b = strokes.points[reveal.last : reveal.last + 2]
        drawn.append(a + reveal.part * (b - a))
    length = shapely.LineString(drawn).length if len(drawn) > 1 else 0.0
    assert length == pytest.approx(fraction * shapely.LineString(strokes[stroke]).length, rel=1e-6)


def test_ends():
    strokes = Strokes.pack([[(0, 0), (1, 0)], [(5, 5)], [(2, 2), (2, 4), (2, 6)]], 0)
    assert Reveal.at(strokes, -1, 0.5) == Reveal.at(strokes, 0, 0.0) == Reveal(-1, 0.0)
    assert Reveal.at(strokes, 1, 0.0) == Reveal.at(strokes, 0, 1.0) == Reveal(1, 0.0)
    assert Reveal.at(strokes, 1, 0.3) == Reveal(2, 0.0)
    assert Reveal.at(strokes, 2, 0.75) == Reveal(4, 0.5)
    assert Reveal.at(strokes, 3, 0.0) == Reveal(5, 0.0)
    assert Reveal.at(Strokes.empty(), 0, 0.5) == Reveal(-1, 0.0)
