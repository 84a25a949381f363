"""Where the pen is by what a tape says, and what a slip was by what was drawn. Judge: MuJoCo's hanging body."""

import dataclasses

import numpy as np
import pytest

from tests.support.hanging_body import HangingBody
from wallwright.document.calibration import CalibrationFit
from wallwright.document.document import Document
from wallwright.document.edits import with_field
from wallwright.document.errors import BadValue
from wallwright.document.machine import Belt
from wallwright.statics.belt_slip import PenOffsetReading, WholeSlip, estimate_slip, start_after_slip
from wallwright.statics.cable_robot import GRAVITY, CableRobotModel
from wallwright.statics.forward_kinematics import forward_kinematics
from wallwright.statics.pose import inverse_kinematics
from wallwright.statics.pose_recovery import (
    join_uncertainty,
    pen_uncertainty,
    recover_from_anchor_distances,
    recover_from_offsets,
    resume_covariance,
)

DOCUMENT = with_field(Document(), "machine.belt", Belt(mass=0.0))
DOCUMENT = with_field(DOCUMENT, "hangings.0.right.y", 40.0)
MACHINE, HANGING = DOCUMENT.machine, DOCUMENT.hangings[0]
RIG = CableRobotModel.of(MACHINE, HANGING)
JUDGE = HangingBody(RIG.anchors, RIG.exits, RIG.centre, MACHINE.body.mass, RIG.stiffness)
FULL_STEP = MACHINE.motor.teeth * MACHINE.belt.pitch / MACHINE.motor.steps


def rests(belts) -> np.ndarray:
    """Where MuJoCo's pen comes to rest; ours is the guess from which it looks."""
    pose = forward_kinematics(RIG, np.array([belts]))
    return JUDGE.settle(belts, pose.pen[0] + [0.0, 4.0], float(pose.tilt[0]))[0]


def test_tape_from_the_pen_to_the_anchors_tells_the_belts_that_hold_it_there():
    for belts in ((1200.0, 1300.0), (1500.0, 1150.0)):
        pen = rests(belts)
        left, right = (float(np.hypot(*(pen - anchor))) for anchor in np.array(RIG.anchors))
        found = recover_from_anchor_distances(MACHINE, HANGING, left, right)
        np.testing.assert_allclose(found.pen, pen, atol=1e-6)
        np.testing.assert_allclose(found.belts, belts, atol=0.005)
        other = recover_from_offsets(MACHINE, HANGING, *(pen - np.array(RIG.anchors[0])))
        np.testing.assert_allclose(other.belts, found.belts, atol=1e-6)


def test_the_uncertainty_is_what_many_tapes_scatter_by():
    """Monte Carlo (JCGM 101:2008): readings with the stated scatter, the covariance of what comes out."""
    rng, sure = np.random.default_rng(4), 0.7
    true = recover_from_offsets(MACHINE, HANGING, 800.0, 900.0)
    lengths = [float(np.hypot(*(np.array(true.pen) - a))) for a in np.array(RIG.anchors)]
    tapes = np.array(lengths) + rng.normal(0, sure, (400, 2))
    found = [recover_from_anchor_distances(MACHINE, HANGING, *tape, sure) for tape in tapes]
    belts = np.array([f.belts for f in found])
    stated = recover_from_anchor_distances(MACHINE, HANGING, *lengths, sure)
    # 400 samples tell a variance to 7 %, two out of three times.
    np.testing.assert_allclose(np.cov(belts.T), stated.belts_spread, rtol=0.25, atol=0.08)
    np.testing.assert_allclose(np.cov(np.array([f.pen for f in found]).T), stated.pen_spread, rtol=0.25, atol=0.08)
    # And elsewhere on the wall: the job drawn from there is off by what the belts are off by.
    target = np.array([[1300.0, 1100.0]])
    drawn = forward_kinematics(RIG, inverse_kinematics(RIG, target).belts + (true.belts - belts)).pen
    scatter = np.sqrt(((drawn - target) ** 2).sum(axis=1).mean())
    assert scatter == pytest.approx(pen_uncertainty(RIG, target, stated.belts_spread)[0], rel=0.15)
    assert join_uncertainty(RIG, target, stated.belts_spread)[0] == pytest.approx(2 * scatter, rel=0.15)


