"""Tidying against shapely: the same ink, drawn once, in fewer strokes."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from wallwright.strokes.double_ink import OverlapIndex
from wallwright.strokes.strokes import Strokes
from wallwright.strokes.tidy import close_rings, merge_ends, tidy

TOLERANCE = 0.01
WIDTHS = np.array([1.0])


def drop_overdrawn(strokes: Strokes, tolerance: float) -> Strokes:
    """Strokes without what of them is drawn already."""
    return OverlapIndex().without([strokes], tolerance)


def lines_of(strokes: Strokes):
    return shapely.MultiLineString(list(strokes))


@st.composite
def crossed_out(draw):
    """Polylines on a coarse grid, so that many of their segments lie on each other."""
    rng = np.random.default_rng(draw(st.integers(0, 100_000)))
    lines = []
    for _ in range(draw(st.integers(1, 8))):
        steps = rng.integers(-3, 4, (rng.integers(1, 8), 2))
        steps[np.all(steps == 0, axis=1), 0] = 1
        lines.append(5.0 * np.concatenate([[[0, 0]], np.cumsum(steps, axis=0)]) + 5 * rng.integers(0, 4, 2))
    return Strokes.pack(lines, 0, np.arange(len(lines)))


@given(crossed_out())
@settings(deadline=None, max_examples=150, derandomize=True)
def test_everything_is_drawn_once(strokes):
    """The same set of points as shapely's union of the lines, and of its length: nothing twice, nothing lost."""
    union = shapely.union_all([shapely.LineString(s) for s in strokes])
    result = drop_overdrawn(strokes, TOLERANCE)
    assert result.lengths().sum() == pytest.approx(union.length, abs=1e-6 * union.length)
    assert union.hausdorff_distance(lines_of(result)) < 1e-6
    assert np.all(np.diff(result.offsets) >= 2)
    assert set(result.source) <= set(strokes.source)


@given(crossed_out(), st.integers(0, 10_000))
@settings(deadline=None, max_examples=50, derandomize=True)
def test_a_copy_a_hair_aside_goes_whole(strokes, seed):
    rng = np.random.default_rng(seed)
    once = drop_overdrawn(strokes, TOLERANCE)
    shifted = once.points + rng.uniform(-1, 1, 2) * TOLERANCE / 2
    copy = Strokes(shifted, once.offsets, once.pen, once.source, once.is_fill)
    both = drop_overdrawn(Strokes.join([once, copy]), TOLERANCE)
    assert both.lengths().sum() == pytest.approx(once.lengths().sum(), rel=0.01)


def test_other_pens_and_fills_are_left():
    line = np.array([[0.0, 0], [50, 0]])
    assert len(drop_overdrawn(Strokes.pack([line, line], np.array([0, 1])), TOLERANCE)) == 2
    assert len(drop_overdrawn(Strokes.pack([line, line], 0, is_fill=True), TOLERANCE)) == 2
    assert len(drop_overdrawn(Strokes.pack([line, line[::-1]], 0), TOLERANCE)) == 1


def test_lines_that_cross_stay_whole():
    angle = np.linspace(0, np.pi, 40, endpoint=False)
    arms = 50 * np.column_stack([np.cos(angle), np.sin(angle)])
    strokes = Strokes.pack(list(np.stack([-arms, arms], axis=1)), 0)
    assert np.array_equal(drop_overdrawn(strokes, TOLERANCE).points, strokes.points)


def test_two_shapes_share_an_edge_once():
    """Squares side by side: seven sides of twelve are enough, in two strokes at most three."""
    box = np.array([[0.0, 0], [10, 0], [10, 10], [0, 10], [0, 0]])
    strokes = Strokes.pack([box, box + [10, 0]], 0, np.array([0, 1]))
    result = tidy(strokes, 0.2, TOLERANCE, WIDTHS)
    assert result.lengths().sum() == pytest.approx(70)
    assert len(result) == 2


def test_touching_lines_of_different_shapes_become_one_stroke():
    a, b = np.array([[0.0, 0], [10, 0]]), np.array([[10.1, 0], [20, 5]])
    strokes = Strokes.pack([a, b], 0, np.array([3, 4]))
    assert len(merge_ends(strokes, 0.2)) == 2
    assert len(tidy(strokes, 0.2, TOLERANCE, WIDTHS)) == 1
    assert len(tidy(strokes, 0.05, TOLERANCE, WIDTHS)) == 2


def test_a_ring_left_open_by_a_gap_is_closed():
    ring = np.array([[0.0, 0], [10, 0], [10, 10], [0, 10], [0, 0.15]])
    closed = close_rings(Strokes.pack([ring, ring + 50], 0), 0.2)
    for stroke in closed:
        assert len(stroke) == 6 and np.array_equal(stroke[0], stroke[-1])
    assert len(close_rings(Strokes.pack([ring], 0), 0.1)[0]) == 5


@given(crossed_out(), st.floats(0.01, 1.0))
@settings(deadline=None, max_examples=60, derandomize=True)
def test_tidied_ink_is_the_same_ink(strokes, gap):
    """Within tolerance of what was asked for, and joins no longer than the gap."""
    wanted = shapely.union_all([shapely.LineString(s) for s in strokes])
    result = tidy(strokes, gap, TOLERANCE, WIDTHS)
    assert lines_of(result).hausdorff_distance(wanted) <= 2 * TOLERANCE + gap
    assert result.lengths().sum() <= wanted.length + gap * len(strokes) + 1e-6
