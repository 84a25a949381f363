"""Swing of the hanging body against MuJoCo, which shares nothing with the plan: its mass matrix and forces, and its forward
dynamics while the planned belts run at speed. No damping on either side."""

import numpy as np
import pytest
import scipy.integrate
import scipy.linalg

from tests.support.hanging_body import HangingBody
from wallwright.document.document import Document
from wallwright.document.edits import set_field
from wallwright.document.wall import Anchor, Hanging
from wallwright.motion.planner import plan_motion
from wallwright.motion.swing import SwingBody, follow_swing
from wallwright.motion.trajectory import sample_at
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.pose import inverse_kinematics
from wallwright.statics.swing_modes import inertia_of, swing_modes
from wallwright.strokes.strokes import Strokes


def hanging_body(document: Document, rig: CableRobotModel) -> HangingBody:
    body = document.machine.body
    return HangingBody(rig.anchors, rig.exits, rig.centre, body.mass, rig.stiffness, inertia=inertia_of(body) * 1e-6)


def light_belts(width: float = 2000.0, rise: float = 0.0, **fields) -> tuple[Document, CableRobotModel]:
    document = Document(hangings=(Hanging("h", Anchor(0.0, 0.0), Anchor(width, rise), (width / 2, 0.4 * width)),))
    fields = {"belt__mass": 0.0, "body__damping": 0.0, **fields}
    for name, value in fields.items():
        document = set_field(document, "machine." + name.replace("__", "."), value)
    return document, CableRobotModel.of(document.machine, document.hangings[0])


def test_inertia_of_a_rectangle():
    """m (a² + b²) / 12 (Beer and Johnston, "Vector Mechanics for Engineers", table of mass moments of inertia;
    from memory)."""
    body = Document().machine.body
    assert inertia_of(body) == pytest.approx(body.mass * (180**2 + 150**2) / 12)


@pytest.mark.parametrize("pen", [(1000.0, 700.0), (1000.0, 1300.0), (600.0, 900.0), (1450.0, 1100.0)])
def test_frequencies_are_those_of_mujocos_masses_and_forces(pen):
    import mujoco

    document, rig = light_belts()
    pose = inverse_kinematics(rig, np.array([pen]))
    ours = swing_modes(rig, document.machine.body.mass, inertia_of(document.machine.body), pose)
    judge = hanging_body(document, rig)
    place, tilt, _ = judge.settle(pose.belts[0], pen, pose.tilt[0])
    full = np.zeros((3, 3))
    mujoco.mj_fullM(judge.model, judge.data, full)  # kg, m; y up
    to_own = np.diag([1e-3, -1e-3, 1.0])
    mass = to_own @ full @ to_own  # kg mm² with mm and y down, times 1e-6
    stiff = judge.stiffness(place, tilt) * 1e-3  # N/mm = 1e3 N/m, taken to the same
    square = scipy.linalg.eigvalsh(stiff, mass)
    np.testing.assert_allclose(ours.frequency[0], np.sqrt(square) / (2 * np.pi), rtol=2e-4)


def test_a_body_let_go_swings_at_its_frequency():
    """MuJoCo's forward dynamics: the belts jump by a tenth of a millimetre, then hold."""
    document, rig = light_belts()
    pose = inverse_kinematics(rig, np.array([[1000.0, 1100.0]]))
    belts = pose.belts[[0, 0, 0]] + [[0, 0], [0.3, -0.3], [0.3, -0.3]]
    time, pens, _ = hanging_body(document, rig).replay([0.0, 0.001, 6.0], belts, pose.pen[0], step=1e-3)
    across = pens[:, 0] - pens[:, 0].mean()
    spectrum = np.abs(np.fft.rfft(across * np.hanning(len(across)), 8 * len(across)))
    frequency = np.fft.rfftfreq(8 * len(across), time[1] - time[0])
    slow = frequency < 8  # above it the belts stretch
    found = frequency[slow][np.argmax(spectrum[slow])]
    modes = swing_modes(rig, document.machine.body.mass, inertia_of(document.machine.body), pose)
    assert modes.frequency[0, 0] == pytest.approx(found, rel=0.02)


