"""Strokes full of reversals, repeats, tiny legs and spikes: no leg takes longer than it has to, and no number is absurd."""

import numpy as np
import pytest
from hypothesis import Phase, example, given, settings
from hypothesis import strategies as st

from tests.support.machines import SEEDS
from tests.support.optimum import line, optimum
from tests.support.rough import rough_stroke
from wallwright.document.document import Document
from wallwright.document.edits import set_field
from wallwright.motion.estimate import estimate
from wallwright.motion.path import build_runs
from wallwright.motion.path_constraints import LEAST_SPEED, LEAST_TOLERANCE, motion_limits
from wallwright.motion.plan import Motion
from wallwright.motion.planner import plan_motion
from wallwright.motion.run_timing import LEAST_ACCELERATION_SHARE
from wallwright.motion.swing import SwingField
from wallwright.motion.time_parameterization import LEAST_ROOM, OVERSHOOT, PathGrid, speed_profile
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.strokes.strokes import Strokes

MOST = 1.3
"""Times that a leg may take over itself alone from rest to rest. A leg of one step that is slow at one end keeps constant
acceleration; a start from rest that ends between two samples loses up to a tenth."""
PACINGS = ("accelerating", "constant", "timed")
AT_ONCE = 12


def rough(seed: int) -> Strokes:
    return Strokes.pack([rough_stroke(seed + i) for i in range(AT_ONCE)], 0)


def plan(document: Document, strokes: Strokes) -> Motion:
    return plan_motion(document, 0, CableRobotModel.of(document.machine, document.hangings[0]), strokes)


def machine(pacing: str = "accelerating", **limits: float) -> Document:
    document = set_field(Document(), "machine.controller.pacing", pacing)
    for name, value in limits.items():
        document = set_field(document, f"machine.limits.{name}", value)
    return document


def pen_limited(pacing: str, acceleration: float, speed: float, tolerance: float) -> Document:
    document = machine(
        pacing,
        belt_speed=2000.0,
        belt_acceleration=50_000.0,
        swing=1000.0,
        landing_swing=1000.0,
        acceleration=acceleration,
        draw_speed=speed,
        travel_speed=speed,
        corner_tolerance=tolerance,
    )
    light = {"body.mass": 0.05, "motor.holding_torque": 10.0, "motor.corner_speed": 100.0}
    for name, value in light.items():
        document = set_field(document, f"machine.{name}", value)
    return document


def legs(motion: Motion, down: bool = False) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """(m, 2, 2) mm both ends of each leg, (m,) mm, (m,) s, and (m, 2) mm/s at both ends; down: of strokes only."""
    vertex = np.flatnonzero(motion.vertex)
    a, b = vertex[:-1], vertex[1:]
    run = np.searchsorted(motion.runs, [a, b], side="right") - 1
    inside = (run[0] == run[1]) & (motion.down[run[0]] | (not down))
    a, b = a[inside], b[inside]
    ends = np.stack([motion.pen_xy[a], motion.pen_xy[b]], axis=1)
    length = np.hypot(*(ends[:, 1] - ends[:, 0]).T)
    moves = length > 0
    seconds, speed = motion.time[b] - motion.time[a], np.stack([motion.speed[a], motion.speed[b]], axis=1)
    return ends[moves], length[moves], seconds[moves], speed[moves]


def trapezoid(length: np.ndarray, speed: float, acceleration: float) -> np.ndarray:
    """s from rest to rest: up to speed, on, and down; a triangle where the speed is not reached
    (Biagiotti and Melchiorri, "Trajectory Planning", 2008, 3.2; from memory)."""
    ramps = speed / acceleration
    return np.where(
        length >= speed * ramps,
        length / speed + ramps,
        2 * np.sqrt(np.minimum(length, speed * ramps) / acceleration),
    )


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


QUICK = (Phase.explicit, Phase.generate)
"""A failing plan says enough as it is."""
ACCELERATIONS = st.floats(0, 3).map(lambda power: 10**power)
SPEEDS = st.floats(-1, 3).map(lambda power: 10**power)
TOLERANCES = st.sampled_from([0.0, 1e-6, 0.01, 0.1, 1.0, 5.0])


