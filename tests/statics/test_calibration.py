"""Calibration: machines with hidden numbers, simulated by MuJoCo, are found again from tape readings."""

import msgspec
import numpy as np
import pytest

from tests.support.hanging_body import HangingBody
from wallwright.document.calibration import LEFT, RIGHT, Mark, Survey, TapeReading
from wallwright.document.document import Document
from wallwright.document.errors import BadValue
from wallwright.document.machine import Belt
from wallwright.statics.cable_robot import GRAVITY, CableRobotModel
from wallwright.statics.calibration.expected_error import expected_error, valid_calibration
from wallwright.statics.calibration.figure_proposal import FIGURES, propose_figure
from wallwright.statics.calibration.fit import fit_calibration
from wallwright.statics.calibration.measurement_model import Readings
from wallwright.statics.calibration.parameters import parameters_of, read_all, write_all
from wallwright.statics.calibration.report_text import changes, remarks
from wallwright.statics.controller_kinematics import belts_to_controller, controller_to_belts
from wallwright.statics.pose import inverse_kinematics
from wallwright.statics.straight_belts import straight_belts

replace = msgspec.structs.replace
DOCUMENT = Document()
# MuJoCo's belts have no weight here; chains of links are compared elsewhere.
MACHINE = replace(DOCUMENT.machine, belt=Belt(mass=0.0))
HANGING = DOCUMENT.hangings[0]
BOX = (500.0, 400.0, 1500.0, 1400.0)
TAPE = 0.5
AREA = np.stack(np.meshgrid(np.linspace(500, 1500, 4), np.linspace(400, 1400, 4)), axis=2).reshape(-1, 2)


class Truth:
    """A real machine: what it is, and where it puts the pen when its controller counts belts. Simulated by MuJoCo."""

    def __init__(self, rng: np.random.Generator) -> None:
        wide, narrow = rng.normal(0, 8, 4), rng.normal(0, 1.5, 4)
        self.right = (2000 + wide[0], wide[1])
        self.offsets, self.pitch = wide[2:], 1 + rng.normal(0, 0.0015)
        exits = np.array(MACHINE.body.left_exit + MACHINE.body.right_exit) + narrow
        self.centre = (rng.normal(0, 3), 20 + rng.normal(0, 8))
        self.mass, self.stiffness = 0.75 + rng.normal(0, 0.015), 10_000 * np.exp(rng.normal(0, 0.2))
        self.exits = ((exits[0], exits[1]), (exits[2], exits[3]))
        self.body = HangingBody(((0.0, 0.0), self.right), self.exits, self.centre, self.mass, self.stiffness)

    def pens(self, counts: np.ndarray, near: np.ndarray) -> np.ndarray:
        found = []
        for count, guess in zip(counts, near, strict=True):
            found.append(self.body.settle(count * self.pitch + self.offsets, guess + [0.0, 120.0])[0])
        return np.array(found)

    @property
    def values(self) -> dict[str, float]:
        (lx, ly), (rx, ry) = self.exits
        return {
            "right anchor x": self.right[0],
            "right anchor y": self.right[1],
            "left belt": self.offsets[0],
            "right belt": self.offsets[1],
            "pitch": 2 * self.pitch,
            "left exit x": lx,
            "left exit y": ly,
            "right exit x": rx,
            "right exit y": ry,
            "centre x": self.centre[0],
            "centre y": self.centre[1],
            "weight": self.mass * GRAVITY,
            "softness": 1 / self.stiffness,
        }


def surveyed(truth: Truth, figure: str, rng: np.random.Generator) -> Survey:
    proposal = propose_figure(MACHINE, HANGING, DOCUMENT.wall, BOX, figure)
    counts = np.array([(m.left, m.right) for m in proposal.marks])
    marks = truth.pens(counts, np.array([(m.x, m.y) for m in proposal.marks]))
    points = np.vstack([marks, [(0.0, 0.0), truth.right]])
    true = Readings.of(proposal.marks, proposal.measures).predicted(points)
    read = true + rng.normal(0, TAPE, len(true))
    measures = tuple(replace(m, value=float(v), uncertainty=TAPE) for m, v in zip(proposal.measures, read, strict=True))
    return Survey(figure, proposal.marks, measures)


def off(pens: np.ndarray) -> np.ndarray:
    return np.hypot(*(pens - AREA).T)


