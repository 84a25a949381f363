"""Machines of which nobody knows page, formula, steps, belt zero and physics, after the proof drawing and twenty readings."""

import numpy as np
import pytest

from tests.support.hidden_machines import after_proof, calibrated, drawn, hidden_machine
from wallwright.document import edits
from wallwright.document.calibration import LEFT, RIGHT, FormulaRemainder
from wallwright.document.controller import Controller
from wallwright.document.document import Document
from wallwright.document.drawing_page import DrawingPage
from wallwright.document.errors import BadValue
from wallwright.jobs.drawing_layout import page_area
from wallwright.planning.calibration_figure import proposal_for
from wallwright.planning.proof_drawing import proof_document, proof_figure_for, proof_lines, proof_result
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.calibration.drawing_fit import fit_survey
from wallwright.statics.calibration.error_maps import error_maps
from wallwright.statics.calibration.figure_proposal import moved_into
from wallwright.statics.calibration.proof import page_size, proof_figure, proof_sentences
from wallwright.statics.calibration.report_text import remarks
from wallwright.statics.controller_kinematics import belts_to_controller, controller_to_belts, typed_distance
from wallwright.statics.formula_remainder import displacement, with_remainder, without_remainder
from wallwright.statics.pose import inverse_kinematics

TAKING = Controller(takes="drawing", pacing="constant", page=DrawingPage(is_known=False))


@pytest.mark.parametrize("seed", [37, 44])
def test_a_hidden_machine_draws_true(seed, capsys):
    """One that draws upside down at typed numbers, and one that fits drawings into an unknown area. The whole of
    fifty is a benchmark (tests/benchmarks/bench_hidden_machines.py)."""
    hidden = hidden_machine(seed)
    document = after_proof(hidden)
    outcome = calibrated(hidden, document, side=4)
    fit, before = outcome.fit, document.hangings[0]
    assert fit.hanging.right != before.right
    assert typed_distance(fit.machine, fit.hanging) == typed_distance(document.machine, before), (
        "found with this number"
    )
    with capsys.disabled():
        print(
            f"\nhidden machine {seed} ({hidden.machine.kind}): {np.median(outcome.before):.1f} mm off after the proof, "
            f"{np.median(outcome.errors):.2f} after calibration; stated {np.median(outcome.stated):.1f}"
        )
    assert np.median(outcome.errors) < 1.0
    assert (outcome.errors <= outcome.stated).mean() >= 0.9
    # What the result page says of the time before is what the simulated machine drew then.
    maps = error_maps(document.wall, document.machine, edits.replace(before, survey=outcome.survey), fit)
    points = np.array([[m.x, m.y] for m in outcome.survey.marks])
    low, high = points.min(axis=0), points.max(axis=0)
    inside = maps.moved[np.ix_((maps.y >= low[1]) & (maps.y <= high[1]), (maps.x >= low[0]) & (maps.x <= high[0]))]
    assert np.nanmedian(inside) == pytest.approx(np.median(outcome.before), rel=0.1, abs=0.5)
    assert np.nanmedian(maps.after) < 0.5 * np.nanmedian(maps.before), "the same figure before and after"


def test_readings_from_plumb_lines_tell_the_place_and_marks_keep_to_the_page():
    document = after_proof(hidden_machine(44))
    place, machine = document.hangings[0], document.machine
    proposal = proposal_for(document, 0, "grid")
    plumb = [m for m in proposal.measures if m.kind == "across" and {m.a, m.b} & {LEFT, RIGHT}]
    assert plumb and all(100 < m.value < 1200 for m in plumb)
    left, top, right, bottom = page_area(machine, place, document.wall)
    belts = inverse_kinematics(CableRobotModel.of(machine, place), np.array([[m.x, m.y] for m in proposal.marks])).belts
    plane = belts_to_controller(machine, place, "plane", belts)
    assert (plane > [left + 24, top + 24]).all() and (plane < [right - 24, bottom - 24]).all(), "letters have room"


