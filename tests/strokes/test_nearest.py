"""Which stroke is near a point, against shapely's distances and its areas."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point
from shapely.geometry import LineString, Polygon

from wallwright.strokes.nearest import along, nearest_stroke, strokes_around
from wallwright.strokes.strokes import Strokes


def some_strokes(random) -> Strokes:
    lines = [random.uniform(-100, 100, (random.integers(1, 6), 2)) for _ in range(random.integers(1, 12))]
    return Strokes.pack(lines, 0, source=np.arange(len(lines)))


@given(st.integers(0, 10_000), st.floats(0.5, 80))
@settings(deadline=None, max_examples=150, derandomize=True)
def test_the_nearest_stroke_is_shapelys(number, reach):
    random = np.random.default_rng(number)
    strokes, point = some_strokes(random), tuple(random.uniform(-100, 100, 2))
    among = random.random(len(strokes)) < 0.7
    far = np.array([(LineString(s) if len(s) > 1 else Point(s[0])).distance(Point(point)) for s in strokes])
    found = nearest_stroke(strokes, point, reach, among)
    least = far[among].min(initial=np.inf)
    if found is None:
        assert least > reach
    else:
        assert among[found] and abs(far[found] - least) < 1e-9 and least <= reach


def test_of_strokes_equally_near_the_last_one_counts():
    line = np.array([[0.0, 0.0], [10.0, 0.0]])
    assert nearest_stroke(Strokes.pack([line, line, line + 1], 0), (5.0, 0.0), 1.0) == 1


def test_shares_of_the_way_are_shapelys():
    random = np.random.default_rng(3)
    a, b = random.uniform(-9, 9, (2, 50, 2))
    share, far = along(a, b, (1.0, 2.0))
    for i in range(50):
        line = LineString([a[i], b[i]])
        assert abs(line.project(Point(1, 2), normalized=True) - share[i]) < 1e-9
        assert abs(line.distance(Point(1, 2)) - far[i]) < 1e-9


@given(st.integers(0, 10_000))
@settings(deadline=None, max_examples=80, derandomize=True)
def test_a_point_is_around_what_shapely_says_and_not_in_a_hole(number):
    random = np.random.default_rng(number)

    def ring(x, y, size):
        angles = np.linspace(0, 2 * np.pi, 17)
        points = np.array([x, y]) + size * np.column_stack([np.cos(angles), np.sin(angles)])
        points[-1] = points[0]
        return points

    outer, hole, other = ring(0, 0, 50), ring(5, 3, 20), ring(*random.uniform(-60, 60, 2), 25)
    open_one = ring(0, 0, 90)[:-1]
    strokes = Strokes.pack([outer, hole, other, open_one], 0, source=np.array([0, 0, 1, 2]))
    point = tuple(random.uniform(-100, 100, 2))
    among = np.ones(4, dtype=bool)
    found = strokes_around(strokes, point, among)
    inside = {0: Polygon(outer, [hole]).contains(Point(point)), 1: Polygon(other).contains(Point(point))}
    assert set(strokes.source[found].tolist()) == {source for source, yes in inside.items() if yes}
    assert len(strokes_around(strokes, point, ~among)) == 0
