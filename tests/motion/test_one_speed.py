"""Controllers that draw each stroke at one speed, and points for all of them: what the plan states, against geometry."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wallwright.document.document import Document
from wallwright.document.edits import set_field
from wallwright.motion.constant_feed import runs_of_motion, spaced_samples, timed_points
from wallwright.motion.corners import corner_error
from wallwright.motion.estimate import estimate
from wallwright.motion.planner import plan_motion
from wallwright.motion.ramp_points import move_limits
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.strokes.strokes import Strokes

START = np.array([850.0, 900.0])


def planned(line: np.ndarray, pacing: str = "constant", **limits):
    document = set_field(Document(), "machine.controller.pacing", pacing)
    for name, value in {"swing": 1000.0, **limits}.items():
        document = set_field(document, f"machine.limits.{name}", value)
    rig = CableRobotModel.of(document.machine, document.hangings[0])
    return document, plan_motion(document, 0, rig, Strokes.pack([line], 0))


def drawn_at(motion) -> float:
    run = int(np.flatnonzero(motion.down)[0])
    speed = motion.speed[motion.runs[run] : motion.runs[run + 1]]
    assert np.ptp(speed) == 0
    return float(speed[0])


@pytest.mark.parametrize("degrees", [10, 30, 60, 90])
def test_a_corner_is_passed_on_the_arc_that_keeps_its_tolerance(degrees):
    """The arc that touches both legs and passes the vertex at e has the radius R = e cos(φ/2) / (1 - cos(φ/2)); at speed v
    its centre acceleration is v² / R. The speed drawn needs all of the tolerance, and is stated so."""
    turn = np.radians(degrees)
    line = START + np.array([[0, 0], [150, 0], [150 + 150 * np.cos(turn), 150 * np.sin(turn)]])
    document, motion = planned(line, draw_speed=200.0, belt_speed=1000.0)
    limits, half = document.machine.limits, np.cos(turn / 2)
    radius = drawn_at(motion) ** 2 / limits.acceleration
    assert radius * (1 - half) / half == pytest.approx(limits.corner_tolerance, rel=1e-6)
    assert corner_error(document, motion) == pytest.approx(limits.corner_tolerance, rel=1e-6)
    assert estimate(document, motion).corner_mm == corner_error(document, motion)


@pytest.mark.parametrize("back", [np.pi, np.radians(179.9)])
def test_a_line_that_turns_back_is_drawn_at_a_speed_it_can_stop_from(back):
    """Stopping from v takes v² / 2 a: no farther than the tolerance, and not so slowly that it takes hours."""
    line = START + np.array([[0, 0], [150, 0], [150 + 100 * np.cos(back), 100 * np.sin(back)]])
    document, motion = planned(line)
    limits = document.machine.limits
    assert drawn_at(motion) ** 2 / (2 * limits.acceleration) == pytest.approx(limits.corner_tolerance, rel=1e-6)
    assert corner_error(document, motion) == pytest.approx(limits.corner_tolerance, rel=1e-6)


def test_a_line_without_corners_and_a_controller_that_slows_down_have_no_error():
    angle = np.linspace(0, 2 * np.pi, 181)
    circle = START + 80 * np.column_stack([np.cos(angle), np.sin(angle)])
    document, motion = planned(circle)
    assert corner_error(document, motion) == 0.0
    assert drawn_at(motion) == pytest.approx(document.machine.limits.draw_speed)
    bent = START + np.array([[0.0, 0], [100, 0], [100, 100]])
    assert estimate(*planned(bent, pacing="accelerating")).corner_mm == 0.0


@given(st.integers(0, 10_000), st.floats(0.01, 3.0))
@settings(deadline=None, max_examples=40, derandomize=True)
def test_points_lie_no_closer_than_a_step_and_lose_no_more(seed, step):
    random = np.random.default_rng(seed)
    line = START + np.cumsum(random.exponential(1.0, (30, 1)) * random.normal(size=(30, 2)), axis=0)
    document, motion = planned(line, pacing="accelerating")
    rig = CableRobotModel.of(document.machine, document.hangings[0])
    runs, time, _ = timed_points(motion, move_limits(document, motion, rig), step)
    assert np.array_equal(
        runs_of_motion(motion, spaced_samples(motion, motion.vertex, 0.0)).points, runs_of_motion(motion).points
    )
    for k in range(len(runs.down)):
        mine = runs.points[runs.runs[k] : runs.runs[k + 1]]
        whole = motion.pen_xy[motion.runs[k] : motion.runs[k + 1]]
        assert np.array_equal(mine[[0, -1]], whole[[0, -1]])
        if len(mine) > 2:
            assert np.hypot(*np.diff(mine, axis=0).T).min() >= step
        # Every vertex has a kept point within two steps: its own, or one that stands for it.
        corners = whole[motion.vertex[motion.runs[k] : motion.runs[k + 1]]]
        far = np.hypot(*np.moveaxis(corners[:, None] - mine[None], -1, 0)).min(axis=1)
        assert far.max() <= 2 * step
    assert np.all(np.diff(time) >= 0)