@given(SEEDS, ACCELERATIONS, SPEEDS, TOLERANCES, st.sampled_from(["accelerating", "timed"]))
@settings(deadline=None, max_examples=14, derandomize=True, phases=QUICK)
def test_no_leg_takes_longer_than_alone_from_rest_to_rest(seed, acceleration, speed, tolerance, pacing):
    """Judge: the trapezoid above; the pen passes a leg's ends at some speed, or rests."""
    document = pen_limited(pacing, acceleration, speed, tolerance)
    motion = plan(document, rough(seed))
    _, length, seconds, _ = legs(motion)
    assert np.all(seconds <= MOST * trapezoid(length, speed, acceleration))


@given(SEEDS, ACCELERATIONS, SPEEDS, TOLERANCES)
@settings(deadline=None, max_examples=8, derandomize=True, phases=QUICK)
def test_at_one_speed_no_leg_is_slower_than_a_reversal_needs(seed, acceleration, speed, tolerance):
    """v² = 2 a e: the pen stops from v within the tolerance e (uniformly accelerated motion)."""
    document = pen_limited("constant", acceleration, speed, tolerance)
    motion = plan(document, rough(seed))
    _, length, seconds, _ = legs(motion)
    least = max(LEAST_SPEED, min(speed, np.sqrt(2 * acceleration * max(tolerance, LEAST_TOLERANCE))))
    assert np.all(seconds <= length / least * (1 + 1e-6) + 1e-9)
    assert estimate(document, motion).corner_mm <= max(
        tolerance, LEAST_TOLERANCE, LEAST_SPEED**2 / (2 * acceleration)
    ) * (1 + 1e-6)


@given(SEEDS, st.floats(1, 800), st.floats(1, 200))
@settings(deadline=None, max_examples=5, derandomize=True, phases=QUICK)
def test_legs_between_two_rests_take_what_ruckig_takes(seed, acceleration, speed):
    """No corner tolerance: the pen rests at every corner."""
    motion = plan(pen_limited("accelerating", acceleration, speed, 0.0), rough(seed))
    _, length, seconds, ends = legs(motion)
    rests = (ends < 1e-9).all(axis=1)
    assert rests.sum() > 3 * AT_ONCE
    least = np.array([rest_to_rest(way, speed, acceleration) for way in length[rests].tolist()])
    assert np.all(seconds[rests] >= least * (1 - 1e-6) - 1e-9)
    assert np.all(seconds[rests] <= 1.15 * least)


@pytest.mark.parametrize("belts", [{}, {"belt_speed": 30.0, "belt_acceleration": 60.0}])
@pytest.mark.parametrize("seed", [1])
def test_legs_between_two_rests_take_what_toppra_takes(seed, belts):
    """Belts limited: each leg alone, by toppra (Pham and Pham 2018)."""
    document = machine(swing=1000.0, landing_swing=1000.0, corner_tolerance=0.0, **belts)
    rig, limits = CableRobotModel.of(document.machine, document.hangings[0]), document.machine.limits
    where, length, seconds, ends = legs(plan(document, rough(seed)), down=True)
    long = np.flatnonzero((ends < 1e-9).all(axis=1) & (length > 0.5))[:8]
    assert len(long) == 8
    for i in long:
        best = optimum(rig, limits, [line(*where[i])], limits.draw_speed)
        assert 0.995 * best <= seconds[i] <= 1.1 * best


@pytest.mark.parametrize("pacing", PACINGS)
@pytest.mark.parametrize("seed", range(3))
def test_a_swinging_body_slows_no_leg_to_a_stand(seed, pacing):
    """The usual machine: where it would swing too far, it is pushed less, down to a stated share and no less."""
    document, strokes = machine(pacing), rough(100 * seed)
    motion = plan(document, strokes)
    rig, limits = CableRobotModel.of(document.machine, document.hangings[0]), document.machine.limits
    body = SwingField(rig, document.machine, motion.pen_xy).at(motion.pen_xy)
    gentlest = LEAST_ACCELERATION_SHARE * min(limits.acceleration, limits.swing * body.omega.min() ** 2)
    _, length, seconds, _ = legs(motion)
    if pacing == "constant":
        assert np.all(seconds <= length / LEAST_SPEED * (1 + 1e-6) + 1e-9)
    else:
        assert np.all(seconds <= 1.5 * trapezoid(length, limits.draw_speed, gentlest))
    # In all, most legs are not pushed so gently.
    assert motion.time[-1] < 600


@pytest.mark.parametrize("pacing", PACINGS)
@pytest.mark.parametrize("last", [2.0, 0.02, 2e-4, 2e-6, 1e-9, 1e-13, 0.0])
def test_a_stroke_that_turns_back_at_its_end_takes_seconds(last, pacing):
    points = np.array([[600.0, 600], [700, 700], [700 - last, 700 - last]])
    motion = plan(machine(pacing), Strokes.pack([points], 0))
    assert motion.time[-1] < 40


