"""The pull of a cable on the body: against MuJoCo, and as an outer force at the mass centre."""

import dataclasses

import numpy as np
import pytest

from tests.statics.test_against_mujoco import MACHINES, points_for
from tests.support.hanging_body import HangingBody
from wallwright.document import edits
from wallwright.document.document import Document
from wallwright.document.wall import Anchor, Hanging
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.calibration.parameters import parameters_of
from wallwright.statics.forward_kinematics import forward_kinematics
from wallwright.statics.pose import cable_force, inverse_kinematics

FIXED = (200.0, 2400.0)


def test_a_body_that_a_cable_pulls_is_where_mujoco_has_it():
    """0.2 N towards a point beside the floor: within 0.001 mm and 0.001 degrees."""
    rig, mass = MACHINES["heavy, uneven anchors"]
    judge = HangingBody(rig.anchors, rig.exits, rig.centre, mass, rig.stiffness)
    pulled = dataclasses.replace(rig, cable=FIXED, cable_pull=0.2)
    pens = points_for(rig, 6)
    pose = inverse_kinematics(pulled, pens)
    way = np.subtract(FIXED, pens)
    pull = 0.2 * way / np.hypot(*way.T)[:, None]
    for i in range(6):
        pen, tilt, _ = judge.settle(
            pose.belts[i], pose.pen[i] + [1, 4], pose.tilt[i], push=np.zeros(2), foot=rig.centre, foot_push=pull[i]
        )
        assert np.hypot(*(pen - pose.pen[i])) < 0.001
        assert abs(np.degrees(tilt - pose.tilt[i])) < 0.001
    assert np.abs(pose.belts - inverse_kinematics(rig, pens).belts).max() > 0.05


def test_belts_lead_back_to_the_pulled_pen():
    rig = dataclasses.replace(MACHINES["heavy, uneven anchors"][0], cable=FIXED, cable_pull=0.5)
    pens = points_for(rig, 8)
    back = forward_kinematics(rig, inverse_kinematics(rig, pens).belts, pens + 3.0)
    np.testing.assert_allclose(back.pen, pens, atol=1e-6)


def test_where_the_cable_is_fixed():
    """Where no point is given it is midway between the anchors; at that point nothing pulls."""
    hanging = Hanging("H", Anchor(0.0, 0.0), Anchor(2000.0, 100.0), (1000.0, 800.0))
    document = edits.with_field(Document(), "machine.body.cable_pull", 0.3)
    rig = CableRobotModel.of(document.machine, hanging)
    assert rig.cable == (1000.0, 50.0)
    assert cable_force(rig, np.array([[1000.0, 1050.0], [1000.0, 50.0]])) == pytest.approx(
        np.array([[0, -0.3], [0, 0]])
    )
    own = edits.replace(hanging, cable=FIXED)
    assert CableRobotModel.of(document.machine, own).cable == FIXED


def test_calibration_finds_the_pull_of_a_cable_that_is_there():
    machine = Document().machine
    assert "cable pull" not in [p.name for p in parameters_of(machine)]
    pulled = edits.replace(machine, body=edits.replace(machine.body, cable_pull=0.1))
    assert "cable pull" in [p.name for p in parameters_of(pulled)]
