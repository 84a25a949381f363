"""Places along the strokes by the clock, and back."""

import functools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.experienced import ExperiencedRunner
from wallwright.document.continuation import StrokePlace
from wallwright.document.edits import set_field
from wallwright.motion.timetable import MOST_ROWS, MOST_STROKES, round_numbers, stroke_marks, timetable
from wallwright.motion.trajectory import (
    block_times,
    place_at,
    place_before,
    sample_at,
    stroke_starts,
    time_of,
)
from wallwright.planning.demo import demo_document
from wallwright.planning.plan import Goal, Request
from wallwright.strokes.remaining import arc_lengths, point_at


@functools.cache
def plan():
    document = set_field(demo_document(), "settings.fill.spacing", 25.0)
    return ExperiencedRunner().run(Request(1, document, Goal.PLAN)).plan


@given(st.floats(0, 1), st.floats(0, 1))
@settings(deadline=None, max_examples=80, derandomize=True)
def test_a_place_has_a_time_and_the_time_that_place(which, share):
    found = plan()
    stroke = min(int(which * len(found.strokes)), len(found.strokes) - 1)
    place = StrokePlace(stroke, share * float(arc_lengths(found.strokes[stroke])[-1]))
    time = time_of(found.motion, place)
    pen = sample_at(found.motion, np.array([time])).pen_xy[0]
    np.testing.assert_allclose(pen, point_at(found.strokes, place), atol=1e-5)
    back = place_at(found.motion, time)
    assert back.stroke == stroke and back.along == pytest.approx(place.along, abs=1e-5)


def test_with_the_pen_up_the_place_is_the_next_stroke_and_none_at_the_end():
    found = plan()
    starts = stroke_starts(found.motion)
    for k in (0, 5, len(starts) - 1):
        assert place_at(found.motion, starts[k] - 0.05) == StrokePlace(k)
    assert place_at(found.motion, found.motion.time[-1]) is None


def test_so_long_before_is_not_before_the_pen_began():
    found = plan()
    end = block_times(found.motion)[1, 1]
    last = place_at(found.motion, end - 30)
    before = place_before(found.motion, last, 60)
    assert time_of(found.motion, before) == pytest.approx(time_of(found.motion, last) - 60, abs=5)
    first = place_before(found.motion, last, 1e6)
    assert first.along == 0 and found.strokes.pen[first.stroke] == found.strokes.pen[last.stroke]
    assert first.stroke == 0 or found.strokes.pen[first.stroke - 1] != found.strokes.pen[first.stroke]


def test_the_timetable_tells_what_the_motion_does():
    found = plan()
    rows = timetable(found.motion)
    assert len(found.motion.blocks) <= len(rows) <= MOST_ROWS
    starts, blocks = stroke_starts(found.motion), block_times(found.motion)
    for row in rows:
        time = blocks[row.block, 0] + row.since
        assert starts[row.stroke] <= time or row.stroke == 0 or starts[row.stroke - 1] <= time
        assert row.stroke + 1 == len(starts) or time < starts[row.stroke + 1]
        line = found.strokes[row.stroke]
        assert np.hypot(*(line - row.point).T).min() < 2 + np.hypot(*np.diff(line, axis=0).T).max()
    assert [r.stroke for r in rows] == sorted(r.stroke for r in rows)


@pytest.mark.parametrize("most", [*range(5, MOST_ROWS + 1, 3), 60, 200])
def test_every_pen_has_a_first_row_and_no_other_pens_strokes(most):
    """A moment on the way to the pen change belongs to no pen: the next pen's first row must not go for it."""
    found = plan()
    rows = timetable(found.motion, most)
    firsts = {row.block: row for row in reversed(rows)}
    assert sorted(firsts) == list(range(len(found.motion.blocks)))
    for number, row in firsts.items():
        assert row.since == 0
        before = found.motion.stroke[: found.motion.blocks[number].first_run].max(initial=-1)
        assert row.stroke == before + 1
    for row in rows:
        assert found.strokes.pen[row.stroke] == found.motion.blocks[row.block].pen


@given(st.integers(0, 3_000_000))
@settings(deadline=None, derandomize=True)
def test_marks_are_few_and_at_round_distances(count):
    found = round_numbers(count)
    assert len(found) <= MOST_STROKES and (count == 0) == (len(found) == 0)
    if len(found) > 1:
        step = int(found[1])
        assert str(step).rstrip("0") in ("1", "2", "5") and np.all(np.diff(found) == step)
        assert found[-1] + step >= count


def test_marks_lie_where_their_strokes_begin():
    found = plan()
    marks = stroke_marks(found.motion)
    np.testing.assert_allclose(marks.points, found.strokes.starts[marks.strokes], atol=1e-9)
    np.testing.assert_allclose(found.motion.pen_xy[marks.samples], marks.points)
