"""Order: every stroke exactly once, and far less travel than in the order of the file."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.document.errors import Cancelled
from app.strokes.order import order_strokes, travel_lengths, travel_time
from app.strokes.strokes import Strokes

START = np.array([0.0, 0.0])


def random_strokes(count: int, seed: int, pens: int = 1) -> Strokes:
    rng = np.random.default_rng(seed)
    start = rng.uniform([0, 0], [1500, 1000], (count, 2))
    length, angle = rng.uniform(5, 40, count), rng.uniform(0, 2 * np.pi, count)
    end = start + np.column_stack([length * np.cos(angle), length * np.sin(angle)])
    return Strokes.pack(list(np.stack([start, end], axis=1)), rng.integers(0, pens, count), np.arange(count))


@given(st.integers(0, 500), st.integers(0, 10_000), st.integers(1, 3))
@settings(deadline=None, max_examples=25, derandomize=True)
def test_each_stroke_once_pens_together(count, seed, pens):
    strokes = random_strokes(count, seed, pens)
    ordered = order_strokes(strokes, START, 80.0, 200.0, effort=0.2)
    assert sorted(ordered.source.tolist()) == list(range(count))
    assert (np.diff(ordered.pen) >= 0).all()
    for i in range(count):
        a, b = ordered[i], strokes[ordered.source[i]]
        assert np.array_equal(a, b) or np.array_equal(a, b[::-1])


def test_travel_is_far_below_file_order():
    """A random uniform tour of n points in area A is about 0.7124 sqrt(n A) at best (Beardwood, Halton, Hammersley 1959;
    constant from memory); strokes with two ends to choose from do a little better."""
    strokes = random_strokes(2000, 1)
    before = travel_lengths(strokes, START).sum()
    ordered = order_strokes(strokes, START, 80.0, 200.0)
    after = travel_lengths(ordered, START).sum()
    assert after < 0.05 * before
    assert after < 0.7124 * np.sqrt(2000 * 1500 * 1000)


def test_better_than_nearest_neighbour():
    strokes = random_strokes(800, 3)
    times = [
        travel_time(
            travel_lengths(order_strokes(strokes, START, 80.0, 200.0, effort), START), 80.0, 200.0
        ).sum()
        for effort in (0.0, 1.0)
    ]
    assert times[1] < 0.9 * times[0]


def test_same_strokes_same_order():
    strokes = random_strokes(300, 9)
    one, two = (order_strokes(strokes, START, 80.0, 200.0) for _ in range(2))
    assert np.array_equal(one.points, two.points)


def test_a_closed_stroke_begins_near_where_the_pen_comes_from():
    angle = np.linspace(0, 2 * np.pi, 41)
    ring = np.column_stack([500 + 100 * np.cos(angle), 100 * np.sin(angle)])
    ring[-1] = ring[0]
    ordered = order_strokes(Strokes.pack([ring], 0), START, 80.0, 200.0)
    assert ordered.starts[0] == pytest.approx([400, 0], abs=1)
    assert np.array_equal(ordered[0][0], ordered[0][-1])


def test_cancel_is_heard():
    def stop(done: float) -> None:
        if done > 0:
            raise Cancelled

    with pytest.raises(Cancelled):
        order_strokes(random_strokes(3000, 2), START, 80.0, 200.0, progress=stop)
