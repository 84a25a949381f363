"""Motor load and energy of a plan, against the definitions of torque, power and work (textbook mechanics, for example
Beer and Johnston, "Vector Mechanics for Engineers", work of a force; from memory), worked out sample by sample."""

from dataclasses import replace

import numpy as np
import pytest

from tests.support.experienced import ExperiencedRunner
from wallwright.document.document import Document
from wallwright.document.edits import set_field
from wallwright.jobs.stroke_table import HEAD, stroke_table
from wallwright.motion.estimate import by_stroke
from wallwright.motion.load import energy, motor_load, work
from wallwright.motion.planner import plan_motion
from wallwright.motion.plots import belt_speed, torque_margin
from wallwright.planning.demo import demo_document
from wallwright.planning.plan import Goal, Request
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.motor import available_torque, supply_power
from wallwright.strokes.strokes import Strokes


@pytest.fixture(scope="module")
def planned():
    document = demo_document()
    return document, ExperiencedRunner().run(Request(1, document, Goal.PLAN)).plan


def test_the_largest_load_is_the_least_margin(planned):
    document, plan = planned
    _, most = motor_load(plan.motion, document.machine)
    assert 1 / most.max() == pytest.approx(torque_margin(plan.motion, document.machine).min())
    assert plan.estimate.largest_load == pytest.approx(most)


@pytest.mark.parametrize("way", [(0.0, -300.0), (0.0, 300.0), (250.0, -200.0)])
def test_work_on_the_belts_lifts_the_body(way):
    """Energy is conserved: from rest to rest both belts together give what lifts the weight, m g h (light belts, no slip,
    no sag); what a motor takes back while it pays out it does not get for its own."""
    document = set_field(Document(), "machine.belt.mass", 0.0)
    rig = CableRobotModel.of(document.machine, document.hangings[0])
    start = np.array(document.hangings[0].start_point)
    motion = plan_motion(document, 0, rig, Strokes.pack([np.array([start, start + way])], 0))
    there = slice(*motion.runs[[1, 2]])
    one = replace(motion, **{name: getattr(motion, name)[there] for name in ("time", "belts", "tension")})
    back = replace(one, belts=one.belts[::-1], tension=one.tension[::-1])
    given, taken = work(one), work(back)
    lifted = -document.machine.body.mass * 9.80665 * way[1] / 1000
    assert given.sum() - taken.sum() == pytest.approx(lifted, rel=0.02, abs=0.005)
    assert np.all(given >= 0) and max(given.max(), taken.max()) > 0.1


def test_strokes_add_up_to_their_pens(planned):
    """By stroke, by pen and in all are the same seconds and metres, but for each pen's way home."""
    document, plan = planned
    found = by_stroke(document, plan.motion)
    for part in plan.estimate.per_pen:
        mine = found.pen == part.pen
        assert mine.sum() == part.strokes
        for by_each, by_pen in (
            (found.drawing_s, part.drawing_s),
            (found.lifting_s, part.lifting_s),
            (found.ink_m, part.ink_m),
        ):
            assert by_each[mine].sum() == pytest.approx(by_pen)
    travels = sum(p.travel_s for p in plan.estimate.per_pen)
    home = plan.motion.time[-1] - plan.motion.time[plan.motion.runs[-2]]
    assert found.travel_s.sum() == pytest.approx(travels - home, abs=document.machine.lift.raise_time + 1e-6)
    np.testing.assert_allclose(found.ink_m, plan.strokes.lengths() / 1000, rtol=1e-6)
    assert found.load.max() <= plan.estimate.largest_load[0] or found.load.max() <= plan.estimate.largest_load[1]
    assert found.swing_mm.max() == plan.estimate.swing_mm
    # A stroke ends before the next one's travel begins.
    ends = found.begins_s + found.drawing_s
    assert np.all(found.begins_s[1:] >= ends[:-1] + found.travel_s[1:] - 1e-6)


def test_pens_are_changed_between_passes(planned):
    document, plan = planned
    assert plan.estimate.changing_s == 3 * document.machine.lift.change_time == 180


def test_the_stroke_table_says_the_same(planned):
    document, plan = planned
    text = stroke_table(document, plan.strokes, plan.motion).decode()
    assert text.splitlines()[0] == HEAD
    table = np.genfromtxt(text.splitlines(), delimiter=",", names=True)
    assert len(table) == len(plan.strokes)
    assert table["stroke"].tolist() == list(range(1, len(plan.strokes) + 1))
    np.testing.assert_allclose(table["wall_x_mm"], plan.strokes.starts[:, 0], atol=0.051)
    assert table["drawing_s"].sum() == pytest.approx(sum(p.drawing_s for p in plan.estimate.per_pen), rel=1e-3)
    assert set(table["pen"]) == {1, 2, 3, 4}


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
    hours = (plan.estimate.total_s + plan.estimate.changing_s) / 3600
    assert plan.estimate.energy_wh == pytest.approx(supply_power(document.machine) * hours)
    assert energy(document.machine, 3600.0) == pytest.approx(20.0)  # common practice, no source: 20 W at 0.6 A
