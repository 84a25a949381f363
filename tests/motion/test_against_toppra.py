"""Timing against toppra (Pham and Pham 2018, package toppra) on the same path and the same limits."""

import numpy as np
import pytest
import toppra
import toppra.algorithm
import toppra.constraint

from app.document.document import Document
from app.document.edits import replace
from app.motion.path import runs_of, sampled
from app.motion.timing import plan_motion
from app.statics.pose import hang
from app.statics.rig import Rig
from app.strokes.strokes import Strokes

toppra.setup_logging("ERROR")


def paths() -> dict[str, np.ndarray]:
    t = np.linspace(0, 2 * np.pi, 600)
    u = np.linspace(0, 1, 900)[:, None]
    wave = np.column_stack([600 + 800 * u[:, 0], 900 + 120 * np.sin(9 * u[:, 0]) + 40 * np.cos(23 * u[:, 0])])
    spiral = np.column_stack([1000 + 20 * t * np.cos(3 * t), 950 + 20 * t * np.sin(3 * t)])
    return {
        "line": np.array([[600.0, 700.0], [1400.0, 1200.0]]),
        "short line": np.array([[900.0, 900.0], [905.0, 902.0]]),
        "circle": np.column_stack([1000 + 150 * np.cos(t), 950 + 150 * np.sin(t)]),
        "small circle": np.column_stack([1000 + 5 * np.cos(t), 950 + 5 * np.sin(t)]),
        "spiral": spiral[20:],
        "wave": wave,
    }


def machine(loose: bool):
    document = Document()
    limits = document.machine.limits
    if loose:
        limits = replace(
            limits, draw_speed=300.0, acceleration=600.0, belt_speed=90.0, belt_acceleration=250.0
        )
    return replace(document, machine=replace(document.machine, limits=limits))


def optimum(points: np.ndarray, document: Document, rig: Rig) -> float:
    """toppra's duration: pen speed, pen acceleration along the path, belt speed and acceleration, centre acceleration."""
    step = np.hypot(*np.diff(points, axis=0).T)
    s = np.concatenate([[0], np.cumsum(step)])
    grid = np.linspace(0, s[-1], int(max(400, s[-1] / 0.5)))
    from scipy.interpolate import CubicSpline

    line = len(points) == 2
    xy = CubicSpline(s, points) if not line else lambda v, n=0: (
        points[0] + np.outer(v / s[-1], points[1] - points[0]) if n == 0
        else np.tile((points[1] - points[0]) / s[-1], (len(v), 1)) if n == 1 else np.zeros((len(v), 2))
    )  # fmt: skip
    belts = CubicSpline(grid, hang(rig, xy(grid)).belts)
    # Three joints: the arc length itself and the two belts, so that box limits on joints are the machine's limits.
    knots = np.column_stack([grid, belts(grid)])
    path = toppra.SplineInterpolator(grid, knots)
    limits = document.machine.limits
    top = np.array([limits.draw_speed, limits.belt_speed, limits.belt_speed])
    if not line:
        second = xy(grid, 2)
        curvature = np.hypot(*second.T).max()
        top[0] = min(top[0], np.sqrt(limits.acceleration / curvature)) if curvature > 1e-9 else top[0]
    push = np.array([limits.acceleration, limits.belt_acceleration, limits.belt_acceleration])
    found = toppra.algorithm.TOPPRA(
        [toppra.constraint.JointVelocityConstraint(np.column_stack([-top, top])),
         toppra.constraint.JointAccelerationConstraint(np.column_stack([-push, push]))],
        path, gridpoints=grid, solver_wrapper="seidel", parametrizer="ParametrizeConstAccel",
    )  # fmt: skip
    return found.compute_trajectory().duration


@pytest.mark.parametrize("loose", [False, True])
@pytest.mark.parametrize("name", ["line", "short line", "circle", "small circle"])
def test_close_to_the_optimum_and_never_faster(name, loose):
    """Where the centre acceleration is the same all along, toppra's optimum is exact: at most 3 % slower here."""
    document = machine(loose)
    rig = Rig.of(document.machine, document.hangings[0])
    points = paths()[name]
    motion = plan_motion(document, 0, rig, Strokes.pack([points], 0))
    run = int(np.flatnonzero(motion.down)[0])
    ours = motion.time[motion.runs[run + 1] - 1] - motion.time[motion.runs[run]]
    best = optimum(points, document, rig)
    assert 0.998 * best <= ours <= 1.03 * best


