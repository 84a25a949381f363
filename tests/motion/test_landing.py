"""How travels end, so that the pen lands with little swing: the shaper against scipy's integration of the equation of
motion, the exported file against MuJoCo, which shares nothing with the plan."""

import re

import numpy as np
import pytest
import scipy.integrate
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.drag_trials import document_with, hatch_path, landing_swings
from tests.support.jobs import exported, planned_job
from wallwright.document.edits import replace
from wallwright.jobs.rs274 import code
from wallwright.motion.landing import LONGEST_WAIT, TICK, choose_ending, settling_time, with_ending

PLACE = (650.0, 1250.0)
N = 41


def _travel(length: float, acceleration: float, top: float):
    """Samples of a straight travel from rest to rest: step (n,) mm, speed (n,) mm/s."""
    way = np.linspace(0.0, length, N)
    square = np.minimum(top**2, 2 * acceleration * np.minimum(way, length - way))
    return np.append(np.diff(way), 0.0), np.sqrt(square)


def _amplitude(step, speed, omega, damping, push, swing, rate, pause):
    """mm of the free swing after the travel, and s that it takes: by scipy."""
    took = 2 * step[:-1] / (speed[:-1] + speed[1:])
    time = np.concatenate([[0.0, pause], pause + np.cumsum(took)])
    force = push * np.concatenate([[0.0], np.diff(speed) / took])
    state = np.array([swing, rate])
    for k in range(len(force)):
        state = scipy.integrate.solve_ivp(
            lambda t, y, f=force[k]: [y[1], -2 * damping * omega * y[1] - omega * omega * y[0] - f],
            (time[k], time[k + 1]),
            state,
            rtol=1e-8,
            atol=1e-9,
        ).y[:, -1]
    own = omega * np.sqrt(1 - damping**2)
    return np.hypot(state[0], (state[1] + damping * omega * state[0]) / own), took.sum()


@settings(max_examples=15, deadline=None)
@given(st.floats(2.0, 300.0), st.floats(60.0, 200.0), st.floats(8.0, 14.0), st.floats(0.02, 0.1), st.floats(-0.8, 0.8))
def test_the_chosen_ending_leaves_little_swing_soon(length, acceleration, omega, damping, swing):
    """Travel and wait together never take longer than the travel as it is with the wait that it would need, and lead to
    the bound."""
    bound, pause, push = 0.3, 0.25, 0.9
    step, speed = _travel(length, acceleration, 80.0)
    direction = np.vstack([np.tile([1.0, 0.0], (N - 1, 1)), [[0.0, 0.0]]])
    omegas, participation, ending = np.full(N, omega), np.tile([push, 0.2], (N, 1)), np.zeros(3)
    shaped = choose_ending(step, speed, direction, omegas, participation, damping, pause, swing, 2.0, bound, ending)
    np.testing.assert_array_equal(shaped, with_ending(step, speed, ending))
    assert (shaped <= speed * (1 + 1e-12)).all() and shaped[0] == shaped[-1] == 0 and (shaped[1:-1] > 0).all()
    before, seconds = _amplitude(step, speed, omega, damping, push, swing, 2.0, pause)
    after, longer = _amplitude(step, shaped, omega, damping, push, swing, 2.0, pause)
    wait = settling_time(after, bound, omega, damping)
    needed = np.log(max(before / bound, 1.0)) / (damping * omega)  # which may be longer than it may wait
    assert longer + wait <= seconds + needed + 2 * TICK
    assert after * np.exp(-damping * omega * wait) <= bound * (1 + 1e-9) or wait == pytest.approx(LONGEST_WAIT)


def test_without_swing_before_it_is_the_zero_vibration_shaper():
    """Half a period later, about half of the way (Singer and Seering 1990)."""
    step, speed = _travel(60.0, 200.0, 80.0)
    direction = np.vstack([np.tile([1.0, 0.0], (N - 1, 1)), [[0.0, 0.0]]])
    omega, ending = 11.0, np.zeros(3)
    choose_ending(
        step, speed, direction, np.full(N, omega), np.tile([1.0, 0.0], (N, 1)), 0.0, 0.0, 0.0, 0.0, 0.25, ending
    )
    assert ending[0] == 1.25 and ending[1] == pytest.approx(0.5)
    assert ending[2] == pytest.approx(np.pi / omega)
    left = _amplitude(step, with_ending(step, speed, ending), omega, 0.0, 1.0, 0.0, 0.0, 0.0)[0]
    assert left < 0.15 and _amplitude(step, speed, omega, 0.0, 1.0, 0.0, 0.0, 0.0)[0] > 4.0


def test_a_wait_is_what_fading_takes():
    """exp(-damping omega t) from 1.0 to 0.3 mm, in whole ticks."""
    wait = settling_time(1.0, 0.3, 11.0, 0.05)
    assert 0 <= wait - np.log(1 / 0.3) / (0.05 * 11.0) <= TICK
    assert settling_time(0.3, 0.3, 11.0, 0.05) == 0.0


def test_the_pen_lands_with_little_swing():
    """MuJoCo on the exported belts: while the pen is lowered the body swings little. The controller follows the shaped
    speeds in its own steps, and the belts stretch: 0.2 mm."""
    loose, close = (
        document_with(hatch_path(np.pi / 4, lines=5), PLACE, 0.0, landing_swing=bound) for bound in (1000.0, 0.3)
    )
    before, seconds = landing_swings(loose)
    after, longer = landing_swings(close)
    assert before.max() > 0.8 and after.max() < 0.3 + 0.2
    assert longer < 1.1 * seconds


def test_waits_are_in_the_program_the_estimate_and_the_replay(tmp_path):
    """A bound that no ending keeps makes the machine wait; the file is verified as it is written."""
    document = document_with(hatch_path(0.3, lines=3), PLACE, 0.2, landing_swing=0.06)
    job = planned_job(document)
    motion, lift = job.motion, document.machine.lift
    waits = motion.settling[motion.down]
    assert (waits > 0).any() and job.estimate.landing_mm <= 0.06 * (1 + 1e-9)
    starts, ends = motion.time[motion.runs[:-1]][1:], motion.time[motion.runs[1:] - 1][:-1]
    np.testing.assert_allclose(
        (starts - ends)[motion.down[1:]], lift.lower_time + motion.settling[1:][motion.down[1:]], atol=1e-9
    )
    assert job.estimate.total_s == pytest.approx(motion.time[-1], abs=1e-6)
    text = b"".join(code(job, job.belts, lambda done: None)).decode()
    found = [float(p) for p in re.findall(r"\(stroke \d+ of \d+\)\nG4 P([\d.]+)\n", text)]
    np.testing.assert_allclose(found, waits[waits > 0], atol=1e-9)
    _, report = exported(document, tmp_path)
    assert report["verified"]["belts.ngc"]["strokes"] == 3


def test_a_lift_that_waits_move_never_waits_otherwise():
    document = document_with(hatch_path(0.3, lines=3), PLACE, 0.0, landing_swing=0.02)
    lift = replace(document.machine.lift, kind="dwell", up=0.11, down=0.12)
    job = planned_job(replace(document, machine=replace(document.machine, lift=lift)))
    assert not job.motion.settling.any()
