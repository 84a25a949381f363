"""Lines crowded beside each other, against shapely's distances and the measure of double ink of tests/support/whole_way.py,
which shares no code with the program."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.whole_way import double_ink
from wallwright.strokes.crowded_lines import without_crowded
from wallwright.strokes.strokes import Strokes

WIDTHS = np.array([2.0, 1.0])


def lines_of(strokes):
    return shapely.MultiLineString(list(strokes))


def wavy(seed, count, room):
    """Curves of 20 to 200 mm, many of them beside each other."""
    rng = np.random.default_rng(seed)
    lines = []
    for _ in range(count):
        t = np.linspace(0, 1, 40)
        x = rng.uniform(0, room) + t * rng.uniform(20, 200)
        y = rng.uniform(0, room) + 6 * np.sin(4 * t + rng.uniform(0, 0.5))
        lines.append(np.column_stack([x, y])[:: rng.choice([-1, 1])])
    return lines


@given(st.integers(0, 10_000), st.integers(1, 60), st.floats(1, 60))
@settings(deadline=None, max_examples=25, derandomize=True)
def test_what_is_left_out_lies_beside_ink(seed, count, room):
    """No place of a line is farther than two pen widths from ink that stays, and most are nearer than half of one;
    of what stays nothing is new."""
    lines = wavy(seed, count, room)
    strokes = Strokes.pack(lines, np.arange(count) % 2, np.arange(count))
    found = without_crowded(strokes, WIDTHS)
    for pen, width in enumerate(WIDTHS):
        before = lines_of(strokes.take(np.flatnonzero(strokes.pen == pen)))
        after = lines_of(found.take(np.flatnonzero(found.pen == pen)))
        if before.is_empty:
            continue
        assert before.difference(after.buffer(2 * width)).length < 1e-6
        assert before.difference(after.buffer(0.6 * width)).length < 0.1 * before.length
        assert after.difference(before.buffer(1e-6)).length < 1e-6
    for line, source in zip(found, found.source, strict=True):
        assert shapely.LineString(line).hausdorff_distance(shapely.LineString(lines[source])) < 210


@pytest.mark.parametrize("apart", [0.05, 0.2, 0.45, 0.9])
def test_a_field_of_hairlines_keeps_every_line_that_covers_new_ground(apart):
    rows = np.arange(0, 40, apart)
    strokes = Strokes.pack([np.array([[0.0, y], [150.0, y]]) for y in rows], 0)
    found = without_crowded(strokes, WIDTHS)
    assert double_ink(found, [2.0]) < 0.01
    assert np.diff(found.starts[:, 1]).max() < 0.98 + apart + 1e-9
    assert np.diff(found.starts[:, 1]).min() > 0.98 - 1e-9


@pytest.mark.parametrize("right", [0.0, 200.0])
@pytest.mark.parametrize("slope", [1, 5, 20, 60])
def test_the_edge_of_a_field_keeps_its_slope(slope, right):
    """Hairlines each of which begins a little farther left: hardly any of the field is without ink, and no line falls into
    dashes."""
    rows = np.arange(0.17, 30, 0.17)
    field = [np.array([[-slope * y, y], [right, y]]) for y in rows]
    found = without_crowded(Strokes.pack(field, 0), WIDTHS)
    area = shapely.Polygon([field[0][0], field[0][1], field[-1][1], field[-1][0]])
    assert area.difference(lines_of(found).buffer(1.0)).area < 2.0
    assert len(found) <= len(field)
    assert double_ink(found, [2.0]) < 0.1


def test_lines_that_cross_or_keep_apart_and_fills_stay_to_the_bit():
    angle = np.radians(np.arange(0, 180, 5))
    cross = [100 * np.array([[-1.0], [1.0]]) * (np.cos(a), np.sin(a)) for a in angle]
    beside = [np.array([[300.0, y], [400.0, y]]) for y in np.arange(0, 30, 1.0)]
    fill = [np.array([[300.0, y], [400.0, y]]) for y in np.arange(0, 30, 0.25)]
    strokes = Strokes.join([Strokes.pack(cross + beside, 0), Strokes.pack(fill, 0, is_fill=True)])
    assert without_crowded(strokes, WIDTHS) is strokes


def test_a_spiral_and_a_zigzag_denser_than_the_pen_are_thinned():
    """Where gaps are longer than a lift is worth: the spiral is 60 mm wide."""
    turn = np.linspace(0, 200 * np.pi, 20_000)[:, None]
    spiral = 0.05 * turn * np.hstack([np.cos(turn), np.sin(turn)])
    rows = np.arange(0, 30, 0.1)
    zigzag = np.array([[x, y] for k, y in enumerate(rows) for x in ((100, 200) if k % 2 else (200, 100))])
    for line in (spiral, zigzag):
        strokes = Strokes.pack([line], 0)
        found = without_crowded(strokes, WIDTHS)
        assert double_ink(strokes, [2.0]) > 0.6
        assert double_ink(found, [2.0]) < 0.25
        assert found.lengths().sum() < 0.4 * strokes.lengths().sum()
        assert lines_of(strokes).difference(lines_of(found).buffer(3.0)).length < 1e-6