STROKES = {
    "zigzag": [np.array([[800.0, 900.0], [1000, 900], [1000, 1000], [1100, 1010]])],
    "short lines": [np.array([[900.0 + 12 * i, 950.0], [906.0 + 12 * i, 990.0]]) for i in range(4)],
    "circle": [np.column_stack([950 + 60 * np.cos(a), 950 + 60 * np.sin(a)]) for a in [np.linspace(0, 2 * np.pi, 721)]],
    # Before corners the body swings to and fro within a few mm, less than samples are apart.
    "corners": [np.array([[1264.0, 907.0], [725, 1154], [806, 1092], [1220, 823]])],
    "more corners": [np.array([[1146.0, 808.0], [1175, 1054], [1299, 1192], [762, 923]])],
}


@pytest.mark.parametrize("landing_swing", [1000.0, 0.3], ids=["plain travels", "shaped travels"])
@pytest.mark.parametrize(
    ("name", "hung"),
    [
        ("zigzag", {}),
        ("short lines", {"width": 1900.0, "rise": 80.0, "limits__acceleration": 400.0}),
        ("corners", {}),
        ("more corners", {}),
        ("circle", {"limits__swing": 0.3, "limits__acceleration": 900.0, "limits__draw_speed": 80.0}),
    ],
)
def test_replay_at_speed_stays_within_what_the_plan_states(name, hung, landing_swing):
    """The planned belts drive MuJoCo's dynamics: the pen swings as planned, and no belt is ever slack."""
    document, rig = light_belts(limits__landing_swing=landing_swing, **hung)
    motion = plan_motion(document, 0, rig, Strokes.pack(STROKES[name], 0))
    times = np.arange(0, motion.time[-1], 0.002)
    planned = sample_at(motion, times)
    time, pens, tension = hanging_body(document, rig).replay(times, planned.belts, planned.pen_xy[0], step=5e-4)
    there = sample_at(motion, time)
    off = np.hypot(*(pens - there.pen_xy).T)
    stated = motion.farthest_swing[np.repeat(motion.down, np.diff(motion.runs))].max()
    assert stated <= document.machine.limits.swing
    # 15 % for the frequencies' change along the way, and 0.06 mm for the stretching of the belts, which the plan leaves
    # out. Where shaped travels cancel swing, 15 % of what they cancel, which the limit bounds.
    of = stated if landing_swing == 1000.0 else document.machine.limits.swing
    assert off[there.down].max() <= stated + 0.15 * of + 0.06
    assert off[there.down].max() >= 0.6 * stated  # it does not state too much either
    k = np.searchsorted(time, motion.time[1:-1])
    # Belts that lead the body move its quick motions too, which the plan leaves out.
    alike = 0.93 if motion.load.any() else 0.97
    assert np.corrcoef(motion.swing[1:-1], (pens - there.pen_xy)[k, 0])[0, 1] > alike
    assert tension.min() > 0.5 * document.machine.limits.least_tension


