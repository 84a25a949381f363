"""Strokes that run back over their own ink, and points too close together. The ink is measured by shapely's buffers, and what
is retraced by distances between parts of lines that shapely cuts: neither knows how the strokes are mended."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.ops import substring

from wallwright.strokes.degenerate import LEAST_LEG, RETRACED, least_leg, without_degenerate
from wallwright.strokes.strokes import Strokes

WIDTHS = np.array([2.0, 0.6])
TOLERANCE = 0.005
MOVED = 2 * RETRACED + 2 * LEAST_LEG
"""In pen widths: how far the edge of the ink may move, with all rules at work at one place."""


def mended(strokes: Strokes) -> Strokes:
    return without_degenerate(strokes, WIDTHS, TOLERANCE)


def walk(random: np.random.Generator) -> np.ndarray:
    """A line that goes on, back over itself exactly or a hair aside, jumps by next to nothing, repeats points, has spikes and
    may end where it began."""
    points = [random.uniform(0, 30, 2)]
    for _ in range(random.integers(1, 8)):
        deed = random.integers(0, 7)
        if deed <= 1:
            points.append(points[-1] + random.uniform(-20, 20, 2))
        elif deed == 2:
            back = points[-2 : -2 - random.integers(1, 5) : -1]
            aside = random.choice([0.0, 1e-9, 0.003]) * random.uniform(-1, 1, 2)
            points += [p + aside for p in back]
        elif deed == 3:
            points.append(points[-1] + random.choice([0.0, 1e-12, 1e-3, 0.01, 0.1]) * random.uniform(-1, 1, 2))
        elif deed == 4 and len(points) > 1:
            points.append(points[-1] + random.uniform(0.01, 1.2) * (points[-2] - points[-1]))
        elif deed == 5:
            tip = points[-1] + random.uniform(-15, 15, 2)
            points += [tip, points[-1] + random.uniform(-0.01, 0.01, 2)]
        else:
            angle = np.linspace(0, random.uniform(1, 6), random.integers(3, 30))
            arc = random.uniform(0.05, 8) * np.column_stack([np.cos(angle) - 1, np.sin(angle)])
            points += list(points[-1] + arc[1:])
    if random.random() < 0.3:
        points.append(points[0])
    return np.array(points)


@st.composite
def walks(draw):
    random = np.random.default_rng(draw(st.integers(0, 1_000_000)))
    lines = [walk(random) for _ in range(random.integers(1, 4))]
    lines = [line for line in lines if np.any(line != line[0])]
    pens = random.integers(0, len(WIDTHS), len(lines))
    return Strokes.pack(lines, pens, np.arange(len(lines), dtype=int), random.random(len(lines)) < 0.5)


def retraces(line: np.ndarray, width: float) -> bool:
    """Whether a line turns back at one of its points and then, without turning again, stays within most of the tolerance of
    its own way out for longer than the pen is wide."""
    whole = shapely.LineString(line)
    step = np.diff(line, axis=0)
    length = np.hypot(*step.T)
    along = np.concatenate([[0.0], np.cumsum(length)])
    sharp = along[1:-1][(step[1:] * step[:-1]).sum(axis=1) < 0]
    far = 1.02 * width
    for at in along[1:-1].tolist():
        if at < 0.98 * far or whole.length - at < far:
            continue
        if np.any((sharp > at + 1e-9) & (sharp < at + far)):
            continue
        out, back = substring(whole, max(at - 1.05 * far, 0.0), at), substring(whole, at, at + far)
        places = shapely.line_interpolate_point(back, np.linspace(0, back.length, 40))
        if shapely.distance(out, places).max() < 0.7 * RETRACED * width:
            return True
    return False


def ink(strokes: Strokes, pen: int, grown: float = 0.0):
    """Leg by leg: a buffer of a whole line that turns back sharply lacks parts."""
    own = strokes.stroke_of_point
    first = np.flatnonzero((own[1:] == own[:-1]) & (strokes.pen[own[1:]] == pen))
    legs = shapely.linestrings(np.stack([strokes.points[first], strokes.points[first + 1]], axis=1))
    return shapely.union_all(shapely.buffer(legs, WIDTHS[pen] * (0.5 + grown), quad_segs=16))


@given(walks())
@settings(deadline=None, max_examples=80, derandomize=True)
def test_no_stroke_doubles_back_over_its_own_ink(strokes):
    for line, pen in zip(result := mended(strokes), result.pen, strict=True):
        assert not retraces(line, WIDTHS[pen])


@given(walks())
@settings(deadline=None, max_examples=80, derandomize=True)
def test_the_wall_is_covered_as_before(strokes):
    """By shapely's buffers: what was inked is within a hair of ink now, and the other way round."""
    result = mended(strokes)
    for pen in range(len(WIDTHS)):
        before, after = ink(strokes, pen), ink(result, pen)
        assert shapely.difference(before, ink(result, pen, MOVED)).area < 1e-6
        assert shapely.difference(after, ink(strokes, pen, MOVED)).area < 1e-6
        assert after.area == pytest.approx(before.area, rel=0.05)


