"""The check of what pushes the pen, and fill lines in one direction."""

import numpy as np
import pytest

from tests.support.jobs import document_of, planned, planned_job
from wallwright.document import edits
from wallwright.document.document import Pen
from wallwright.jobs.checks import Remedy, Verdict
from wallwright.statics.cable_robot import GRAVITY
from wallwright.statics.outer_force import outer_force
from wallwright.statics.pose import inverse_kinematics

ART = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="80mm" viewBox="0 0 80 80">'
    b'<path d="M0 0H80V80H0Z" fill="#202020"/></svg>'
)


def drawn(**body):
    document = document_of(ART, (80.0, 80.0), (800.0, 1150.0), 80.0, fill="hatch")
    return edits.replace(
        document, machine=edits.replace(document.machine, body=edits.replace(document.machine.body, **body))
    )


def check_of(document):
    return next(c for c in planned(document).plan.checks if c.id == "pushes")


def test_unmeasured_friction_comes_first_and_says_how_to_measure_it():
    found = check_of(drawn())
    assert found.verdict is Verdict.NOTE
    assert found.text.index("pen friction (0.2 N)") < found.text.index("pull of the cable (0.1 N)")
    assert "“Pens › Measure pens › Friction”" in found.text and "min longer" in found.text
    assert found.remedies == (Remedy.MEASURE_FRICTION, Remedy.FILL_ONE_WAY)


def test_friction_that_is_known_roughly_asks_for_fill_lines_in_one_direction():
    document = drawn(cable_pull=0.01)
    pens = [edits.replace(document.pens[0], drag=0.4, drag_uncertainty=sure) for sure in (0.08, 0.005)]
    roughly, well = (check_of(edits.replace(document, pens=(pen,))) for pen in pens)
    assert roughly.verdict is Verdict.NOTE and "too roughly" in roughly.text
    assert roughly.remedies == (Remedy.FILL_ONE_WAY,)
    assert well.verdict is Verdict.OK and not well.remedies


def test_measured_pushes_leave_their_uncertainty():
    document = drawn(cable_pull=0.1)
    pen = edits.replace(document.pens[0], drag=0.2, drag_uncertainty=0.01)
    found = check_of(edits.replace(document, pens=(pen,)))
    assert found.verdict is Verdict.OK and "Measure" not in found.text


def test_fill_lines_in_one_direction():
    document = drawn()
    document = edits.set_field(document, "settings.order.fill_lines", "one-way")
    strokes = planned(document).plan.strokes
    way = (strokes.ends - strokes.starts)[strokes.is_fill]
    assert len(way) > 5 and (way[:, 0] > 0).all()
    assert "min longer" not in check_of(document).text


def test_a_heavier_pen_weighs_on_its_belts():
    """20 g more with the second pen: belts of its strokes are those of the body pushed down at the pen."""
    document = drawn()
    pens = (document.pens[0], Pen("red", "Red", "#c02020", 1.0, extra_mass=20.0))
    svg = ART.replace(b"#202020", b"#c02020")
    document = edits.replace(document, pens=pens)
    document = edits.add_artwork(document, "b.svg", "image/svg+xml", svg, (80.0, 80.0), (1200.0, 1150.0), 80.0)[0]
    job = planned_job(document)
    weight = np.array([0.0, 0.02 * GRAVITY])
    of = np.zeros(len(job.motion.down), dtype=int)
    for block in job.motion.blocks:
        of[block.first_run : block.last_run] = block.pen
    pen = np.repeat(of, np.diff(job.motion.runs))
    rests = job.motion.takes_up | np.concatenate([[False], job.motion.takes_up[:-1]])
    assert set(of.tolist()) == {0, 1}
    exact = inverse_kinematics(job.rig, job.motion.pen_xy, outer_force(np.where(pen[:, None] == 1, weight, 0.0))).belts
    off = np.abs(job.motion.belts - exact)[~rests]
    assert off.max() < 0.022
    plain = inverse_kinematics(job.rig, job.motion.pen_xy).belts
    assert np.abs(job.motion.belts - plain)[pen == 1].max() > 0.05
    np.testing.assert_allclose(
        job.motion.load[~rests & (pen == 1), :2], np.tile(weight, (int((~rests & (pen == 1)).sum()), 1))
    )


@pytest.mark.parametrize("number", ["machine.body.cable_pull", "machine.belt.creep", "machine.belt.expansion"])
def test_new_numbers_can_be_typed(number):
    document = edits.set_field(drawn(), number, 0.005)
    assert planned(document).plan.checks