@pytest.mark.parametrize("place", [(900.0, 700.0), (300.0, -50.0), (4000.0, 100.0)])
def test_a_box_is_moved_into_another(place):
    x, y = place
    box = moved_into((x, y, x + 500.0, y + 300.0), (0.0, 0.0, 2000.0, 200.0))
    assert box[0] >= 0 and box[1] == 0 and box[2] <= 2000 and box[3] == 200
    assert box[2] - box[0] == 500


def test_what_lies_outside_the_model_is_compensated_or_reported():
    hidden = hidden_machine(1002, outside=True)
    outcome = calibrated(hidden, after_proof(hidden), side=4)
    assert outcome.fit.remainder, "no formula holds it"
    assert outcome.fit.spread > 1.5 or (outcome.errors <= outcome.stated).mean() >= 0.8
    assert np.median(outcome.errors) < 0.3 * np.median(outcome.before)


def readings_of(page: DrawingPage, unit: str, is_up: bool, per_inch: float = 96.0):
    """Four exact tape readings of the proof drawing by a machine that reads another unit, or draws upside down."""
    hidden = hidden_machine(4)
    machine = edits.replace(hidden.document.machine, controller=edits.replace(TAKING, page=page))
    document = edits.replace(hidden.document, machine=machine)
    hidden.machine.kind, hidden.machine.unit, hidden.machine.is_up = "ink", unit, is_up
    hidden.machine.offset, hidden.machine.per_inch = (0.0, 0.0), per_inch
    figure = proof_figure(machine, document.hangings[0], document.wall)
    lines = drawn(hidden, document, proof_lines(figure))
    crosses = [lines[0].mean(axis=0), lines[2].mean(axis=0)]
    tape = tuple(float(np.hypot(*(cross - anchor))) for cross in crosses for anchor in np.array(hidden.anchors))
    return document, proof_result(document, 0, tape)


@pytest.mark.parametrize(("unit", "is_up", "axes"), [("px", False, "right-down"), ("user", True, "right-up")])
def test_the_proof_tells_unit_and_directions(unit, is_up, axes):
    page = DrawingPage(is_known=False, asks=("distance", "left", "top"))
    document, found = readings_of(page, unit, is_up)
    corrected = found.machine.controller.page
    assert (corrected.unit, corrected.axes) == ("px" if unit == "px" else "mm", axes)
    assert corrected.is_known and corrected.scale == 1.0
    sentences = " ".join(proof_sentences(document.machine.controller.page, found))
    assert ("pixels of 1/96 inch" in sentences) == (unit == "px") and ("mirrored" in sentences) == is_up
    assert ("Calibrate before" in sentences) == (unit == "px")


@pytest.mark.parametrize("per_inch", [96.0, 90.0, 72.0, 254.0])
def test_the_proof_finds_pixels_of_any_size(per_inch):
    """90 to the inch: SVG 1.1, 7.10; 72: a point (CSS Values and Units 3, 5.2); 254: tenths of a mm, which are no pixels."""
    page = DrawingPage(is_known=False, asks=("distance", "left", "top"))
    _, found = readings_of(page, "px", False, per_inch)
    corrected = found.machine.controller.page
    if per_inch == 254.0:
        assert not found.numbers and corrected.scale == pytest.approx(0.1, rel=0.06)
    else:
        assert corrected.number_mm == pytest.approx(25.4 / per_inch, rel=1e-9)
        assert found.numbers == f"pixels of 1/{per_inch:g} inch"
        assert ("1/9" in found.or_numbers) == (per_inch > 80)


