"""Stiffness of poses, and whether a top-heavy body stays, against MuJoCo's own forces around them."""

import dataclasses

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.hanging_body import HangingBody
from tests.support.rigs import points_below, rigs
from wallwright.document.document import Document
from wallwright.document.edits import replace
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.limits import Limit, broken
from wallwright.statics.pose import inverse_kinematics
from wallwright.statics.stability import is_stable, stiffness_of

TOP_HEAVY = CableRobotModel(((0, 0), (2000, -80)), ((-60, 0), (55, 6)), (2, -45), 7.4, stiffness=8000.0)
POINTS = np.array([[1000.0, 300], [1000, 700], [1000, 1400], [500, 600], [500, 1400], [1600, 1000]])


@pytest.mark.parametrize("height", [-90.0, -45.0, -15.0, 25.0])
def test_the_stiffness_is_that_of_mujoco(height):
    rig = dataclasses.replace(TOP_HEAVY, centre=(2, height))
    judge = HangingBody(rig.anchors, rig.exits, rig.centre, rig.weight / 9.80665, rig.stiffness)
    pose = inverse_kinematics(rig, POINTS)
    found = stiffness_of(rig, pose)
    for i in np.flatnonzero(pose.converged):
        judge.settle(pose.belts[i], pose.pen[i], pose.tilt[i])
        wanted = judge.stiffness(pose.pen[i], pose.tilt[i])
        assert found[i] == pytest.approx(wanted, rel=1e-3, abs=1e-4 * np.abs(wanted).max())
        assert is_stable(rig, pose)[i] == (np.linalg.eigvalsh(wanted).min() > 0)


def test_a_top_heavy_body_hangs_high_up_and_tips_low_down():
    """Both verdicts occur, and the zone names the limit."""
    verdicts = is_stable(TOP_HEAVY, inverse_kinematics(TOP_HEAVY, POINTS))
    assert verdicts.any() and not verdicts.all()
    document = Document()
    body = replace(document.machine.body, centre=(0.0, -80.0))
    machine = replace(document.machine, body=body)
    rig = CableRobotModel.of(machine, document.hangings[0])
    bits = broken(document.wall, machine, rig, inverse_kinematics(rig, np.array([[1000.0, 300.0], [1000.0, 1200.0]])))
    assert not bits[0] & Limit.UNSTABLE and bits[1] & Limit.UNSTABLE


@given(rigs(), st.integers(0, 1000))
@settings(deadline=None, max_examples=50, derandomize=True)
def test_stiffness_is_symmetric(rig, seed):
    """It is the second derivative of an energy. (A roller's wrapped belt is taken without its stretch: left out here.)"""
    rig = dataclasses.replace(rig, roller=0.0)
    k = stiffness_of(rig, inverse_kinematics(rig, points_below(rig, seed, 5)))
    assert np.abs(k - k.transpose(0, 2, 1)).max() < 1e-7 * np.abs(k).max()


def test_nothing_stays_where_nothing_hangs():
    assert not is_stable(TOP_HEAVY, inverse_kinematics(TOP_HEAVY, np.array([[1000.0, -500.0]]))).any()
