"""Belts that lead the body: MuJoCo moves it by the planned belts, off by less than what is allowed."""

import numpy as np
import pytest

from tests.support.drag_trials import DAMPING, STEP, document_with
from tests.support.dragged_body import DraggedBody
from tests.support.jobs import planned_job
from wallwright.jobs.job import Job
from wallwright.motion.friction import take_up_ends
from wallwright.motion.lead_along import lead_accelerations
from wallwright.motion.trajectory import sample_at
from wallwright.statics.outer_force import outer_force
from wallwright.statics.pose import inverse_kinematics
from wallwright.statics.swing_modes import inertia_of

PLACE = (1000.0, 900.0)
LINE = "M-30-5H30"


@pytest.fixture(scope="module")
def bounded() -> Job:
    return planned_job(document_with(LINE, PLACE, 0.0, swing=0.3))


def farthest(job: Job, inertia: float) -> float:
    """mm that the judge's pen is off the plan while it draws; its inertia is so many times that of the plan."""
    motion, rig, machine = job.motion, job.rig, job.document.machine
    run = int(np.flatnonzero(motion.down)[0])
    begin, end = motion.time[motion.runs[run]], motion.time[motion.runs[run + 1] - 1]
    time = np.arange(begin, end, STEP)
    plan = sample_at(motion, time)
    own = inertia_of(machine.body) * 1e-6 * inertia
    body = DraggedBody(
        rig.anchors, rig.exits, rig.centre, machine.body.mass, rig.stiffness, 0.0, own, DAMPING / inertia
    )
    first = inverse_kinematics(rig, plan.pen_xy[:1])
    off = np.zeros_like(plan.down)
    pens = body.replay(time, plan.belts, off, plan.pen_xy[0], float(first.tilt[0]), every=4)
    return float(np.hypot(*(pens - plan.pen_xy[::4]).T).max())


@pytest.mark.parametrize("inertia", [1.0, 1.2, 0.8])
def test_the_bound_on_swing_holds_with_a_lead(bounded, inertia):
    """0.3 mm are allowed. Inertia and damping of the judge are off by a fifth; the body hangs at rest before."""
    assert bounded.motion.load[:, 2:].any()
    assert farthest(bounded, inertia) < 0.3 * 1.1


def test_belts_are_those_of_the_body_that_its_own_inertia_pushes(bounded):
    """At the mass centre, by at most one and a half times the largest acceleration; nowhere where the pen rests or is up."""
    motion, rig, machine = bounded.motion, bounded.rig, bounded.document.machine
    push = motion.load[:, 2:]
    most = 1.5 * machine.body.mass * machine.limits.acceleration / 1000
    assert 0.01 < np.hypot(*push.T).max() <= most * (1 + 1e-9)
    exact = inverse_kinematics(rig, motion.pen_xy, outer_force(push, rig.centre)).belts
    np.testing.assert_allclose(motion.belts, exact, atol=0.022)
    down = np.repeat(motion.down, np.diff(motion.runs))
    assert not push[~down].any() and not push[motion.runs[:-1]].any() and not push[motion.runs[1:] - 1].any()


def test_the_same_bound_costs_less_time(bounded):
    """Against a controller at whose files nothing leads: what its strokes take longer than without a bound is less than half."""

    def seconds(job: Job) -> float:
        runs = job.motion.time[job.motion.runs[1:] - 1] - job.motion.time[job.motion.runs[:-1]]
        return float(runs[job.motion.down].sum())

    free = seconds(planned_job(document_with(LINE, PLACE, 0.0, swing=1000.0)))
    import wallwright.motion.run_timing as run_timing

    def never(document) -> np.ndarray:
        return np.zeros(len(document.pens), dtype=bool)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(run_timing, "leading_pens", never)
        plain = seconds(planned_job(document_with(LINE.replace("30", "30.001"), PLACE, 0.0, swing=0.3)))
    assert seconds(bounded) - free < 0.5 * (plain - free)


def test_a_lead_is_the_mean_push_and_fades_beside_rests():
    """Even acceleration over 1 s, then even speed: half of the push where one turns into the other, none where it rests."""
    time = np.linspace(0.0, 2.0, 81)
    speed = np.where(time < 1.0, 30.0 * time, 30.0)
    way = np.concatenate([[0.0], np.cumsum((speed[1:] + speed[:-1]) / 2 * np.diff(time))])
    step = np.append(np.diff(way), 0.0)
    direction = np.tile([0.6, 0.8], (81, 1))
    direction[-1] = 0.0
    runs, which = np.array([0, 81]), np.ones(1, dtype=bool)
    lead = lead_accelerations(runs, which, step, np.zeros(81), direction, speed, 300.0, np.zeros(81))
    size = lead @ [0.6, 0.8]
    np.testing.assert_allclose(lead, size[:, None] * [0.6, 0.8], atol=1e-9)
    np.testing.assert_allclose(size[(time > 0.11) & (time < 0.94)], 30.0, rtol=1e-6)
    assert size[40] == pytest.approx(15.0, rel=1e-6) and size[0] == 0 and size[2] == pytest.approx(15.0, rel=0.01)
    np.testing.assert_allclose(size[time > 1.06], 0.0, atol=1e-9)


@pytest.mark.parametrize(("held", "left"), [(100.0, 30.0), (12.0, 12.0)])
def test_a_lead_lasts_until_friction_holds_the_pen(held, left):
    """Even braking over 1 s to a rest: the lead is that of the braking, or what friction holds where that is less."""
    time = np.linspace(0.0, 1.0, 41)
    speed = 30.0 * (1.0 - time)
    step = np.append((speed[1:] + speed[:-1]) / 2 * np.diff(time), 0.0)
    direction = np.tile([1.0, 0.0], (41, 1))
    direction[-1] = 0.0
    holds = np.zeros(41)
    holds[-1] = held
    runs, which = np.array([0, 41]), np.ones(1, dtype=bool)
    lead = lead_accelerations(runs, which, step, np.zeros(41), direction, speed, 300.0, holds)
    assert -lead[-1, 0] == pytest.approx(left, rel=1e-6)
    assert (-lead[1:, 0] > 0).all() and -lead[20, 0] == pytest.approx(30.0, rel=1e-6)


def test_belts_go_back_while_friction_holds_the_pen():
    """A square with corners: belts lead on arrival, do not after the take-up, and the pen does not swing in between."""
    job = planned_job(document_with("M-20-20H20V20", PLACE, 0.2))
    motion = job.motion
    begins, ends = take_up_ends(motion.takes_up)
    corner, path_goes_on = int(begins[1]), int(ends[1])
    size = np.hypot(*motion.load[corner : path_goes_on + 1, 2:].T)
    assert size[0] > 0.01 and size[-1] == 0 and (np.diff(size) <= 1e-12).all()
    assert size.max() <= 0.5 * 0.2 * (1 + 1e-9)
    np.testing.assert_allclose(motion.swing[corner : path_goes_on + 1], motion.swing[corner], atol=1e-9)