def test_tapes_that_cannot_be_are_refused():
    with pytest.raises(BadValue, match="cannot be right"):
        recover_from_anchor_distances(MACHINE, HANGING, 500.0, 900.0)
    with pytest.raises(BadValue, match="cannot hang"):
        recover_from_offsets(MACHINE, HANGING, 3500.0, 100.0)


def drawn_after(slip, place) -> np.ndarray:
    """Where MuJoCo's pen is when the controller thinks it is at a place; slip: (2,) mm longer than counted."""
    belts = inverse_kinematics(RIG, np.array([place])).belts[0]
    return rests(belts + slip)


@pytest.mark.parametrize(
    ("jump", "words"),
    [
        (WholeSlip(0, steps=16), "left belt slipped by 16 full steps: +3.20 mm"),
        (WholeSlip(1, steps=-8), "right belt slipped by 8 full steps: −1.60 mm"),
        (WholeSlip(1, teeth=-3), "right belt slipped by 3 teeth: −6.00 mm"),
        (WholeSlip(0, teeth=1), "left belt slipped by 1 tooth: +2.00 mm"),
    ],
)
def test_a_slip_is_inferred_from_what_was_drawn(jump, words):
    """Read to a tenth of a mm."""
    slip = np.zeros(2)
    slip[jump.side] = jump.length(MACHINE)
    place = (700.0, 900.0)
    off = np.round(drawn_after(slip, place) - place, 1)
    found = estimate_slip(MACHINE, HANGING, (PenOffsetReading(place, tuple(off)),), 0.1)
    assert found.jump == jump
    np.testing.assert_allclose(found.belts, slip)
    assert not found.spread.any()
    assert words in found.describe(MACHINE)


def test_a_coarse_reading_is_taken_as_it_is_and_its_uncertainty_is_kept():
    slip, place = np.array([16 * FULL_STEP, 0.0]), (700.0, 900.0)
    off = np.round(drawn_after(slip, place) - place)
    found = estimate_slip(MACHINE, HANGING, (PenOffsetReading(place, tuple(off)),), 0.5)
    assert found.jump is None and len(found.jumps) > 1 and found.spread[0, 0] > 0.1
    assert np.all(np.abs(found.belts - slip) < 2 * np.sqrt(np.diag(found.spread)))
    assert "Several slips fit" in found.describe(MACHINE)
    # Two more readings elsewhere tell it.
    places = ((700.0, 900.0), (1300.0, 700.0), (1000.0, 1200.0))
    readings = tuple(PenOffsetReading(p, tuple(np.round(drawn_after(slip, p) - p, 1))) for p in places)
    assert estimate_slip(MACHINE, HANGING, readings, 0.3).jump == WholeSlip(0, steps=16)


def test_what_a_hand_hung_machine_is_off_is_not_taken_for_a_slip():
    off, place = np.array([0.8, 0.0]), (700.0, 900.0)
    reading = PenOffsetReading(place, tuple(drawn_after(off, place) - place))
    assert estimate_slip(MACHINE, HANGING, (reading,), 0.1).jump == WholeSlip(0, steps=4)
    found = estimate_slip(MACHINE, HANGING, (reading,), 0.1, whole=False)
    assert found.jump is None and found.spread.any() and "measured value is used" in found.describe(MACHINE)
    np.testing.assert_allclose(found.belts, off, atol=0.01)


def hung_otherwise(rng) -> CableRobotModel:
    """The same machine as it may really be, within what the error budget says is not known better."""
    (left, right), (cx, cy) = RIG.anchors, RIG.centre
    return dataclasses.replace(
        RIG,
        anchors=(left, tuple(right + rng.normal(0, 1, 2))),
        centre=(cx + rng.normal(0, 5), cy + rng.normal(0, 5)),
        weight=RIG.weight + rng.normal(0, 0.01 * GRAVITY),
        stiffness=RIG.stiffness / (1 + rng.normal(0, 0.1)),
    )