@pytest.mark.parametrize("count", [12, pytest.param(50, marks=[pytest.mark.slow, pytest.mark.timeout(600)])])
def test_hidden_machines_are_found_again(count):
    """Many machines, a grid of crosses, readings with 0.5 mm noise: the drawing error over a 1 m square is below 1 mm, and
    stated uncertainties hold at their rate (two standard uncertainties: about 95 %, JCGM 100:2008)."""
    before, after, simple, covered, stated, inside = [], [], [], [], [], []
    for seed in range(count):
        rng = np.random.default_rng(seed)
        truth = Truth(rng)
        outcome = fit_calibration(MACHINE, HANGING, surveyed(truth, "grid", rng))
        assert not outcome.slips

        def drawn(machine, hanging, truth=truth):
            pose = inverse_kinematics(CableRobotModel.of(machine, hanging), AREA)
            return off(truth.pens(belts_to_controller(machine, hanging, "belts", pose.belts), AREA)), pose

        before.append(np.sqrt((drawn(MACHINE, HANGING)[0] ** 2).mean()))
        error, pose = drawn(outcome.machine, outcome.hanging)
        after.append(np.sqrt((error**2).mean()))
        flat = straight_belts(((0.0, 0.0), (2000.0, 0.0)), np.vstack([AREA, [HANGING.start_point]]))
        zeroed = (
            flat[:-1]
            - flat[-1]
            + inverse_kinematics(CableRobotModel.of(MACHINE, HANGING), np.array([HANGING.start_point])).belts
        )
        simple.append(np.sqrt((off(truth.pens(zeroed, AREA)) ** 2).mean()))
        left = expected_error(outcome.machine, outcome.hanging, pose, with_drag=False)
        covered.extend(error <= 2 * left.by_point)
        stated.append(left.typical)
        for f in outcome.parameters:
            inside.append(abs(f.value - truth.values[f.parameter.name]) <= 2 * f.uncertainty)
    print(
        f"\nroot mean square error over 1 m, median of {count} hidden machines: simple formula {np.median(simple):.1f} mm, "
        f"corrected {np.median(before):.1f} mm, calibrated {np.median(after):.2f} mm (stated ± {np.median(stated):.1f} mm); "
        f"pens inside the stated ±: {np.mean(covered):.0%}, parameters: {np.mean(inside):.0%}"
    )
    assert np.median(after) < 1.0
    assert np.median(before) > 5.0, "there was something to find"
    assert np.mean(covered) > 0.93
    assert 0.92 < np.mean(inside) <= 1.0


def test_few_readings_already_help():
    rng = np.random.default_rng(7)
    truth = Truth(rng)
    survey = surveyed(truth, "few", rng)
    three = replace(survey, measures=survey.measures[:3])
    outcome = fit_calibration(MACHINE, HANGING, three)
    assert sum(not f.held for f in outcome.parameters) == 3
    assert any("3 values were fitted" in text for text in remarks(outcome, three))

    def error(machine, hanging):
        pose = inverse_kinematics(CableRobotModel.of(machine, hanging), AREA)
        return float(
            np.sqrt((off(truth.pens(belts_to_controller(machine, hanging, "belts", pose.belts), AREA)) ** 2).mean())
        )

    start = error(MACHINE, HANGING)
    assert error(outcome.machine, outcome.hanging) < start
    every = fit_calibration(MACHINE, HANGING, survey)
    assert error(every.machine, every.hanging) < 0.3 * start
    with pytest.raises(BadValue, match="too few"):
        fit_calibration(MACHINE, HANGING, replace(survey, measures=survey.measures[:2]))


def test_a_slip_of_the_tape_is_named_and_does_no_harm():
    rng = np.random.default_rng(3)
    truth = Truth(rng)
    good = surveyed(truth, "grid", rng)
    k = next(i for i, m in enumerate(good.measures) if m.kind == "distance" and LEFT not in (m.a, m.b))
    bad = replace(good.measures[k], value=good.measures[k].value + 14.0)
    survey = replace(good, measures=(*good.measures[:k], bad, *good.measures[k + 1 :]))
    outcome = fit_calibration(MACHINE, HANGING, survey)
    assert [s.measure for s in outcome.slips] == [k]
    assert abs(outcome.slips[0].disagreement + 14) < 3
    assert remarks(outcome, survey)[0].startswith(f"{bad.a} to {bad.b} differs by 1")
    clean = fit_calibration(MACHINE, HANGING, good)
    names = ("right anchor x", "right anchor y")
    for a, b in zip(outcome.parameters, clean.parameters, strict=True):
        if a.parameter.name in names:
            assert abs(a.value - b.value) < 1.0