def test_these_walks_do_double_back():
    """Else the property above would say little."""
    lines = [walk(np.random.default_rng(seed)) for seed in range(100)]
    assert sum(retraces(line, 2.0) for line in lines if len(line) > 2) > 20


def test_a_dot_is_one_leg_and_nothing_is_none():
    """A touch of the pen as the reader gives it, a thousandth of the line long; a point twice; a point alone."""
    dot = np.array([[5.0, 5], [5.0, 5.002]])
    result = mended(Strokes.pack([dot, dot[[0, 0]], dot[:1]], 0, np.arange(3)))
    assert list(result.source) == [0] and result.lengths()[0] == pytest.approx(LEAST_LEG * WIDTHS[0])
    np.testing.assert_allclose(result.points[1] - result.points[0], [0, LEAST_LEG * WIDTHS[0]], atol=1e-7)


def test_a_spur_is_cut_where_it_leaves_the_stroke():
    there_and_on = np.array([[0.0, 0], [20, 0], [20, 15], [20, 0], [40, 0]])
    one, two = mended(Strokes.pack([there_and_on], 0))
    np.testing.assert_allclose(one, there_and_on[:3])
    np.testing.assert_allclose(two, there_and_on[3:], atol=0.1)
    short = np.array([[0.0, 0], [20, 0], [20, 1.5], [20, 0], [40, 0]])
    assert len(mended(Strokes.pack([short], 0))) == 1  # lifting takes longer than that


@pytest.mark.parametrize("first", range(8))
def test_a_ring_with_a_spur_stays_one_stroke(first):
    """Wherever the ring begins: in the spur, at its tip or anywhere else."""
    ring = np.array([[0.0, 0], [20, 0], [20, 20], [14, 20], [14, 26], [14, 33], [14, 26], [14, 20], [0, 20]])
    ring = np.roll(ring, -first, axis=0)
    (line,) = mended(Strokes.pack([np.concatenate([ring, ring[:1]])], 0))
    assert shapely.LineString(line).length == pytest.approx(80 + 13, abs=0.1)


def test_a_hairpin_is_drawn_once():
    """The edge of a strip a hair wider than the pen, pulled in by half its width."""
    angle = np.linspace(0, 2, 60)
    way = 50 * np.column_stack([np.cos(angle), np.sin(angle)])
    strip = np.concatenate([way, way[::-1] * (1 - 0.0006)])
    (line,) = mended(Strokes.pack([np.concatenate([strip, strip[:1]])], 0))
    assert shapely.LineString(line).length == pytest.approx(100, rel=0.01)


def test_a_line_joined_of_pieces_is_one_leg():
    x = np.array([0.0, 5, 5 - 0.04, 9, 9 + 1e-9, 30, 29.97, 50])
    (line,) = mended(Strokes.pack([np.column_stack([x, 2 * x])], 0))
    np.testing.assert_allclose(line, [[0, 0], [50, 100]])


@given(walks())
@settings(deadline=None, max_examples=80, derandomize=True)
def test_points_are_a_leg_apart(strokes):
    result = mended(strokes)
    least = least_leg(WIDTHS, TOLERANCE)
    for line, pen in zip(result, result.pen, strict=True):
        assert len(line) >= 2
        assert np.hypot(*np.diff(line, axis=0).T).min() >= least[pen] * (1 - 1e-9)


@given(walks())
@settings(deadline=None, max_examples=80, derandomize=True)
def test_nothing_is_left_to_mend(strokes):
    once = mended(strokes)
    twice = mended(once)
    for field in ("points", "offsets", "pen", "source", "is_fill"):
        np.testing.assert_array_equal(getattr(once, field), getattr(twice, field))


@given(walks(), st.integers(0, 1000))
@settings(deadline=None, max_examples=60, derandomize=True)
def test_each_stroke_is_repaired_by_itself(strokes, seed):
    """In any order: what comes of one does not depend on the others."""
    order = np.random.default_rng(seed).permutation(len(strokes))
    alone = [mended(strokes.take(np.array([i]))) for i in order]
    together = mended(strokes.take(order))
    np.testing.assert_array_equal(together.points, Strokes.join(alone).points)
    np.testing.assert_array_equal(together.source, Strokes.join(alone).source)