@pytest.mark.parametrize("loose", [False, True])
@pytest.mark.parametrize("name", ["spiral", "wave"])
def test_curves_of_changing_radius_are_not_slower_than_one_cap_for_all(name, loose):
    """toppra gets one speed cap from the tightest place: ours, with a cap for each place, is at least as quick."""
    document = machine(loose)
    rig = Rig.of(document.machine, document.hangings[0])
    points = paths()[name]
    motion = plan_motion(document, 0, rig, Strokes.pack([points], 0))
    run = int(np.flatnonzero(motion.down)[0])
    ours = motion.time[motion.runs[run + 1] - 1] - motion.time[motion.runs[run]]
    assert ours <= 1.03 * optimum(points, document, rig)


@pytest.mark.parametrize("name", paths())
@pytest.mark.parametrize("loose", [False, True])
def test_limits_hold_in_the_plan(name, loose):
    """Speeds and accelerations from differences of the plan's own samples, belts solved exactly."""
    document = machine(loose)
    limits = document.machine.limits
    rig = Rig.of(document.machine, document.hangings[0])
    motion = plan_motion(document, 0, rig, Strokes.pack([paths()[name]], 0))
    for run in range(len(motion.down)):
        part = slice(motion.runs[run], motion.runs[run + 1])
        t, v, xy = motion.time[part], motion.speed[part], motion.pen_xy[part]
        dt = np.diff(t)
        assert (dt > 0).all()
        top = limits.draw_speed if motion.down[run] else limits.travel_speed
        assert v.max() <= top * (1 + 1e-9)
        assert np.abs(np.diff(v) / dt).max() <= limits.acceleration * (1 + 1e-6)
        belts = hang(rig, xy).belts
        rate = np.diff(belts, axis=0) / dt[:, None]
        assert np.abs(rate).max() <= limits.belt_speed * 1.01


def test_travel_times_are_those_of_rest_to_rest():
    """A straight travel under pen limits alone is the textbook trapezoid; also what ruckig gives without jerk limit."""
    import ruckig

    document = machine(False)
    limits = replace(document.machine.limits, belt_speed=2000.0, belt_acceleration=50_000.0)
    document = replace(document, machine=replace(document.machine, limits=limits))
    rig = Rig.of(document.machine, document.hangings[0])
    for length in (4.0, 60.0, 500.0):
        stroke = np.array([[1000.0 + length, 800.0], [1000.0 + length, 810.0]])
        motion = plan_motion(document, 0, rig, Strokes.pack([stroke], 0))
        ours = motion.time[motion.runs[1] - 1]
        generator = ruckig.Ruckig(1)
        wanted = ruckig.InputParameter(1)
        wanted.current_position, wanted.target_position = [0.0], [length]
        wanted.max_velocity, wanted.max_acceleration = [limits.travel_speed], [limits.acceleration]
        trajectory = ruckig.Trajectory(1)
        generator.calculate(wanted, trajectory)
        assert trajectory.duration <= ours * (1 + 1e-9)
        assert ours <= 1.02 * trajectory.duration


def test_runs_alternate_and_start_and_end_at_the_datum():
    strokes = Strokes.pack(
        [np.array([[900.0, 900], [950, 900]]), np.array([[950.0, 950], [900, 950]])], np.array([0, 0])
    )
    runs = runs_of(strokes, np.array([1000.0, 800.0]))
    assert runs.down.tolist() == [False, True, False, True, False]
    assert runs.points[0].tolist() == [1000, 800] and runs.points[-1].tolist() == [1000, 800]
    samples = sampled(runs)
    assert (samples.step <= 4.0 + 1e-9).all()


def test_points_given_twice_and_strokes_that_touch_are_no_trouble():
    """Ends that meet make travels without length; clipping and drawing programs repeat points."""
    a = np.array([[900.0, 900], [900, 900], [950, 900], [950, 900], [950, 950], [950, 950]])
    b = np.array([[950.0, 950], [960, 960], [960, 960]])
    document = machine(False)
    rig = Rig.of(document.machine, document.hangings[0])
    motion = plan_motion(document, 0, rig, Strokes.pack([a, b], 0))
    plain = plan_motion(document, 0, rig, Strokes.pack([a[[0, 2, 4]], b[:2]], 0))
    assert np.isfinite(motion.time).all() and (np.diff(motion.time) >= 0).all()
    assert motion.time[-1] == pytest.approx(plain.time[-1], rel=1e-6)