def test_the_farthest_swing_between_samples_is_found():
    """Judge: scipy's integration of the equation of motion, looked at a thousand times between samples."""
    random = np.random.default_rng(3)
    n, damping = 40, 0.05
    gone = np.concatenate([[0.0], random.uniform(0.02, 0.8, n - 1)])
    speed, turn = random.uniform(0, 40, n), np.cumsum(random.uniform(-0.6, 0.6, n))
    direction = np.column_stack([np.cos(turn), np.sin(turn)])
    body = SwingBody(random.uniform(9, 14, n), random.uniform(-1.2, 1.2, (n, 2)), random.uniform(0.2, 0.7, n))
    swing, rates, farthest = np.zeros(n), np.zeros(n), np.zeros(n)
    runs, changed, no = np.array([0, n]), np.ones(1, dtype=bool), np.zeros(1, dtype=bool)
    rest, zero = np.append(gone[1:], 0.0), np.zeros(1)
    lead = np.zeros(n)
    follow_swing(
        runs,
        changed,
        np.zeros(n),
        rest,
        speed,
        direction,
        body,
        damping,
        zero,
        no,
        no,
        1.0,
        lead,
        np.zeros(n, dtype=bool),
        speed,
        swing,
        rates,
        farthest,
        zero.copy(),
        zero.copy(),
        np.ones((1, 3)),
    )
    state, before = np.zeros(2), np.zeros(2)
    for i in range(n):
        push, w = body.participation[i], body.omega[i]
        if i:
            force = push @ direction[i - 1] * (speed[i] - speed[i - 1]) / gone[i]
            found = scipy.integrate.solve_ivp(
                lambda t, y, w=w, f=force: [y[1], -2 * damping * w * y[1] - w * w * y[0] - f],
                (0, gone[i]),
                state,
                rtol=1e-9,
                atol=1e-9,
                t_eval=np.linspace(0, gone[i], 1000),
            )
            state, before = found.y[:, -1], direction[i - 1] * speed[i]
            assert np.abs(found.y[0]).max() == pytest.approx(max(farthest[i], abs(found.y[0, 0])), rel=1e-4, abs=1e-6)
        state[1] -= push @ (direction[i] * speed[i] - before)
        before = direction[i] * speed[i]
        assert swing[i] == pytest.approx(state[0], abs=1e-6)


def test_one_lively_place_does_not_slow_a_long_line():
    """A long zigzag with wide turns, and the same with a few narrow ones in its middle: far from those it is drawn as
    fast, and nowhere does it swing too far."""
    document, rig = light_belts(body__damping=0.05)
    wide = np.column_stack([800 + 20.0 * np.arange(20), np.where(np.arange(20) % 2, 1000.0, 930.0)])
    narrow = np.column_stack([np.tile([1180.0, 1190.0], 6), 900.0 + 2 * np.arange(12)])
    lines = wide, np.concatenate([wide[:10], narrow, wide[10:]])
    plain, mixed = (plan_motion(document, 0, rig, Strokes.pack([line], 0)) for line in lines)
    ends = []
    for motion in (plain, mixed):
        run = int(np.flatnonzero(motion.down)[0])
        first = motion.runs[run]
        seventh = first + np.flatnonzero(np.all(motion.pen_xy[first:] == wide[6], axis=1))[0]
        ends.append(motion.time[seventh] - motion.time[first])
        assert motion.farthest_swing[np.repeat(motion.down, np.diff(motion.runs))].max() <= 1.0
    assert ends[1] == pytest.approx(ends[0], rel=0.02)


@pytest.mark.parametrize(
    "limits",
    [
        {},
        pytest.param({"limits__swing": 0.1}, marks=pytest.mark.slow),
        {"limits__swing": 0.3, "limits__acceleration": 800.0},
        {"limits__acceleration": 2000.0, "limits__belt_acceleration": 5000.0},
    ],
)
def test_a_dense_drawing_keeps_the_largest_swing(limits):
    """Thousands of short lines close together, each with its own rhythm; none may swing farther than allowed."""
    document, rig = light_belts(body__damping=0.05, **limits)
    random = np.random.default_rng(7)
    place, turn = random.uniform([700, 700], [1300, 1200], (1500, 2)), random.uniform(0, 2 * np.pi, 1500)
    lines = [
        p + r * np.array([[0, 0], [np.cos(a), np.sin(a)], [np.sin(a), np.cos(a)]])
        for p, a, r in zip(place, turn, random.uniform(2, 25, 1500), strict=True)
    ]
    motion = plan_motion(document, 0, rig, Strokes.pack(lines, 0))
    drawn = np.repeat(motion.down, np.diff(motion.runs))
    assert motion.farthest_swing[drawn].max() <= document.machine.limits.swing
