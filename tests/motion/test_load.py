"""Motor load and energy of a plan, against the definitions worked out sample by sample."""

import numpy as np
import pytest

from app.motion.load import energy, motor_load
from app.motion.plots import belt_speed, torque_margin
from app.planning.demo import demo_document
from app.planning.plan import Goal, Request
from app.planning.run import Runner
from app.statics.motor import available_torque, supply_power


@pytest.fixture(scope="module")
def planned():
    document = demo_document()
    return document, Runner().run(Request(1, document, Goal.PLAN)).plan


def test_the_largest_load_is_the_least_margin(planned):
    document, plan = planned
    _, most = motor_load(plan.motion, document.machine)
    assert 1 / most.max() == pytest.approx(torque_margin(plan.motion, document.machine).min())
    assert plan.estimate.largest_load == pytest.approx(most)


def test_the_mean_load_is_torque_over_torque_at_the_pulley(planned):
    """Tension times pitch radius against what the motor's curve leaves, on a time grid of its own."""
    document, plan = planned
    motion, machine = plan.motion, document.machine
    torque = motion.tension * machine.pitch_radius / 1000
    share = torque / available_torque(machine, belt_speed(motion))
    times = np.linspace(motion.time[0], motion.time[-1], 400_001)
    for side in (0, 1):
        mean = np.interp(times, motion.time, share[:, side]).mean()
        assert plan.estimate.mean_load[side] == pytest.approx(mean, rel=2e-3)
    assert 0 < max(plan.estimate.mean_load) < max(plan.estimate.largest_load) < 1


def test_energy_is_power_times_hours(planned):
    document, plan = planned
    hours = plan.estimate.total_s / 3600
    assert plan.estimate.energy_wh == pytest.approx(supply_power(document.machine) * hours)
    assert energy(document.machine, 3600.0) == pytest.approx(20.0)  # common practice: 20 W at 0.6 A
