"""Ink that runs empty: refills at the ends of strokes, never within one, counted over continued jobs."""

from __future__ import annotations

import numpy as np
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


def test_ink_is_counted_on():
    pens = (Pen("a", "A", "#000000", ink=10.0, used=4.0), Pen("b", "B", "#ff0000"))
    after = with_ink_used(pens, np.array([5.0, 7.0]))
    assert (after[0].used, after[1].used) == (9.0, 7.0)
    assert abs(with_ink_used(after, np.array([3.0, 0.0]))[0].used - 2.0) < 1e-9, "refilled on the way"
