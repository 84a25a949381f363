"""Where the pen is at a time, when it is at a place, and curves thinned for a plot."""

import functools

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.experienced import ExperiencedRunner
from wallwright.document.edits import set_field
from wallwright.motion.plots import peaks, torque_margin
from wallwright.motion.trajectory import block_times, nearest_time, sample_at, stroke_starts
from wallwright.planning.demo import demo_document
from wallwright.planning.plan import Goal, Request


@functools.cache
def plan():
    document = set_field(demo_document(), "settings.fill.spacing", 25.0)
    return ExperiencedRunner().run(Request(1, document, Goal.PLAN)).plan, document


@given(st.floats(600, 1500), st.floats(500, 1200))
@settings(deadline=None, max_examples=60, derandomize=True)
def test_the_moment_near_a_point_is_where_the_ink_is_nearest(x, y):
    """Judge: shapely's distance from the point to all strokes."""
    motion, strokes = plan()[0].motion, plan()[0].strokes
    lines = [shapely.LineString(p) for p in np.split(strokes.points, strokes.offsets[1:-1]) if len(p) > 1]
    far = shapely.distance(shapely.MultiLineString(lines), shapely.Point(x, y))
    time = nearest_time(motion, (x, y), 1e6)
    moment = sample_at(motion, np.array([time]))
    # Samples of the motion lie on the strokes; the corner tolerance is what a chord may cut.
    assert np.hypot(*(moment.pen_xy[0] - [x, y])) == pytest.approx(far, abs=0.15)
    assert nearest_time(motion, (x, y), far - 0.2) is None


def test_every_stroke_begins_with_the_pen_there():
    motion, strokes = plan()[0].motion, plan()[0].strokes
    starts = stroke_starts(motion)
    assert len(starts) == len(strokes)
    assert np.all(np.diff(starts) > 0)
    np.testing.assert_allclose(sample_at(motion, starts).pen_xy, strokes.points[strokes.offsets[:-1]], atol=1e-6)


def test_blocks_follow_each_other_and_cover_all_strokes():
    motion = plan()[0].motion
    times = block_times(motion)
    assert len(times) == len(motion.blocks) == 4
    assert np.all(times[:, 0] < times[:, 1]) and np.all(times[:-1, 1] <= times[1:, 0])
    starts = stroke_starts(motion)
    assert times[0, 0] <= starts[0] and starts[-1] < times[-1, 1]


def test_the_least_torque_margin_is_the_one_that_the_check_tells():
    found, document = plan()
    text = next(c.text for c in found.checks if c.id == "torque")
    assert f"{torque_margin(found.motion, document.machine).min():.2f} times" in text


@given(st.integers(0, 2**32 - 1), st.integers(1, 5000), st.integers(1, 300), st.floats(0, 1), st.floats(0, 1))
@settings(deadline=None, max_examples=80, derandomize=True)
def test_thinning_keeps_every_peak_of_what_is_shown(seed, n, buckets, a, b):
    random = np.random.default_rng(seed)
    time = np.cumsum(random.exponential(size=n))
    values = random.normal(size=n)
    low, high = sorted((a * time[-1], b * time[-1]))
    x, y = peaks(time, values, (low, high), buckets)
    assert len(x) == len(y) <= max(2 * buckets, 2)
    assert np.all(np.diff(x) >= 0) and set(y) <= set(values)
    shown = values[(time >= low) & (time <= high)]
    if len(shown):
        assert y.min() <= shown.min() and y.max() >= shown.max()
