"""Ink that runs empty: refills at the ends of strokes, never within one, counted over continued jobs."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wallwright.document.document import Pen
from wallwright.motion.refills import refills, with_ink_used

AMOUNTS = st.lists(st.floats(0.01, 3.0), min_size=1, max_size=40)


def run_of(metres: list[float], pen: Pen):
    """Travel, stroke, travel, stroke, ... of one pen."""
    k = len(metres)
    lengths = np.zeros(2 * k)
    lengths[1::2] = metres
    down = np.arange(2 * k) % 2 == 1
    stroke = np.where(down, np.arange(2 * k) // 2, -1)
    return refills((pen,), lengths, down, np.zeros(2 * k, dtype=int), stroke)


@settings(deadline=None, derandomize=True, max_examples=40)
@given(AMOUNTS, st.floats(3.0, 20.0), st.floats(0.0, 1.0))
def test_no_stroke_runs_empty_and_no_refill_comes_too_early(metres, full, share):
    used = share * full
    found = run_of(metres, Pen("a", "A", "#000000", ink=full, used=used))
    left = full - used
    for k, length in enumerate(metres):
        if 2 * k in found.runs:
            assert length > left, "what was left would have reached"
            left = full
        left -= length
        assert left >= -1e-9
    assert not found.too_long
    assert abs(found.left[0] - left) < 1e-9


def test_a_stroke_longer_than_a_full_pen_is_named():
    found = run_of([1.0, 5.0, 1.0], Pen("a", "A", "#000000", ink=3.0))
    assert found.too_long == (1,)


def test_a_pen_of_unknown_ink_never_pauses():
    found = run_of([100.0] * 5, Pen("a", "A", "#000000"))
    assert found.runs == () and np.isnan(found.left[0])


@given(
    st.lists(st.tuples(st.floats(0.1, 4.0), st.integers(0, 1)), min_size=1, max_size=30),
    st.floats(0.0, 3.0),
    st.data(),
)
def test_a_job_continued_anywhere_has_the_refills_that_were_left(strokes, used, data):
    """Drawn up to any stroke, the pens' counts lead to the same refills in what is left as in the whole."""
    pens = (Pen("a", "A", "#000000", ink=5.0, used=used), Pen("b", "B", "#ff0000"))
    metres, pen = np.array([s[0] for s in strokes]), np.array([s[1] for s in strokes])
    down, number = np.ones(len(strokes), dtype=bool), np.arange(len(strokes))
    whole = refills(pens, metres, down, pen, number)
    k = data.draw(st.integers(0, len(strokes)))
    after = with_ink_used(pens, metres[:k], metres[:k], pen[:k])
    rest = refills(after, metres[k:], down[k:], pen[k:], number[k:])
    assert [run + k for run in rest.runs] == [run for run in whole.runs if run + 1 >= k]
    assert rest.left == pytest.approx(whole.left, nan_ok=True)
    assert after[1].used == pytest.approx(metres[:k][pen[:k] == 1].sum())


def test_of_a_stroke_broken_off_only_what_is_drawn_counts():
    """10 m of ink, 6 m drawn: the next stroke of 6 m had a refill before it, and 2 m of it are drawn."""
    pens = (Pen("a", "A", "#000000", ink=10.0),)
    after = with_ink_used(pens, np.array([6.0, 6.0]), np.array([6.0, 2.0]), np.array([0, 0]))
    assert after[0].used == 2.0