@pytest.mark.parametrize(("scale", "first"), [(1.0, "96"), (1.03, "96"), (1.045, "96"), (1.06, "90"), (0.98, "96")])
def test_a_size_between_two_pixels_is_rather_that_of_today(scale, first):
    """Size over that of a pixel of 1/96 inch: one of 1/90 inch is 1.067 times as large."""
    page = DrawingPage(is_known=False, asks=("distance", "left", "top"))
    size, other = page_size(page, scale * 25.4 / 96)
    assert size.numbers == f"pixels of 1/{first} inch"
    assert other is not None and {size.numbers, other.numbers} == {"pixels of 1/96 inch", "pixels of 1/90 inch"}


def test_a_size_that_the_page_gives_is_no_unit():
    """A page that fits drawings into what is 0.27 times the anchors' distance does not read pixels."""
    page = DrawingPage(is_known=False, asks=("distance",), placing="anchors")
    machine = edits.replace(Document().machine, controller=edits.replace(TAKING, page=page))
    document = edits.replace(Document(), machine=machine)
    figure = proof_figure_for(document, 0)
    place = document.hangings[0]
    left = np.array([place.left.x, place.left.y])
    crosses = np.array([figure.first, figure.second])
    crosses = left + 0.27 * (crosses - left) + [700.0, 500.0]
    anchors = np.array([[place.left.x, place.left.y], [place.right.x, place.right.y]])
    tape = tuple(float(np.hypot(*(cross - anchor))) for cross in crosses for anchor in anchors)
    found = proof_result(document, 0, tape)
    assert found.machine.controller.page.unit == page.unit and not found.numbers
    assert found.machine.controller.page.scale == pytest.approx(0.27, rel=0.1)


def test_calibration_finds_the_size_of_a_pixel():
    """The exits that the formula sets apart change the size by six hundredths, and so does the pixel: readings decide."""
    hidden = hidden_machine(38)
    hidden.machine.unit, hidden.machine.per_inch = "px", 90.0
    document = after_proof(hidden)
    proof = document.machine.controller.page
    outcome = calibrated(hidden, edits.with_field(document, "machine.controller.page.scale", 1.0), side=3)
    assert proof.unit == "px"
    page = outcome.fit.machine.controller.page
    assert page.number_mm == pytest.approx(25.4 / 90, rel=1e-9), "not the 96 that it began with"
    assert any("1/90 inch" in text for text in remarks(outcome.fit, outcome.survey))
    assert np.median(outcome.errors) < 1.0 and (outcome.errors <= outcome.stated).mean() >= 0.9
    # Fitted again from what was found, the same readings give the same.
    again = fit_survey(outcome.fit.machine, outcome.fit.hanging, outcome.survey)
    assert again.machine.controller.page.number_mm == pytest.approx(page.number_mm, rel=1e-9)


def test_readings_that_cannot_be_are_refused():
    document = edits.replace(Document(), machine=edits.replace(Document().machine, controller=TAKING))
    with pytest.raises(BadValue, match="No place has these distances"):
        proof_result(document, 0, (100.0, 100.0, 900.0, 900.0))
    with pytest.raises(BadValue, match="one place"):
        proof_result(document, 0, (1200.0, 1200.0, 1200.0, 1200.0))
    with pytest.raises(BadValue, match="machines that take drawings"):
        proof_document(Document(), 0)


def test_a_remainder_goes_both_ways():
    remainder = FormulaRemainder((1000.0, 800.0), 500.0, (8.0, -3.0, 2.0, 5.0, 0.0, -4.0, 1.0), (1.0,) * 7)
    rng = np.random.default_rng(5)
    points = rng.uniform((300.0, 200.0), (1700.0, 1500.0), (200, 2))
    assert np.abs(without_remainder(remainder, with_remainder(remainder, points)) - points).max() < 1e-6
    assert np.abs(displacement(remainder, points)).max() <= 24.0
    document = edits.replace(Document(), machine=edits.replace(Document().machine, controller=TAKING))
    hanging = edits.replace(document.hangings[0], remainder=remainder)
    belts = controller_to_belts(document.machine, hanging, "plane", points)
    assert np.abs(belts_to_controller(document.machine, hanging, "plane", belts) - points).max() < 1e-6
