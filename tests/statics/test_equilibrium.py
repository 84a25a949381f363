"""Force and moment balance, round trips and limits over random machines, from first principles."""

import dataclasses

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.rigs import points_below, rigs
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.forward_kinematics import forward_kinematics
from wallwright.statics.pose import belts_by_pen, inverse_kinematics, span_curve
from wallwright.statics.straight_belts import pen_from_straight_belts


@given(rigs(), st.integers(0, 1000))
@settings(deadline=None, max_examples=1000, derandomize=True)
def test_forces_and_moments_balance(rig, seed):
    """1,000 machines with 10 points each: residual below 1e-9 of the weight (moments: over 100 mm)."""
    pose = inverse_kinematics(rig, points_below(rig, seed, 10))
    assert pose.converged.all()
    assert np.abs(pose.vertical_force.sum(axis=1) - rig.weight).max() < 1e-9 * rig.weight
    cos, sin = np.cos(pose.tilt), np.sin(pose.tilt)
    moment = rig.weight * (cos * rig.centre[0] - sin * rig.centre[1])
    for side, out in ((0, -1), (1, 1)):
        # The pull acts where the belt touches the body, in the direction of the anchor.
        arm = pose.exits[:, side] - pose.pen
        moment += arm[:, 0] * -pose.vertical_force[:, side] - arm[:, 1] * out * pose.horizontal_force[:, side]
    assert np.abs(moment).max() < 1e-7 * rig.weight  # N·mm: 1e-9 of the weight at 100 mm


@given(rigs(), st.integers(0, 1000))
@settings(deadline=None, max_examples=40, derandomize=True)
def test_pen_to_belts_and_back(rig, seed):
    pose = inverse_kinematics(rig, points_below(rig, seed, 20))
    back = forward_kinematics(rig, pose.belts)
    assert back.converged.all()
    assert np.abs(back.pen - pose.pen).max() < 1e-6


@given(rigs(), st.integers(0, 1000))
@settings(deadline=None, max_examples=30, derandomize=True)
def test_derivative_of_belts_by_pen(rig, seed):
    at = points_below(rig, seed, 10)
    exact = belts_by_pen(rig, inverse_kinematics(rig, at))
    h = 1e-3
    for axis in (0, 1):
        step = np.eye(2)[axis] * h
        quotient = (inverse_kinematics(rig, at + step).belts - inverse_kinematics(rig, at - step).belts) / (2 * h)
        assert np.abs(exact[:, :, axis] - quotient).max() < 1e-5


@given(rigs(), st.integers(0, 1000))
@settings(deadline=None, max_examples=30, derandomize=True)
def test_the_drawn_span_ends_at_the_exit(rig, seed):
    pose = inverse_kinematics(rig, points_below(rig, seed, 3))
    for i in range(3):
        for side in (0, 1):
            curve = span_curve(rig, pose, i, side)
            assert np.allclose(curve[0], rig.anchors[side])
            assert np.abs(curve[-1] - pose.exits[i, side]).max() < 1e-6


def test_light_belts_come_to_the_weightless_ones():
    rig = CableRobotModel(((0, 0), (2000, 0)), ((-60, 0), (60, 0)), (0, 20), 7.0)
    at = points_below(rig, 1, 50)
    heavy = [
        np.abs(
            inverse_kinematics(dataclasses.replace(rig, belt_weight=w), at).belts - inverse_kinematics(rig, at).belts
        ).max()
        for w in (1e-4, 1e-6, 1e-8)
    ]
    assert heavy[0] > heavy[1] > heavy[2]
    assert heavy[2] / heavy[1] == pytest.approx(0.01, rel=0.05)  # the sag's effect is linear in the weight
    assert heavy[2] < 1e-4


def test_points_where_nothing_can_hang_are_reported():
    rig = CableRobotModel(((0, 0), (2000, 0)), ((-60, 0), (60, 0)), (0, 20), 7.0, belt_weight=8e-5)
    pose = inverse_kinematics(rig, np.array([[-500.0, 700], [1000, -300], [2600, 900], [np.nan, 1], [1000, 700]]))
    assert pose.converged.tolist() == [False, False, False, False, True]
    assert np.isnan(pose.belts[:4]).all()


def test_belts_cut_short_that_do_not_stretch_hold_nothing():
    rig = CableRobotModel(((0, 0), (2000, 0)), ((-60, 0), (60, 0)), (0, 20), 7.0)
    pose = forward_kinematics(rig, np.array([[900.0, 900.0], [400.0, 1200.0], [939.0, 940.9]]))
    assert not pose.converged.any()


def test_pens_found_from_belts_where_straight_belts_do_not_cross():
    """Close under the line between the anchors, tilted and stretched: the usual start of the search does not exist."""
    rig = CableRobotModel(
        ((0, 0), (890, -80)),
        ((-99, -60), (122, 56)),
        (8, 82),
        47,
        roller=23,
        stand_off=(-20, 17),
        belt_weight=1e-3,
        stiffness=1000.0,
    )
    across = np.linspace(250, 650, 12)
    pose = inverse_kinematics(rig, np.column_stack([across, 60.0 - 80 * across / 890]))
    assert pose.converged.all()
    assert np.isnan(pen_from_straight_belts(rig.anchors, pose.belts, 221.0, 2.0)).any()
    back = forward_kinematics(rig, pose.belts)
    assert back.converged.all()
    assert np.abs(back.pen - pose.pen).max() < 1e-6
