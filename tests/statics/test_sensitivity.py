"""Derivatives of belts and pen against difference quotients of the exact solver, and pushes on the pen against MuJoCo."""

import dataclasses

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.hanging_body import HangingBody
from tests.support.rigs import points_below, rigs
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.forward_kinematics import forward_kinematics
from wallwright.statics.pose import inverse_kinematics
from wallwright.statics.sensitivity import PARAMETERS, belts_by_parameters, pen_by_belts

STEP = {"weight": 1e-4, "belt weight": 1e-8, "softness": 1e-8}
PUSHES = ("push x", "push y")


def changed(rig: CableRobotModel, name: str, by: float) -> CableRobotModel:
    """The rig with one parameter moved; none of the program's derivatives is used."""
    side, _, what = name.partition(" ")
    i, axis = (
        ("left", "right").index(side) if side in ("left", "right") else 0,
        1 if name.endswith("y") else 0,
    )
    moved = lambda point: tuple(v + by * (k == axis) for k, v in enumerate(point))  # noqa: E731
    if what.startswith(("anchor", "exit")):
        field = what.split()[0] + "s"
        pair = list(getattr(rig, field))
        pair[i] = moved(pair[i])
        return dataclasses.replace(rig, **{field: tuple(pair)})
    if what == "stand-off":
        pair = list(rig.stand_off)
        pair[i] += by
        return dataclasses.replace(rig, stand_off=tuple(pair))
    if side == "centre":
        return dataclasses.replace(rig, centre=moved(rig.centre))
    if name == "softness":
        return dataclasses.replace(rig, stiffness=1 / (1 / rig.stiffness + by))
    field = name.replace(" ", "_")
    return dataclasses.replace(rig, **{field: getattr(rig, field) + by})


def pen_with_belts_held(rig, pose, names):
    """(n, 2, p) derivative of the pen by the parameters: what moves it back to where the belts are as they were."""
    return -np.einsum("nij,njp->nip", pen_by_belts(rig, pose), belts_by_parameters(rig, pose, names))


@given(rigs(least_weight=1e-6), st.integers(0, 1000))
@settings(deadline=None, max_examples=30, derandomize=True)
def test_belts_by_every_parameter(rig, seed):
    at = points_below(rig, seed, 5)
    names = [name for name in PARAMETERS if name not in PUSHES]
    exact = belts_by_parameters(rig, inverse_kinematics(rig, at), names)
    for k, name in enumerate(names):
        h = STEP.get(name, 1e-3)
        if name == "softness":
            h = min(h, 0.5 / rig.stiffness) or h
            quotient = (
                -3 * inverse_kinematics(rig, at).belts
                + 4 * inverse_kinematics(changed(rig, name, h), at).belts
                - inverse_kinematics(changed(rig, name, 2 * h), at).belts
            ) / (2 * h)
        else:
            quotient = (
                inverse_kinematics(changed(rig, name, h), at).belts
                - inverse_kinematics(changed(rig, name, -h), at).belts
            ) / (2 * h)
        scale = max(1.0, np.abs(quotient).max())
        assert np.abs(exact[:, :, k] - quotient).max() < 1e-4 * scale, name


@given(rigs(least_weight=1e-6), st.integers(0, 1000))
@settings(deadline=None, max_examples=15, derandomize=True)
def test_pen_by_belts_and_parameters_with_belts_held(rig, seed):
    at = points_below(rig, seed, 4)
    pose = inverse_kinematics(rig, at)
    names = ("right anchor x", "right anchor y", "centre y", "weight", "roller")
    exact = pen_with_belts_held(rig, pose, names)
    for k, name in enumerate(names):
        h = STEP.get(name, 1e-3) * 10
        moved = [forward_kinematics(changed(rig, name, sign * h), pose.belts).pen for sign in (1, -1)]
        assert np.abs(exact[:, :, k] - (moved[0] - moved[1]) / (2 * h)).max() < 2e-3, name
    by_belts = pen_by_belts(rig, pose)
    for side in (0, 1):
        step = np.eye(2)[side] * 1e-2
        quotient = (
            forward_kinematics(rig, pose.belts + step).pen - forward_kinematics(rig, pose.belts - step).pen
        ) / 2e-2
        assert np.abs(by_belts[:, :, side] - quotient).max() < 2e-3


@pytest.mark.parametrize("direction", [0, 1])
def test_a_push_on_the_pen_against_mujoco(direction):
    """Drag: MuJoCo's body is pushed at the pen tip by 0.05 N each way, belts held."""
    rig = CableRobotModel(((0, 0), (2100, -90)), ((-70, -12), (58, 4)), (4, 33), 7.5, stiffness=9000.0)
    judge = HangingBody(rig.anchors, rig.exits, rig.centre, rig.weight / 9.80665, rig.stiffness)
    pose = inverse_kinematics(rig, np.array([[600.0, 1200.0], [1000.0, 500.0], [1600.0, 900.0]]))
    exact = pen_with_belts_held(rig, pose, (PUSHES[direction],))
    for i in range(3):
        push = np.eye(2)[direction] * 0.05
        ends = [judge.settle(pose.belts[i], pose.pen[i], pose.tilt[i], sign * push)[0] for sign in (1, -1)]
        assert exact[i, :, 0] == pytest.approx((ends[0] - ends[1]) / 0.1, abs=2e-3)


def test_a_point_where_nothing_hangs_has_no_derivative():
    rig = CableRobotModel(((0, 0), (2000, 0)), ((-60, 0), (60, 0)), (0, 20), 7.0)
    assert np.isnan(belts_by_parameters(rig, inverse_kinematics(rig, np.array([[1000.0, -300.0]])))).all()
