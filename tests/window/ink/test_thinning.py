"""Thinned lines against true ones; distances by shapely."""

from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from wallwright.strokes.strokes import Strokes
from wallwright.window.ink.thinning import DEVIATION, kept_points, sampled_segments, segments_of

numbers = st.floats(-500, 500).map(lambda v: round(v, 3))
coordinates = st.tuples(numbers, numbers)
polylines = st.lists(st.lists(coordinates, min_size=1, max_size=30), min_size=1, max_size=6)
quick = settings(deadline=None, max_examples=60, derandomize=True)


@quick
@given(polylines, st.floats(0.01, 50))
def test_thinned_line_stays_near_the_true_one(lines, grid):
    strokes = Strokes.pack(lines, 0)
    kept = kept_points(strokes, grid)
    for i, true in enumerate(strokes):
        own = kept[(kept >= strokes.offsets[i]) & (kept < strokes.offsets[i + 1])]
        assert {strokes.offsets[i], strokes.offsets[i + 1] - 1} <= set(own.tolist())
        if len(true) > 1:
            thinned, line = shapely.LineString(strokes.points[own]), shapely.LineString(true)
            assert shapely.hausdorff_distance(thinned, line, densify=0.2) <= DEVIATION * grid + 1e-9


@quick
@given(polylines, st.sampled_from([0.0, 1.0, 100.0]))
def test_segments_join_kept_points_of_one_stroke_and_dots_stay(lines, grid):
    strokes = Strokes.pack(lines, 0)
    kept = kept_points(strokes, grid)
    start, end = segments_of(strokes, kept)
    of = strokes.stroke_of_point
    assert (of[start] == of[end]).all()
    dots = [i for i in range(len(strokes)) if len(strokes[i]) == 1]
    assert of[end[start == end]].tolist() == dots
    pairs = [p for i in range(len(strokes)) for p in zip(*[kept[of[kept] == i][k:] for k in (0, 1)], strict=False)]
    assert sorted(zip(start[start < end], end[start < end], strict=True)) == pairs
    assert (np.diff(end) > 0).all()


@quick
@given(polylines, st.integers(1, 50))
def test_sampled_segments_lie_in_one_stroke(lines, count):
    strokes = Strokes.pack(lines, 0)
    start, end = sampled_segments(strokes, count)
    of = strokes.stroke_of_point
    assert (of[start] == of[end]).all() and (start <= end).all()
    assert len(start) >= min(count, len(strokes.points)) // 2


def test_a_circle_loses_most_points_and_a_square_no_corner():
    angle = np.linspace(0, 2 * np.pi, 2001)
    circle = 50 * np.column_stack([np.cos(angle), np.sin(angle)])
    square = np.array([[0.0, 0.0], [9.0, 0.0], [9.0, 9.0], [0.0, 9.0], [0.0, 0.0]])
    sides = np.concatenate([np.linspace(a, b, 50) for a, b in pairwise(square)])
    assert len(kept_points(Strokes.pack([circle], 0), 0.5)) < 150
    kept = kept_points(Strokes.pack([sides], 0), 0.01)
    assert {tuple(p) for p in square} <= {tuple(p) for p in sides[kept]}
    assert len(kept) < len(sides) / 5


@pytest.mark.parametrize("count", [1, 20, 60, 300])
def test_a_likeness_cuts_no_corners(count):
    """Of rectangles of five points each, where every chord over a corner would be a line that is not drawn."""
    corners = np.array([[0.0, 0.0], [9.0, 0.0], [9.0, 5.0], [0.0, 5.0], [0.0, 0.0]])
    strokes = Strokes.pack([corners + 20.0 * k for k in range(60)], 0)
    start, end = sampled_segments(strokes, count)
    run = np.abs(strokes.points[end] - strokes.points[start])
    assert (run.min(axis=1) == 0).all() and (run.max(axis=1) > 0).any()
