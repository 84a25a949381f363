"""The error budget against machines that really have each error."""

import dataclasses

import msgspec
import numpy as np
import pytest

from wallwright.document.document import Document
from wallwright.document.pen import Pen
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.calibration.expected_error import expected_error
from wallwright.statics.error_budget import SOFTNESS, changing_sources, error_budget_of, error_sources
from wallwright.statics.forward_kinematics import forward_kinematics
from wallwright.statics.outer_force import outer_force
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
    if " exit " in name:
        return dataclasses.replace(rig, exits=moved(rig.exits, int(name.startswith("right")), "xy".index(name[-1])))
    if name.startswith("centre"):
        return dataclasses.replace(rig, centre=moved((rig.centre,), 0, "xy".index(name[-1]))[0])
    if name == "weight":
        return dataclasses.replace(rig, weight=rig.weight + amount)
    assert name == SOFTNESS
    return dataclasses.replace(rig, stiffness=rig.stiffness / (1 + amount))


ALL = error_sources(Document().machine)


@pytest.mark.parametrize("cause", ALL, ids=lambda c: c.title)
def test_each_cause_moves_the_pen_as_far_as_stated(cause):
    """The pen of a machine with the error, its belts as if it had none; independent errors add as squares (JCGM 100:2008,
    5.1.2). A twentieth of the error is made and the move taken twenty-fold, as the budget is of first order. Pushes are
    held against MuJoCo elsewhere."""
    belts = inverse_kinematics(TYPICAL, PENS).belts
    squares = np.zeros(len(PENS))
    for name, whole in cause.terms:
        amount = whole / 20
        if name.endswith("belt") and not name.startswith("share"):
            longer = belts + np.where(np.array(["left", "right"]) == name.split()[0], amount, 0.0)
            pens = forward_kinematics(TYPICAL, longer, PENS).pen
        elif name.startswith("share of") and name != SOFTNESS:
            which = {"share of left belt": [1, 0], "share of right belt": [0, 1]}.get(name, [1, 1])
            pens = forward_kinematics(TYPICAL, belts * (1 + amount * np.array(which)), PENS).pen
        elif name.startswith("push"):
            push = np.broadcast_to(amount * np.array([name == "push x", name == "push y"]), PENS.shape)
            pens = forward_kinematics(TYPICAL, belts, PENS, outer_force(push)).pen
        else:
            pens = forward_kinematics(with_error(TYPICAL, name, amount), belts, PENS).pen
        squares += ((20 * (pens - PENS)) ** 2).sum(axis=1)
    found = error_budget_of(TYPICAL, inverse_kinematics(TYPICAL, PENS), ALL)
    assert found.effects[ALL.index(cause)] == pytest.approx(np.sqrt(squares), rel=0.005)


def test_pitch_counts_for_what_was_let_out_since_the_start():
    """Belts as they were measured are right, whatever the pitch."""
    pose = inverse_kinematics(TYPICAL, PENS)
    pitch = tuple(cause for cause in ALL if cause.title == "belt pitch")
    whole = error_budget_of(TYPICAL, pose, pitch)
    since = error_budget_of(TYPICAL, pose, pitch, pose.belts[1])
    assert since.combined[1] == pytest.approx(0, abs=1e-12) and (since.combined < whole.combined).all()


def test_measured_pushes_count_with_their_uncertainty():
    machine = Document().machine
    body = msgspec.structs.replace(machine.body, cable_pull=0.1)
    cable = msgspec.structs.replace(machine, body=body)
    pens = (Pen("a", "A", "#202020", drag=0.3, drag_uncertainty=0.02),)
    assert changing_sources(machine)[0].size == "0.2 N" and changing_sources(machine)[1].size == "0.1 N"
    assert changing_sources(cable, pens)[0].size == "0.02 N" and changing_sources(cable, pens)[1].size == "0.02 N"
    unmeasured = (*pens, Pen("b", "B", "#202020"))
    assert changing_sources(machine, unmeasured)[0].size == "0.2 N"


def test_a_whole_drawing_is_farther_off_than_95_of_100_points():
    """All points of one machine are off together; those of 95 of 100 machines drawn here stay within what is stated."""
    document = Document()
    xs, ys = np.meshgrid(np.linspace(700, 1300, 4), np.linspace(700, 1300, 4))
    pose = inverse_kinematics(TYPICAL, np.column_stack([xs.ravel(), ys.ravel()]))
    found = expected_error(document.machine, document.hangings[0], pose)
    random = np.random.default_rng(5)
    off = np.einsum("niq,qd->nid", found.moves, random.normal(size=(found.moves.shape[2], 4000)))
    size = np.hypot(off[:, 0], off[:, 1])
    assert np.mean(size.max(axis=0) < found.whole) == pytest.approx(0.95, abs=0.025)
    assert np.mean(size < 2 * found.by_point[:, None]) > 0.93
    assert found.whole > np.quantile(size, 0.95)


def test_causes_add_as_squares():
    found = error_budget_of(TYPICAL, inverse_kinematics(TYPICAL, PENS), ALL)
    assert found.combined**2 == pytest.approx((found.effects**2).sum(axis=0))
    assert (found.by_cause**2).sum() == pytest.approx((found.combined**2).mean())
