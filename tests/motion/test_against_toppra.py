"""Timing against toppra (Pham and Pham 2018) on the same path and limits, and against ruckig from rest to rest."""

import numpy as np
import pytest

from tests.support import paths
from tests.support.optimum import optimum, strains
from wallwright.document.document import Document
from wallwright.document.edits import replace
from wallwright.motion.path import build_runs, sample_runs
from wallwright.motion.planner import plan_motion
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.strokes.strokes import Strokes

PATHS = {
    "square with rounded corners": paths.rounded_square,
    "circle": paths.circle,
    "small circle": lambda: paths.circle(5.0),
    "hatch lines": lambda: paths.hatch(9),
    "spiral": lambda: paths.spiral(1500, 4),
    "random smooth curve": paths.random_curve,
}


def drawn(document: Document, path: paths.Path):
    """Arc length, mm, and speed, mm/s, of each stroke of the plan."""
    rig = CableRobotModel.of(document.machine, document.hangings[0])
    motion = plan_motion(document, 0, rig, Strokes.pack(path.strokes, 0))
    for run in np.flatnonzero(motion.down):
        part = slice(motion.runs[run], motion.runs[run + 1])
        step = np.hypot(*np.diff(motion.pen_xy[part], axis=0).T)
        yield np.concatenate([[0], np.cumsum(step)]), motion.speed[part], np.ptp(motion.time[part])


@pytest.mark.parametrize("loose", [False, True])
@pytest.mark.parametrize("name", PATHS)
def test_as_fast_as_possible_with_every_limit_kept(name, loose):
    """At most half a percent slower than toppra, and never past a limit on a grid ten times finer than the plan's.

    toppra looks at its limits at the points of its grid only, so that it may be a little faster than allowed between.
    """
    document, path = paths.machine(loose), PATHS[name]()
    rig, limits = CableRobotModel.of(document.machine, document.hangings[0]), document.machine.limits
    ours, best = 0.0, 0.0
    for (at, speed, took), curve in zip(drawn(document, path), path.curves, strict=True):
        ours += took
        best += optimum(rig, limits, curve, limits.draw_speed)
        for limit, strain in strains(rig, limits, curve, limits.draw_speed, at, speed).items():
            assert strain <= 1.003, limit
    assert 0.998 * best <= ours <= 1.005 * best


@pytest.mark.parametrize("acceleration", [200.0, 800.0, 3000.0])
@pytest.mark.parametrize("length", [4.0, 33.3, 60.0, 500.0])
def test_travel_times_are_those_of_rest_to_rest(length, acceleration):
    """A straight travel under pen limits alone is the trapezoid of Biagiotti and Melchiorri,
    "Trajectory Planning", 2008, 3.2 (from memory); also what ruckig gives without jerk limit."""
    document = pen_limited(acceleration)
    rig, limits = CableRobotModel.of(document.machine, document.hangings[0]), document.machine.limits
    stroke = np.array([[1000.0 + length, 800.0], [1000.0 + length, 810.0]])
    motion = plan_motion(document, 0, rig, Strokes.pack([stroke], 0))
    ours = motion.time[motion.runs[1] - 1]
    least = rest_to_rest(length, limits.travel_speed, acceleration)
    assert least * (1 - 1e-9) <= ours <= 1.005 * least


def pen_limited(acceleration: float) -> Document:
    """A machine whose belts and swing limit nothing."""
    document = Document()
    limits = replace(
        document.machine.limits,
        belt_speed=2000.0,
        belt_acceleration=50_000.0,
        swing=1000.0,
        landing_swing=1000.0,
        acceleration=acceleration,
    )
    return replace(document, machine=replace(document.machine, limits=limits))


def rest_to_rest(length: float, speed: float, acceleration: float) -> float:
    """s, by ruckig."""
    import ruckig

    generator = ruckig.Ruckig(1)
    wanted = ruckig.InputParameter(1)
    wanted.current_position, wanted.target_position = [0.0], [length]
    wanted.max_velocity, wanted.max_acceleration = [speed], [acceleration]
    trajectory = ruckig.Trajectory(1)
    generator.calculate(wanted, trajectory)
    return trajectory.duration


@pytest.mark.parametrize("acceleration", [200.0, 3000.0])
def test_where_a_corner_is_sharp_each_leg_is_one_from_rest_to_rest(acceleration):
    """No corner tolerance: the pen stands still at corners, wherever along the stroke they are."""
    document = pen_limited(acceleration)
    document = replace(
        document,
        machine=replace(document.machine, limits=replace(document.machine.limits, corner_tolerance=0.0)),
    )
    corners = np.array([[900.0, 800.0], [975.0, 800.0], [975.0, 850.0], [900.0, 850.0]])
    motion = plan_motion(
        document, 0, CableRobotModel.of(document.machine, document.hangings[0]), Strokes.pack([corners], 0)
    )
    run = int(np.flatnonzero(motion.down)[0])
    ours = np.ptp(motion.time[motion.runs[run] : motion.runs[run + 1]])
    limits = document.machine.limits
    least = sum(rest_to_rest(length, limits.draw_speed, acceleration) for length in (75.0, 50.0, 75.0))
    assert least * (1 - 1e-9) <= ours <= 1.005 * least


def test_runs_alternate_and_start_and_end_at_the_datum():
    strokes = Strokes.pack(
        [np.array([[900.0, 900], [950, 900]]), np.array([[950.0, 950], [900, 950]])], np.array([0, 0])
    )
    runs = build_runs(strokes, np.array([1000.0, 800.0]))
    assert runs.down.tolist() == [False, True, False, True, False]
    assert runs.points[0].tolist() == [1000, 800] and runs.points[-1].tolist() == [1000, 800]
    samples = sample_runs(runs)
    assert (samples.step <= 4.0 + 1e-9).all()


def test_points_given_twice_and_strokes_that_touch_are_no_trouble():
    """Ends that meet make travels without length; clipping and drawing programs repeat points."""
    a = np.array([[900.0, 900], [900, 900], [950, 900], [950, 900], [950, 950], [950, 950]])
    b = np.array([[950.0, 950], [960, 960], [960, 960]])
    document = Document()
    rig = CableRobotModel.of(document.machine, document.hangings[0])
    motion = plan_motion(document, 0, rig, Strokes.pack([a, b], 0))
    plain = plan_motion(document, 0, rig, Strokes.pack([a[[0, 2, 4]], b[:2]], 0))
    assert np.isfinite(motion.time).all() and (np.diff(motion.time) >= 0).all()
    assert motion.time[-1] == pytest.approx(plain.time[-1], rel=1e-6)
