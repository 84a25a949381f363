"""Poses with an outer force at the pen and at a foot: against MuJoCo, and derivatives against difference quotients."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.statics.test_against_mujoco import MACHINES, points_for
from tests.support.hanging_body import HangingBody
from tests.support.rigs import points_below, rigs
from wallwright.statics.forward_kinematics import forward_kinematics
from wallwright.statics.outer_force import outer_force
from wallwright.statics.pose import belts_by_pen, inverse_kinematics
from wallwright.statics.sensitivity import belts_by_parameters
from wallwright.statics.stability import stiffness_of

SEEDS = st.integers(0, 2**32 - 1)


def forces(count: int, size: float) -> np.ndarray:
    angle = np.random.default_rng(7).uniform(0, 2 * np.pi, count)
    return size * np.column_stack([np.cos(angle), np.sin(angle)])


@pytest.mark.parametrize("name", MACHINES)
def test_a_dragged_pen_is_where_mujoco_has_it(name):
    """A force at the pen tip, as friction on a moving pen: within 0.001 mm and 0.001°, tensions within 0.01 %."""
    rig, mass = MACHINES[name]
    judge = HangingBody(rig.anchors, rig.exits, rig.centre, mass, rig.stiffness)
    push = forces(16, 0.06 * rig.weight)
    pose = inverse_kinematics(rig, points_for(rig, 16), outer_force(push))
    assert pose.converged.all()
    for i in range(16):
        pen, tilt, tension = judge.settle(pose.belts[i], pose.pen[i] + [2, 8], pose.tilt[i] + 0.02, push=push[i])
        assert np.hypot(*(pen - pose.pen[i])) < 0.001
        assert abs(np.degrees(tilt - pose.tilt[i])) < 0.001
        assert tension == pytest.approx(pose.exit_tension[i], rel=1e-4)


def test_feet_that_rub_too():
    """A force at the pen and another one at a foot."""
    rig, mass = MACHINES["heavy, uneven anchors"]
    foot = (35.0, 60.0)
    judge = HangingBody(rig.anchors, rig.exits, rig.centre, mass, rig.stiffness)
    pen_force, foot_force = forces(8, 0.3), forces(8, 0.8)[::-1]
    pose = inverse_kinematics(rig, points_for(rig, 8), outer_force(pen_force) + outer_force(foot_force, foot))
    for i in range(8):
        pen, tilt, _ = judge.settle(
            pose.belts[i], pose.pen[i] + [1, 4], pose.tilt[i], push=pen_force[i], foot=foot, foot_push=foot_force[i]
        )
        assert np.hypot(*(pen - pose.pen[i])) < 0.001
        assert abs(np.degrees(tilt - pose.tilt[i])) < 0.001


@settings(max_examples=15, deadline=None)
@given(rigs(), SEEDS)
def test_belts_lead_back_to_the_dragged_pen(rig, seed):
    pens = points_below(rig, seed, 6)
    outer = outer_force(forces(6, 0.05 * rig.weight)) + outer_force(forces(6, 0.03 * rig.weight)[::-1], (20.0, 40.0))
    pose = inverse_kinematics(rig, pens, outer)
    good = pose.converged & (pose.exit_tension.min(axis=1) > 0.05 * rig.weight)
    back = forward_kinematics(rig, pose.belts[good], pens[good] + 1.0, outer[good])
    assert back.converged.all()
    np.testing.assert_allclose(back.pen, pens[good], atol=1e-5)


@settings(max_examples=15, deadline=None)
@given(rigs(), SEEDS)
def test_derivatives_are_difference_quotients(rig, seed):
    """By the pen and by the force at it, while a force is there already."""
    pens = points_below(rig, seed, 6)
    push = forces(6, 0.04 * rig.weight)
    foot = outer_force(forces(6, 0.02 * rig.weight)[::-1], (-15.0, 50.0))
    pose = inverse_kinematics(rig, pens, outer_force(push) + foot)
    good = pose.converged & (pose.exit_tension.min(axis=1) > 0.1 * rig.weight)
    by_push = belts_by_parameters(rig, pose, ("push x", "push y"))
    by_pen = belts_by_pen(rig, pose)
    for k in (0, 1):
        small, step = np.zeros(2), np.zeros(2)
        small[k], step[k] = 1e-5 * rig.weight, 1e-3
        more, less = (inverse_kinematics(rig, pens, outer_force(push + s) + foot).belts for s in (small, -small))
        np.testing.assert_allclose(by_push[good, :, k], ((more - less) / (2 * small[k]))[good], rtol=2e-4, atol=1e-4)
        more, less = (inverse_kinematics(rig, pens + s, outer_force(push) + foot).belts for s in (step, -step))
        np.testing.assert_allclose(by_pen[good, :, k], ((more - less) / (2 * step[k]))[good], rtol=1e-4, atol=1e-5)


def test_stiffness_of_a_dragged_pose_is_mujocos():
    rig, mass = MACHINES["typical, level anchors"]
    judge = HangingBody(rig.anchors, rig.exits, rig.centre, mass, rig.stiffness)
    pose = inverse_kinematics(rig, np.array([[700.0, 1100.0]]), outer_force(np.array([[0.3, -0.2]])))
    pen, tilt, _ = judge.settle(pose.belts[0], pose.pen[0], pose.tilt[0], push=(0.3, -0.2))
    np.testing.assert_allclose(stiffness_of(rig, pose)[0], judge.stiffness(pen, tilt), rtol=1e-4, atol=1e-4)
