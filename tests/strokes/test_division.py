"""Strokes shared out between hangings. The judge is shapely: lengths, what covers what, and in which zone it lies."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from wallwright.document.joining import Joining
from wallwright.strokes.dense_points import densify
from wallwright.strokes.division import HangingRow, divide_strokes
from wallwright.strokes.strokes import Strokes

WIDTH = 2.0
STEP = 10.0

ZONES = [shapely.box(0, 0, 1200, 900), shapely.box(900, 50, 2200, 900), shapely.box(1950, 0, 3000, 950)]
ROW = HangingRow((0, 1, 2), (1050.0, 2075.0))
EVERYWHERE = shapely.union_all(ZONES)


def shared(strokes, zones=ZONES, row=ROW, joining=None):
    looked = densify(strokes, STEP)
    can = np.array([shapely.intersects_xy(zone, *looked.points.T) for zone in zones])
    return divide_strokes(strokes, looked, can, row, joining or Joining(), np.array([WIDTH]))


@st.composite
def walks(draw):
    """Wiggly strokes inside the zones, some of them closed."""
    seed = draw(st.integers(0, 2**32 - 1))
    random = np.random.default_rng(seed)
    found = []
    for _ in range(draw(st.integers(1, 6))):
        n = random.integers(2, 40)
        points = random.uniform([20, 60], [2980, 880], (1, 2)) + np.cumsum(
            random.normal(0, random.choice([5, 60, 250]), (n, 2)), axis=0
        )
        points = np.clip(points, [5, 55], [2990, 890])
        if random.random() < 0.4:
            points = np.concatenate([points, points[:1]])
        found.append(points)
    return found


def measured(line):
    return shapely.LineString(line).length


@settings(max_examples=150, deadline=None)
@given(walks(), st.floats(0, 400), st.floats(0, 120), st.floats(0, 20))
def test_every_stroke_is_drawn_once_but_for_the_overlaps(lines, reach, stagger, overlap):
    strokes = Strokes.pack(lines, 0)
    found = shared(strokes, joining=Joining(reach=reach, stagger=stagger, overlap=overlap))
    most = overlap or WIDTH
    assert np.all(np.isin(np.arange(len(strokes)), found.whole))
    for number, line in enumerate(lines):
        own = np.flatnonzero(found.whole == number)
        lengths = [measured(found.strokes[i]) for i in own]
        closed = len(own) > 1 and np.array_equal(line[0], line[-1])
        extra = sum(lengths) - measured(line)
        joints = len(own) - 1 + (closed and found.hanging[own[0]] != found.hanging[own[-1]] and len(own) == 2)
        assert -1e-6 <= extra <= most * (joints + closed) + 1e-6
        # All of it is covered, by nothing but itself.
        drawn = shapely.MultiLineString([found.strokes[i] for i in own]).buffer(1e-4)
        assert (
            drawn.covers(shapely.LineString(line)) or shapely.difference(shapely.LineString(line), drawn).length < 1e-3
        )
        assert shapely.LineString(line).buffer(1e-4).covers(shapely.MultiLineString([found.strokes[i] for i in own]))


@settings(max_examples=150, deadline=None)
@given(walks(), st.floats(0, 400))
def test_every_part_lies_in_the_zone_of_the_hanging_that_draws_it(lines, reach):
    found = shared(Strokes.pack(lines, 0), joining=Joining(reach=reach))
    for i, line in enumerate(found.strokes):
        path = shapely.LineString(line)
        outside = shapely.difference(path, ZONES[found.hanging[i]].buffer(1e-6))
        # Between two points looked at a corner of a zone may be cut; what lies in no zone is with its neighbours.
        away = shapely.intersection(outside, EVERYWHERE.buffer(-STEP))
        assert away.length <= STEP


@settings(max_examples=80, deadline=None)
@given(walks(), st.floats(0, 300))
def test_no_stroke_has_more_parts_than_the_fewest(lines, reach):
    """The fewest, by dynamic programming over the points looked at."""
    strokes = Strokes.pack(lines, 0)
    found = shared(strokes, joining=Joining(reach=reach))
    looked = densify(strokes, STEP)
    can = np.array([shapely.intersects_xy(zone, *looked.points.T) for zone in ZONES])
    left, right = ROW.ground()
    x = looked.points[:, 0]
    over = np.maximum(left[:, None] - x, x - right[:, None])
    near = can & (over <= reach)
    usable = np.where(near.any(axis=0), near, can | ~can.any(axis=0))
    for number in range(len(strokes)):
        own = np.flatnonzero(found.whole == number)
        if not found.is_cut[own].all():
            assert len(own) == 1
            continue
        cost = np.where(usable[:, looked.stroke == number][:, 0], 1.0, np.inf)
        for column in usable[:, looked.stroke == number].T[1:]:
            cost = np.where(column, np.minimum(cost, cost.min() + 1), np.inf)
        assert len(own) <= cost.min()


def test_cuts_in_a_fill_make_no_seam():
    """300 level lines across a handover line: their cuts spread evenly over both sides of it, neighbours far apart."""
    lines = [np.array([[100.0, y], [2100.0, y]]) for y in np.linspace(100, 800, 300)]
    found = shared(Strokes.pack(lines, 0))
    ends = np.array([found.strokes[i][-1, 0] for i in np.flatnonzero(found.hanging == 0)])
    assert len(ends) == 300
    middle = ends - WIDTH / 2
    assert middle.min() > 1050 - 40.01 and middle.max() < 1050 + 40.01
    counts, _ = np.histogram(middle, 8, (1010, 1090))
    assert counts.min() > 30 and counts.max() < 45
    assert np.abs(np.diff(middle)).min() > 10


def test_small_things_across_the_line_stay_whole():
    """Circles of 120 mm about the line: each drawn whole, by the side that has more of it."""
    angle = np.linspace(0, 2 * np.pi, 60)
    ring = 60 * np.column_stack([np.cos(angle), np.sin(angle)])
    found = shared(Strokes.pack([ring + [1040, 300], ring + [1062, 600]], 0))
    assert not found.is_cut.any()
    assert found.hanging.tolist() == [0, 1]


def test_a_ring_cut_twice_has_two_parts():
    angle = np.linspace(0, 2 * np.pi, 200)
    ring = 400 * np.column_stack([np.cos(angle), np.sin(angle)]) + [1050, 450]
    for turn in (0, 70, 130):
        turned = np.concatenate([ring[turn:-1], ring[: turn + 1]])
        found = shared(Strokes.pack([turned], 0))
        assert sorted(found.hanging.tolist()) == [0, 1]
        assert sum(map(measured, found.strokes)) == pytest.approx(measured(ring) + 2 * WIDTH, abs=1e-6)


def test_a_stroke_that_crosses_often_is_not_cut_often():
    """A run up and down about the line, within reach: whole. Common sense, no source."""
    y = np.linspace(100, 800, 200)
    line = np.column_stack([1050 + 100 * np.sin(y / 5), y])
    assert len(shared(Strokes.pack([line], 0)).strokes) == 1


def test_what_no_hanging_reaches_stays_with_its_stroke():
    """A gap between zones is for the checks to report; the strokes are drawn once anyway."""
    zones = [shapely.box(0, 0, 1000, 900), shapely.box(1200, 0, 2200, 900)]
    lines = [np.array([[500.0, 300.0], [1700.0, 300.0]]), np.array([[1050.0, 300.0], [1150.0, 300.0]])]
    found = shared(Strokes.pack(lines, 0), zones, HangingRow((0, 1), (1100.0,)))
    assert found.whole.tolist() == [0, 0, 1]
    assert sum(map(measured, found.strokes)) == pytest.approx(1200 + WIDTH + 100)


def test_another_order_of_hangings_gives_the_same_shares():
    lines = [np.array([[100.0, y], [2900.0, y]]) for y in np.linspace(100, 800, 40)]
    strokes = Strokes.pack(lines, 0)
    plain = shared(strokes)
    turned = shared(strokes, [ZONES[1], ZONES[2], ZONES[0]], HangingRow((2, 0, 1), ROW.lines))
    assert np.array_equal(plain.strokes.points, turned.strokes.points)
    assert np.array_equal(np.array([1, 2, 0])[turned.hanging], plain.hanging)
