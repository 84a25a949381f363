"""Points found again by their coordinates, against a dictionary."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.examples import examples
from tests.support.stroke_sets import random_strokes
from wallwright.document.document import Document
from wallwright.planning.outside_zone import strokes_outside
from wallwright.planning.point_cache import PointCache

POINTS = st.lists(st.tuples(st.integers(-4, 4), st.integers(-4, 4)), max_size=40)


@given(POINTS, POINTS)
@settings(deadline=None, max_examples=100, derandomize=True)
def test_points_kept_are_known_and_no_others(kept, asked):
    values = {point: 7 * point[0] + point[1] + 100 for point in kept}
    known = PointCache()
    points = np.array(kept, dtype=float).reshape(-1, 2) / 3
    known.keep(points, np.array([values[p] for p in kept], dtype=np.uint16))
    found, is_known = known.look_up(np.array(asked, dtype=float).reshape(-1, 2) / 3)
    assert is_known.tolist() == [point in values for point in asked]
    assert found.tolist() == [values.get(point, 0) for point in asked]


@given(st.integers(0, 1000))
@settings(deadline=None, max_examples=examples(4), derandomize=True)
def test_what_is_outside_does_not_depend_on_what_was_examined_before(seed):
    document, random = Document(), np.random.default_rng(seed)
    place, known = document.hangings[0], PointCache()
    strokes = random_strokes(300, seed)
    for _ in range(3):
        chosen = strokes.take(np.flatnonzero(random.random(300) < 0.7))
        kept, fresh = (strokes_outside(document, place, chosen, known=k) for k in (known, None))
        assert fresh.bits.any() and not fresh.bits.all()
        np.testing.assert_array_equal(kept.bits, fresh.bits)
        np.testing.assert_array_equal(kept.pieces.points, fresh.pieces.points)
