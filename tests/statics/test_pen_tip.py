"""Pens whose tips are off the holder's centre, against MuJoCo: their colours meet."""

from __future__ import annotations

import msgspec
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.hanging_body import HangingBody
from wallwright.document.document import Document, Pen
from wallwright.document.machine import Belt
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.pen_tip import corrected_tip, holder_points, holder_strokes, turned
from wallwright.statics.pose import inverse_kinematics
from wallwright.strokes.strokes import Strokes

replace = msgspec.structs.replace
# MuJoCo's belts have no weight here; chains of links are compared elsewhere.
MACHINE = replace(Document().machine, belt=Belt(mass=0.0))
HANGING = Document().hangings[0]
RIG = CableRobotModel.of(MACHINE, HANGING)
TRUE_TIPS = ((2.0, -1.5), (-1.0, 0.8))
"""mm, of the two pens in the holder."""
EDGE = np.column_stack([np.linspace(550, 1450, 7), np.linspace(600, 1300, 7)])
"""mm: where the areas of two colours meet."""


def body() -> HangingBody:
    """The machine, its pen in the middle of the holder."""
    machine = MACHINE.body
    return HangingBody(
        RIG.anchors, (machine.left_exit, machine.right_exit), machine.centre, machine.mass, MACHINE.belt.stiffness
    )


def drawn(pen: Pen, tip: tuple[float, float], points: np.ndarray, judge: HangingBody) -> np.ndarray:
    """Where a tip truly draws when the program, which knows the pen's numbers, asks for points: MuJoCo hangs the body."""
    strokes = Strokes.pack([points], 0)
    path = holder_strokes(RIG, strokes, (pen,)).points
    found = []
    for centre, belts in zip(path, inverse_kinematics(RIG, path).belts, strict=True):
        place, tilt, _ = judge.settle(belts, centre + [0.0, 60.0])
        found.append(place + turned(np.array([tilt]), np.array([tip]))[0])
    return np.array(found)


def pens(*tips: tuple[float, float]) -> list[Pen]:
    return [Pen(str(k), str(k), "#202020", tip_right=x, tip_down=y) for k, (x, y) in enumerate(tips)]


def test_touching_colours_meet_once_the_offsets_are_measured():
    """Before: 3.8 mm apart. Each pen's mark is then read with a ruler, to 0.1 mm, at one place."""
    judge, at = body(), (1000.0, 900.0)
    before = [drawn(pen, tip, EDGE[[0, 3, 6]], judge) for pen, tip in zip(pens((0, 0), (0, 0)), TRUE_TIPS, strict=True)]
    gap = np.hypot(*(before[0][[0, -1]] - before[1][[0, -1]]).T).max()
    assert gap == pytest.approx(np.hypot(3.0, 2.3), abs=0.01)
    marks = [
        drawn(pen, tip, np.array([at, at]), judge)[0] for pen, tip in zip(pens((0, 0), (0, 0)), TRUE_TIPS, strict=True)
    ]
    measured = [
        corrected_tip(RIG, pen, at, tuple(np.round(mark - at, 1)))
        for pen, mark in zip(pens((0, 0), (0, 0)), marks, strict=True)
    ]
    after = [drawn(pen, tip, EDGE, judge) for pen, tip in zip(measured, TRUE_TIPS, strict=True)]
    assert np.hypot(*(after[0] - after[1]).T).max() < 0.2
    known = [drawn(pen, tip, EDGE, judge) for pen, tip in zip(pens(*TRUE_TIPS), TRUE_TIPS, strict=True)]
    assert np.hypot(*(known[0] - known[1]).T).max() < 0.002


def test_a_long_line_of_a_pen_off_the_centre_stays_straight():
    judge = body()
    line = np.array([[500.0, 1200.0], [1500.0, 1200.0]])
    found = drawn(pens((5.0, -5.0))[0], (5.0, -5.0), line, judge)
    assert len(found) == 21
    assert np.abs(found[:, 1] - 1200).max() < 0.002
    path = holder_strokes(RIG, Strokes.pack([line], 0), pens((5.0, -5.0))).points
    middles = (path[1:] + path[:-1]) / 2
    pose = inverse_kinematics(RIG, middles)
    off = middles + turned(pose.tilt, np.tile([5.0, -5.0], (20, 1)))
    assert np.abs(off[:, 1] - 1200).max() < 0.005, "between its points the centre moves straight"


@settings(deadline=None, derandomize=True, max_examples=40)
@given(
    st.tuples(st.floats(-20, 20), st.floats(-20, 20)),
    st.lists(st.tuples(st.floats(500, 1500), st.floats(500, 1500)), min_size=1, max_size=20),
)
def test_the_tip_is_where_it_was_asked_to_be(tip, places):
    points, tips = np.array(places), np.tile(tip, (len(places), 1))
    centres = holder_points(RIG, points, tips)
    back = centres + turned(inverse_kinematics(RIG, centres).tilt, tips)
    np.testing.assert_allclose(back, points, atol=1e-5)


def test_many_points_are_as_true_as_few():
    rng = np.random.default_rng(1)
    points = rng.uniform((500, 500), (1500, 1400), (25_000, 2))
    tips = np.tile([3.0, -2.0], (len(points), 1))
    many = holder_points(RIG, points, tips)
    few = holder_points(RIG, points[:500], tips[:500])
    assert np.abs(many[:500] - few).max() < 5e-4


def test_pens_in_the_middle_change_nothing():
    strokes = Strokes.pack([EDGE], 0)
    assert holder_strokes(RIG, strokes, pens((0.0, 0.0))) is strokes


def test_many_points_give_the_same_as_few():
    points = np.column_stack([np.linspace(550, 1450, 20_100), np.linspace(600, 1300, 20_100)])
    many = holder_points(RIG, points, np.tile(TRUE_TIPS[0], (len(points), 1)))
    few = holder_points(RIG, points[::300], np.tile(TRUE_TIPS[0], (len(points[::300]), 1)))
    assert np.abs(many[::300] - few).max() < 0.0003  # mm: as the grid's spacing promises
