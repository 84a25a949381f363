"""At what speed motors lose steps when nothing slows down: against the energy worked out by hand.

That the torque left over two full steps must take up the jump of speed is common practice, no source.
"""

import math

import numpy as np
import pytest

from tests.support.jobs import SQUARE, document_of, planned
from wallwright.document import edits
from wallwright.document.controller import Controller
from wallwright.document.drawing_page import DrawingPage
from wallwright.motion.lost_steps import fastest_kept, speed_jumps
from wallwright.motion.plots import belt_speed
from wallwright.statics.motor import available_pull


@pytest.fixture(scope="module")
def plan():
    svg = SQUARE.replace(b"M0 0H100V100H0Z", b"M10 50H90L10 60")
    controller = Controller(takes="drawing", pacing="constant", page=DrawingPage())
    document = document_of(svg, controller=controller)
    return document, planned(document).plan


def test_a_reversal_asks_twice_what_a_start_asks(plan):
    motion = plan[1].motion
    run = int(np.flatnonzero(motion.down)[0])
    first, last = int(motion.runs[run]), int(motion.runs[run + 1])
    jump = speed_jumps(motion)[first:last]
    turn = int(np.flatnonzero(motion.vertex[first:last])[1])
    unit = (motion.belts[first + 1] - motion.belts[first]) / (motion.time[first + 1] - motion.time[first])
    assert jump[0] == pytest.approx(np.abs(unit), rel=1e-6)
    # Level to and fro: each belt's speed changes its sign, and hardly its size.
    at = first + turn
    before = (motion.belts[at] - motion.belts[at - 1]) / (motion.time[at] - motion.time[at - 1])
    assert jump[turn] == pytest.approx(2 * np.abs(before), rel=0.15)


def test_the_factor_is_that_of_the_energy_in_two_full_steps(plan):
    document, found = plan
    machine, motion = document.machine, found.motion
    factor, worst = fastest_kept(motion, machine)
    way = 2 * machine.motor.teeth * machine.belt.pitch / machine.motor.steps / 1000
    pull = available_pull(machine, belt_speed(motion)[worst]) - motion.tension[worst]
    each = [
        math.sqrt(p * way / (0.5 * machine.body.mass * (v / 1000) ** 2)) if v else math.inf
        for p, v in zip(pull.tolist(), speed_jumps(motion)[worst].tolist(), strict=True)
    ]
    assert factor == pytest.approx(min(each))
    heavy = edits.replace(machine, body=edits.replace(machine.body, mass=4 * machine.body.mass))
    assert fastest_kept(motion, heavy)[0] == pytest.approx(factor / 2)
