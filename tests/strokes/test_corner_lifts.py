"""Strokes ended and begun at corners, for a machine that draws at one speed."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from wallwright.strokes.corner_lifts import begin_at_sharpest, split_at_corners, turns
from wallwright.strokes.strokes import Strokes

POINTS = st.lists(st.tuples(st.integers(-50, 50), st.integers(-50, 50)), min_size=2, max_size=12)
LINES = st.lists(POINTS, min_size=1, max_size=5)


def packed(lines) -> Strokes:
    return Strokes.pack([np.array(line, dtype=float) for line in lines], np.arange(len(lines)))


def legs(strokes: Strokes) -> list[tuple[float, ...]]:
    return sorted((*a, *b) for line in strokes for a, b in zip(line[:-1].tolist(), line[1:].tolist(), strict=True))


@settings(max_examples=60, deadline=None)
@given(LINES, st.floats(0.1, 3.0))
def test_splitting_keeps_every_leg_and_leaves_no_sharp_corner(lines, angle):
    strokes = packed(lines)
    split = split_at_corners(strokes, angle)
    assert legs(split) == legs(strokes)
    assert not (turns(split) > angle).any()
    of_pen = [split.lengths()[split.pen == k].sum() for k in range(len(lines))]
    assert np.allclose(of_pen, strokes.lengths())


@settings(max_examples=60, deadline=None)
@given(LINES)
def test_closed_strokes_begin_at_their_sharpest_corner(lines):
    closed = packed([[*line, line[0]] for line in lines])
    turned = begin_at_sharpest(closed)
    assert legs(turned) == legs(closed)
    for before, after in zip(closed, turned, strict=True):
        if len(before) < 4:
            continue
        ring = np.concatenate([before[:-1], before[:2]])
        every = turns(Strokes.pack([np.concatenate([ring, ring[2:3]])], 0))
        inner = turns(Strokes.pack([after], 0))
        assert inner.max(initial=0.0) <= every.max() + 1e-6


def test_a_square_begun_in_the_middle_of_a_side_begins_at_a_corner():
    ring = np.array([[5, 0], [10, 0], [10, 10], [0, 10], [0, 0], [5, 0]], dtype=float)
    (line,) = begin_at_sharpest(Strokes.pack([ring], 0))
    assert line[0].tolist() == line[-1].tolist() == [10, 0]