def test_points_closer_than_a_step_of_the_motors_are_one():
    line_, nearest = rough_stroke(5), 0.0125
    noisy = np.repeat(line_, 4, axis=0)
    noisy[1:-1] += np.random.default_rng(1).normal(size=noisy[1:-1].shape) * nearest / 8
    runs = build_runs(Strokes.pack([noisy], 0), line_[0], nearest)
    points = runs.points[runs.runs[1] : runs.runs[2]]
    assert np.array_equal(points[[0, -1]], noisy[[0, -1]])
    assert np.hypot(*np.diff(points, axis=0).T).min() >= nearest
    far = np.hypot(*np.moveaxis(noisy[:, None] - points[None], -1, 0)).min(axis=1)
    assert far.max() < 2 * nearest
    document = Document()
    assert nearest == 1 / document.machine.steps_per_mm
    motion = plan(document, Strokes.pack([noisy], 0))
    stroke = motion.pen_xy[motion.runs[1] : motion.runs[2]][motion.vertex[motion.runs[1] : motion.runs[2]]]
    assert np.hypot(*np.diff(stroke, axis=0).T).min() >= nearest


ENDS = [
    ("draw_speed", 0.1),
    ("draw_speed", 1000.0),
    ("travel_speed", 0.1),
    ("acceleration", 1.0),
    ("acceleration", 20_000.0),
    ("corner_tolerance", 0.0),
    ("corner_tolerance", 5.0),
    ("swing", 0.01),
    ("belt_speed", 0.1),
    ("belt_acceleration", 1.0),
    ("least_tension", 0.0),
    ("least_tension", 100.0),
]


@given(SEEDS, st.lists(st.sampled_from(ENDS), min_size=1, max_size=3), st.sampled_from(PACINGS))
@example(0, [("corner_tolerance", 0.0)], "constant")
@example(0, [("swing", 0.01), ("acceleration", 1.0)], "constant")
@settings(deadline=None, max_examples=12, derandomize=True, phases=QUICK)
def test_limits_at_the_ends_of_their_ranges_give_finite_plans(seed, limits, pacing):
    document = machine(pacing, **dict(limits))
    strokes = Strokes.pack([rough_stroke(seed), rough_stroke(seed + 1)], 0)
    motion = plan(document, strokes)
    for numbers in (motion.time, motion.speed, motion.tension, motion.swing, motion.farthest_swing):
        assert np.isfinite(numbers).all()
    took = estimate(document, motion)
    assert took.total_s < 1e6 and np.isfinite(took.energy_wh) and np.isfinite(took.corner_mm)


@pytest.mark.parametrize("pacing", PACINGS)
@pytest.mark.parametrize("own", [1e-300, 1e-9])
def test_a_pen_of_hardly_any_speed_is_not_slower_than_the_least(own, pacing):
    document = set_field(machine(pacing), "pens.0.speed", own)
    motion = plan(document, Strokes.pack([np.array([[900.0, 900], [903, 900]])], 0))
    drawn = estimate(document, motion).per_pen[0].drawing_s
    assert 3 / LEAST_SPEED <= drawn * (1 + 1e-9) <= 1.2 * 3 / LEAST_SPEED


@pytest.mark.parametrize("tension", [1e-12, 0.0, -0.5])
def test_a_slack_belt_does_not_stop_the_pen(tension):
    """Without tension there is no room for any push; the draw zone says so, and the speed is not zero."""
    bounds = motion_limits(Document())
    unit, steep = np.array([1.0, 0.0]), np.array([[0.8, 0.6], [-0.8, 0.6]])
    grid = PathGrid(
        np.array([0, 3]),
        np.array([2.0, 2.0, 0.0]),
        np.full(3, 1600.0),
        np.full(3, 200.0),
        np.broadcast_to(unit, (3, 2, 2)).copy(),
        np.zeros((3, 2)),
        np.broadcast_to(steep, (3, 2, 2)).copy(),
        np.zeros((3, 2, 3)),
        np.full((3, 2), tension),
    )
    square = speed_profile(grid, bounds)
    # LEAST_ROOM over three times what the push adds: 0.01 N / (3 x 0.75 kg x 0.625) = 7 mm/s².
    assert square[1] == pytest.approx(2 * 2.0 * LEAST_ROOM / (OVERSHOOT * bounds.mass * 0.625))
