"""Poses against MuJoCo (github.com/google-deepmind/mujoco, package mujoco): an independent rigid body simulation."""

import numpy as np
import pytest

from app.statics.pose import hang, pen_at
from app.statics.rig import Rig
from tests.support.hanging_body import HangingBody

G = 9.80665
MACHINES = {
    "typical, level anchors": (
        Rig(((0, 0), (2000, 0)), ((-60, 0), (60, 0)), (0, 20), 0.75 * G, stiffness=10_000.0), 0.75
    ),
    "heavy, uneven anchors": (
        Rig(((0, 0), (3100, -240)), ((-95, -40), (80, -35)), (6, 55), 1.9 * G, stiffness=25_000.0), 1.9
    ),
    "light and narrow, right anchor low": (
        Rig(((0, 0), (1400, 180)), ((-30, 5), (34, 0)), (-3, 14), 0.31 * G, stiffness=4_000.0), 0.31
    ),
}  # fmt: skip


def points_for(rig: Rig, count: int) -> np.ndarray:
    width = rig.anchors[1][0]
    rng = np.random.default_rng(4)
    return rng.uniform([0.22 * width, 0.25 * width], [0.78 * width, 0.8 * width], (count, 2))


@pytest.mark.parametrize("name", MACHINES)
def test_settles_to_the_same_pose(name):
    """At least 40 poses over three machines: within 0.01 mm and 0.01°; here much closer."""
    rig, mass = MACHINES[name]
    judge = HangingBody(rig.anchors, rig.exits, rig.centre, mass, rig.stiffness)
    pose = hang(rig, points_for(rig, 16))
    assert pose.converged.all()
    for i in range(16):
        pen, tilt, tension = judge.settle(pose.belts[i], pose.pen[i] + [2, 8], pose.tilt[i] + 0.02)
        assert np.hypot(*(pen - pose.pen[i])) < 0.001
        assert abs(np.degrees(tilt - pose.tilt[i])) < 0.001
        assert tension == pytest.approx(pose.exit_tension[i], rel=1e-4)


@pytest.mark.parametrize("name", MACHINES)
def test_belts_to_pen_too(name):
    rig, mass = MACHINES[name]
    judge = HangingBody(rig.anchors, rig.exits, rig.centre, mass, rig.stiffness)
    belts = hang(rig, points_for(rig, 5)).belts + [2.0, -1.5]
    pose = pen_at(rig, belts)
    for i in range(5):
        pen, tilt, _ = judge.settle(belts[i], pose.pen[i] + [2, 8], pose.tilt[i])
        assert np.hypot(*(pen - pose.pen[i])) < 0.001
        assert abs(np.degrees(tilt - pose.tilt[i])) < 0.001


def test_the_straight_formula_would_not_pass():
    """The judge can tell: belts as straight lines to an untilted body are millimetres off."""
    from app.statics.straight import straight_belts

    rig, mass = MACHINES["typical, level anchors"]
    judge = HangingBody(rig.anchors, rig.exits, rig.centre, mass, rig.stiffness)
    wanted = np.array([[600.0, 1300.0]])
    belts = straight_belts(rig.anchors, wanted, spacing=120.0)[0]
    pen, _, _ = judge.settle(belts, wanted[0])
    assert np.hypot(*(pen - wanted[0])) > 2