def test_readings_that_tell_nothing_keep_the_profile():
    """A reading between the anchors alone tells their distance and nothing else."""
    mark = Mark(
        "A",
        1000.0,
        800.0,
        *map(
            float,
            inverse_kinematics(CableRobotModel.of(MACHINE, HANGING), np.array([[1000.0, 800.0]])).belts[0],
        ),
    )
    measures = tuple(TapeReading("distance", LEFT, RIGHT, value, 0.5) for value in (2004.0, 2004.4, 2003.6))
    outcome = fit_calibration(MACHINE, HANGING, Survey("square", (mark,), measures))
    by_name = {f.parameter.name: f for f in outcome.parameters}
    assert by_name["right anchor x"].value == pytest.approx(2004.0, abs=0.05)
    assert by_name["right anchor x"].uncertainty == pytest.approx(0.5 / np.sqrt(3), rel=0.01)
    assert by_name["centre y"].uncertainty_reduction < 1e-6 and by_name["centre y"].value == 20.0
    assert (
        sum("cannot be found" in row[3] or "too few" in row[3] for row in changes(outcome))
        == len(outcome.parameters) - 1
    )


def test_more_is_expected_where_less_was_read():
    outcome = fit_calibration(
        MACHINE, HANGING, surveyed(Truth(np.random.default_rng(1)), "square", np.random.default_rng(1))
    )
    rows = changes(outcome)
    assert all(before == after for _, before, after, known in rows if "cannot be found" in known or "too few" in known)
    assert any(before != after and "hardly better known" in known for _, before, after, known in rows)
    rig = CableRobotModel.of(outcome.machine, outcome.hanging)
    inside = expected_error(outcome.machine, outcome.hanging, inverse_kinematics(rig, AREA))
    outside = expected_error(outcome.machine, outcome.hanging, inverse_kinematics(rig, np.array([[500.0, 1700.0]])))
    assert inside.calibrated and outside.typical > inside.typical
    moved = replace(outcome.hanging, right=replace(outcome.hanging.right, x=outcome.hanging.right.x + 5))
    assert valid_calibration(outcome.machine, outcome.hanging) and valid_calibration(outcome.machine, moved) is None
    assert not expected_error(outcome.machine, moved, inverse_kinematics(rig, AREA)).calibrated


@pytest.mark.parametrize("figure", FIGURES)
def test_proposals_expect_less_with_every_reading(figure):
    proposal = propose_figure(MACHINE, HANGING, DOCUMENT.wall, BOX, figure)
    assert len({m.name for m in proposal.marks}) == len(proposal.marks)
    assert np.all(np.diff(proposal.expected) < 1e-9) and proposal.expected[-1] < proposal.expected[0] / 5
    Readings.of(proposal.marks, proposal.measures)
    with pytest.raises(BadValue, match="draw zone"):
        propose_figure(MACHINE, HANGING, DOCUMENT.wall, (0.0, 0.0, 1000.0, 1000.0), figure)


def test_writing_the_pitch_keeps_the_controllers_steps():
    parameters = parameters_of(MACHINE)
    values = read_all(parameters, MACHINE, HANGING)
    assert write_all(parameters, values, MACHINE, HANGING) == (MACHINE, HANGING)
    pitch = [p.name for p in parameters].index("pitch")
    values[pitch] *= 1.01
    machine, hanging = write_all(parameters, values, MACHINE, HANGING)
    counted = np.array([[1000.0, 1200.0]])
    assert controller_to_belts(machine, hanging, "belts", counted) == pytest.approx(counted * 1.01)
    assert belts_to_controller(machine, hanging, "belts", counted * 1.01) == pytest.approx(counted)


def test_derivatives_of_readings_against_differences():
    from wallwright.statics.calibration.measurement_model import drawn

    parameters = parameters_of(MACHINE)
    proposal = propose_figure(MACHINE, HANGING, DOCUMENT.wall, BOX, "square")
    counts = np.array([(m.left, m.right) for m in proposal.marks])
    meant = np.array([(m.x, m.y) for m in proposal.marks])
    readings = Readings.of(proposal.marks, proposal.measures)
    values = read_all(parameters, MACHINE, HANGING)
    at = drawn(MACHINE, HANGING, parameters, values, counts, meant)
    exact = readings.derivatives(at.points, at.moves)
    for k, parameter in enumerate(parameters):
        step = np.zeros(len(values))
        step[k] = 1e-3 * parameter.prior(MACHINE)
        high, low = (
            readings.predicted(drawn(MACHINE, HANGING, parameters, values + s, counts, meant).points)
            for s in (step, -step)
        )
        assert (high - low) / (2 * step[k]) == pytest.approx(
            exact[:, k], rel=1e-4, abs=1e-5 * np.abs(exact[:, k]).max()
        )


def test_unknown_marks_are_named():
    mark = Mark("A", 0.0, 0.0, 1.0, 1.0)
    for a, b, words in (("A", "Q", "“Q” is not a cross"), ("A", "A", "to itself")):
        with pytest.raises(BadValue, match=words):
            Readings.of((mark,), (TapeReading("distance", a, b, 5.0),))
