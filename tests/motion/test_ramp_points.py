"""Points between which even moves follow a changing speed: bounds against the plan, and the shaking of a body on springs."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.drag_trials import document_with, hatch_path
from tests.support.jobs import planned_job
from wallwright.jobs.job import Job
from wallwright.motion.constant_feed import timed_points, with_ramp_points
from wallwright.motion.ramp_points import EVEN_ERROR, LEAST_SINE, LONGEST, move_limits
from wallwright.motion.trajectory import sample_at

STEP = 0.0125
PLACE = (1000.0, 900.0)


@pytest.fixture(scope="module", params=[1.0, 0.1])
def job(request: pytest.FixtureRequest) -> Job:
    """With belts that lead the body, and without."""
    return planned_job(document_with(hatch_path(0.4, lines=3), PLACE, 0.2, 0.04, swing=request.param))


def points_of(job: Job):
    limits = move_limits(job.document, job.motion, job.rig)
    return limits, *timed_points(job.motion, limits, STEP)


def test_each_move_is_even_or_short_and_changes_its_speed_little(job):
    """Against the plan between the points: off by EVEN at most, or no longer and no larger a jump of speed than the limits."""
    limits, runs, time, _ = points_of(job)
    speeds = sample_at(job.motion, time).speed
    for run in range(len(runs.down)):
        for k in range(runs.runs[run], runs.runs[run + 1] - 1):
            if not np.any(runs.points[k] != runs.points[k + 1]):
                continue
            inside = np.linspace(time[k], time[k + 1], 20)
            way = np.hypot(*(sample_at(job.motion, inside).pen_xy - runs.points[k]).T)
            even = np.linspace(0.0, 1.0, 20) * way[-1]
            if np.abs(way - even).max() > EVEN_ERROR * 1.01:
                assert time[k + 1] - time[k] <= 2.01 * limits[run, 0]  # a motor's step may be farther
                assert abs(speeds[k + 1] - speeds[k]) <= 2.01 * limits[run, 1]


def test_points_lie_on_the_plan_with_its_belts_and_friction(job):
    _, runs, time, load = points_of(job)
    moves = np.append((np.diff(runs.points, axis=0) != 0).any(axis=1), True)
    inner = np.ones(len(time), dtype=bool)
    inner[runs.runs[1:] - 1] = inner[runs.runs[:-1]] = False
    inner &= moves & np.roll(moves, 1)
    np.testing.assert_allclose(sample_at(job.motion, time[inner]).pen_xy, runs.points[inner], atol=1e-6)
    np.testing.assert_allclose(np.interp(job.motion.time, time, load[:, 0]), job.motion.load[:, 0], atol=0.02)
    np.testing.assert_allclose(np.interp(job.motion.time, time, load[:, 2]), job.motion.load[:, 2], atol=0.02)


def test_a_table_follows_a_changing_speed(job):
    """Where it is read with even speed between its rows, the pen is off the plan along its path by less than without the
    rows that are added, and jumps of speed stay within the limits; the rows of the plan are all still there."""
    limits = move_limits(job.document, job.motion, job.rig)
    table = with_ramp_points(job.motion, limits, STEP)
    assert np.isin(job.motion.time, table.time).all() and (np.diff(table.time) >= 0).all()
    np.testing.assert_allclose(sample_at(job.motion, table.time).pen_xy, table.pen_xy, atol=1e-6)
    np.testing.assert_allclose(sample_at(job.motion, table.time).speed, table.speed, atol=1e-6)
    fine = np.linspace(0, job.motion.time[-1], 40_000)
    plan = sample_at(job.motion, fine).pen_xy

    def off(motion) -> float:
        read = np.column_stack([np.interp(fine, motion.time, motion.pen_xy[:, axis]) for axis in (0, 1)])
        return float(np.hypot(*(read - plan).T).max())

    assert off(table) < 0.5 * off(job.motion)
    for run in range(len(table.down)):
        own = slice(table.runs[run], table.runs[run + 1])
        time, speed = table.time[own], table.speed[own]
        longer = np.diff(time) > 2.01 * limits[run, 0]
        assert (np.abs(np.diff(speed))[longer] <= 2.01 * limits[run, 1] + EVEN_ERROR / np.diff(time)[longer]).all()


def test_no_more_points_than_the_ramps_need(job):
    """A line at even speed has none between; all together take fewer than one move for each 25 ms of changing speed."""
    _, runs, _, _ = points_of(job)
    motion = job.motion
    after = np.diff(motion.time)
    changing = float(after[(np.diff(motion.speed) != 0) & ~motion.takes_up[:-1]].sum())
    fixed = int(motion.vertex.sum() + motion.takes_up.sum())
    if motion.load[:, 2:].any():  # leads are belts' own motion: each of their changes is written
        return
    assert len(runs.points) - fixed < 0.8 * changing / 0.025


@given(
    st.floats(0.38, LONGEST),
    st.integers(1, 60),
)
@settings(deadline=None, max_examples=60, derandomize=True)
def test_jumps_at_even_times_shake_a_body_on_springs_no_more_than_stated(share, count):
    """x'' + ω² x = sum of dv δ(t - kT): amplitudes of the free motions added, each of dv / ω. A resonance is far beyond."""
    angle = 2 * np.pi * share * np.arange(count)
    assert abs(np.exp(1j * angle).sum()) <= 1 / np.sin(np.pi * share) + 1e-9
    assert np.sin(np.pi * share) >= LEAST_SINE - 1e-9


def test_moves_last_less_than_the_shorter_bounce_and_more_than_a_third_of_the_longer(job):
    limits = move_limits(job.document, job.motion, job.rig)
    assert (limits[:, 0] > 0.02).all() and (limits[:, 0] < 0.06).all()
    assert (limits[:, 1] > 0).all()