@pytest.mark.parametrize("begin", [HANGING.start_point, (700.0, 1000.0), (1350.0, 950.0)])
def test_how_a_rest_lines_up_is_what_machines_scatter_by(begin):
    """Monte Carlo (JCGM 101:2008): machines that are not what they are said to be, belts set by tape to a mm. What was drawn
    from the starting point, and what is drawn from where the pen truly is now, are apart at a place by so much."""
    rng, place = np.random.default_rng(11), np.array([[1100.0, 850.0]])
    wanted = inverse_kinematics(RIG, np.concatenate([place, [HANGING.start_point], [begin]])).belts
    apart = []
    for _ in range(120):
        real = hung_otherwise(rng)
        starts = inverse_kinematics(real, np.array([HANGING.start_point, begin])).belts
        first = wanted[0] - wanted[1] + starts[0] + rng.normal(0, 1, 2)
        again = wanted[0] - wanted[2] + starts[1]
        pens = forward_kinematics(real, np.array([first, again]), np.repeat(place, 2, axis=0)).pen
        apart.append(pens[0] - pens[1])
    scatter = np.sqrt((np.array(apart) ** 2).sum(axis=1).mean())
    stated = pen_uncertainty(RIG, place, resume_covariance(MACHINE, HANGING, begin))[0]
    assert scatter == pytest.approx(stated, rel=0.15)


def test_both_belts_and_no_slip_are_reported_as_such():
    place = (900.0, 850.0)
    both = np.array([1.3, 1.1])
    found = estimate_slip(MACHINE, HANGING, (PenOffsetReading(place, tuple(drawn_after(both, place) - place)),), 0.1)
    assert found.jump is None and "No single belt slip" in found.describe(MACHINE)
    np.testing.assert_allclose(found.belts, both, atol=0.01)
    none = estimate_slip(MACHINE, HANGING, (PenOffsetReading(place, (0.1, -0.2)),), 0.3)
    assert none.is_none and none.jump is None and "no slip found" in none.describe(MACHINE)
    with pytest.raises(BadValue, match="cannot be a slip"):
        estimate_slip(MACHINE, HANGING, (PenOffsetReading(place, (600.0, 0.0)),), 0.3)


def test_the_start_after_a_slip_is_where_the_body_really_hangs():
    slip, start_point = np.array([3.2, 0.0]), HANGING.start_point
    off = drawn_after(slip, (700.0, 900.0)) - (700.0, 900.0)
    found = estimate_slip(MACHINE, HANGING, (PenOffsetReading((700.0, 900.0), tuple(off)),), 0.1)
    np.testing.assert_allclose(start_after_slip(MACHINE, HANGING, found), drawn_after(slip, start_point), atol=0.005)


def test_after_a_calibration_what_was_fitted_counts():
    """Of one fitted number alone. A belt's offset is the belt's error itself; an anchor's by differences of our statics,
    which MuJoCo judges elsewhere."""
    pen, step = (700.0, 900.0), 0.5

    def calibration(name: str, value: float, sigma: float) -> np.ndarray:
        knows = CalibrationFit((name,), (value,), ((sigma**2,),), 12)
        return resume_covariance(MACHINE, with_field(HANGING, "calibration", knows), pen)

    np.testing.assert_allclose(calibration("left belt", 0.0, 0.4), [[0.16, 0], [0, 0]], atol=1e-12)
    moved = [
        dataclasses.replace(RIG, anchors=(RIG.anchors[0], (RIG.anchors[1][0] + d, RIG.anchors[1][1])))
        for d in (-step, step)
    ]
    low, high = (inverse_kinematics(rig, np.array([pen])).belts[0] for rig in moved)
    by_anchor = (high - low) / (2 * step)
    found = calibration("right anchor x", HANGING.right.x, 2.0)
    np.testing.assert_allclose(found, 4.0 * np.outer(by_anchor, by_anchor), rtol=1e-4, atol=1e-9)
