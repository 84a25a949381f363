"""The error budget against machines that really have each error."""

import dataclasses

import numpy as np
import pytest

from wallwright.document.document import Document
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.error_budget import ERROR_SOURCES, SOFTNESS, error_budget_of
from wallwright.statics.forward_kinematics import forward_kinematics
from wallwright.statics.pose import inverse_kinematics

TYPICAL = CableRobotModel.of(Document().machine, Document().hangings[0])

PENS = np.array([[500.0, 500.0], [1000.0, 900.0], [1500.0, 1400.0], [700.0, 1300.0]])


def with_error(rig: CableRobotModel, name: str, amount: float) -> CableRobotModel:
    def moved(pair, side, axis):
        points = [list(p) for p in pair]
        points[side][axis] += amount
        return tuple(tuple(p) for p in points)

    if name.startswith("right anchor"):
        return dataclasses.replace(rig, anchors=moved(rig.anchors, 1, "xy".index(name[-1])))
    if name.startswith("centre"):
        return dataclasses.replace(rig, centre=moved((rig.centre,), 0, "xy".index(name[-1]))[0])
    if name == "weight":
        return dataclasses.replace(rig, weight=rig.weight + amount)
    assert name == SOFTNESS
    return dataclasses.replace(rig, stiffness=rig.stiffness / (1 + amount))


@pytest.mark.parametrize("cause", [c for c in ERROR_SOURCES if c.title != "pen friction"], ids=lambda c: c.title)
def test_each_cause_moves_the_pen_as_far_as_stated(cause):
    """The pen of a machine with the error, its belts as if it had none; independent errors add as squares (JCGM 100:2008,
    5.1.2). A twentieth of the error is made and the move taken twenty-fold, as the budget is of first order. Pen drag is
    held against MuJoCo with a push elsewhere."""
    belts = inverse_kinematics(TYPICAL, PENS).belts
    squares = np.zeros(len(PENS))
    for name, whole in cause.terms:
        amount = whole / 20
        if name.endswith("belt"):
            longer = belts + np.where(np.array(["left", "right"]) == name.split()[0], amount, 0.0)
            pens = forward_kinematics(TYPICAL, longer, PENS).pen
        else:
            pens = forward_kinematics(with_error(TYPICAL, name, amount), belts, PENS).pen
        squares += ((20 * (pens - PENS)) ** 2).sum(axis=1)
    found = error_budget_of(TYPICAL, inverse_kinematics(TYPICAL, PENS))
    assert found.effects[ERROR_SOURCES.index(cause)] == pytest.approx(np.sqrt(squares), rel=0.005)


def test_causes_add_as_squares():
    found = error_budget_of(TYPICAL, inverse_kinematics(TYPICAL, PENS))
    assert found.combined**2 == pytest.approx((found.effects**2).sum(axis=0))
    assert (found.by_cause**2).sum() == pytest.approx((found.combined**2).mean())
