"""The friction figure: the judge of where a dragged pen draws is MuJoCo, and distances are read to a third of a millimetre."""

import numpy as np
import pytest

from tests.support.hanging_body import HangingBody
from tests.support.jobs import document_of, planned_job
from wallwright.commands.main import main
from wallwright.document import edits
from wallwright.document.document import Document, Pen
from wallwright.document.errors import BadValue
from wallwright.document.machine import Belt
from wallwright.document.project import read_project, write_project
from wallwright.planning.demo import demo_document
from wallwright.planning.friction_figure import (
    DISTANCES,
    LENGTH,
    LINES,
    READING_SIGMA,
    SPACING,
    friction_figure,
    read_friction,
)

EMPTY = b'<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm" viewBox="0 0 9 9"><path d="M0 0H9" stroke="red"/></svg>'


@pytest.fixture(scope="module")
def document() -> Document:
    found = document_of(EMPTY, (9.0, 9.0), (1000.0, 900.0), 9.0, belt=Belt(mass=0.0))
    pens = (Pen("a", "A", "#202020", 1.0, drag=0.1), Pen("b", "B", "#c02020", 1.0))
    return edits.replace(found, pens=pens)


@pytest.fixture(scope="module")
def job(document):
    return planned_job(friction_figure(document, 0))


def combs(job, pen: int) -> list[np.ndarray]:
    """(LINES, 2, 2) mm of each comb of a pen: begin and end of its lines."""
    motion, found = job.motion, []
    for block in job.motion.blocks:
        if block.pen != pen:
            continue
        for run in range(block.first_run, block.last_run):
            path = motion.pen_xy[motion.runs[run] : motion.runs[run + 1]][
                motion.vertex[motion.runs[run] : motion.runs[run + 1]]
            ]
            if motion.down[run] and len(path) == 2 * LINES:
                found.append(path.reshape(LINES, 2, 2))
    return found


def test_each_pen_draws_two_combs_without_a_correction(job):
    assert not job.motion.load[:, :2].any()
    for pen in (0, 1):
        drawn = combs(job, pen)
        assert len(drawn) == 2
        ways = [comb[0, 1] - comb[0, 0] for comb in drawn]
        assert abs(ways[0] @ ways[1]) < 1e-3 * LENGTH**2  # at right angles
        for comb in drawn:
            way = comb[:, 1] - comb[:, 0]
            np.testing.assert_allclose(np.hypot(*way.T), LENGTH, atol=1e-3)
            np.testing.assert_allclose(way[1:], -way[:-1], atol=1e-3)  # to and fro


@pytest.mark.parametrize("drag", [0.1, 0.3])
def test_friction_is_read_from_the_distances(document, job, drag):
    """The judge's pen is pushed by its friction in the middle of three lines of each comb; what is read is within two
    stated uncertainties of the truth, nearly always, and without errors of reading next to it."""
    rig = job.rig
    body = HangingBody(rig.anchors, rig.exits, rig.centre, document.machine.body.mass, rig.stiffness)
    true = []
    for comb in combs(job, 1):
        across, way = [], comb[0, 1] - comb[0, 0]
        normal = np.array([-way[1], way[0]]) / LENGTH
        for line in comb[2:5]:
            middle, along = line.mean(axis=0), (line[1] - line[0]) / LENGTH
            k = int(np.argmin(np.hypot(*(job.motion.pen_xy - middle).T)))
            pen, _, _ = body.settle(job.motion.belts[k], middle, 0.0, push=-drag * along)
            rest, _, _ = body.settle(job.motion.belts[k], middle, 0.0)
            across.append((middle + pen - rest) @ normal)
        apart = np.abs(np.diff(across))
        assert np.ptp(apart) > 0.3  # friction shows
        true.append(np.tile(apart, DISTANCES // 2))
    random, inside = np.random.default_rng(3), 0
    for _ in range(12):
        read = [(comb + random.normal(0, READING_SIGMA, DISTANCES)).tolist() for comb in true]
        found = read_friction(document, 0, 1, (read[0], read[1])).pens[1]
        inside += abs(found.drag - drag) < 2 * found.drag_uncertainty
    assert inside >= 10 and found.drag_uncertainty < 0.05
    exact = read_friction(document, 0, 1, (true[0].tolist(), [])).pens[1]
    assert exact.drag == pytest.approx(drag, rel=0.02)


def test_readings_that_no_comb_has_are_refused(document):
    with pytest.raises(BadValue, match="at least one comb"):
        read_friction(document, 0, 0, ([], []))
    with pytest.raises(BadValue, match="read at least 2"):
        read_friction(document, 0, 0, ([10.0], []))
    with pytest.raises(BadValue, match="about 10 mm apart, not 100 mm"):
        read_friction(document, 0, 0, ([10.0, 100.0], []))


def test_an_even_comb_means_next_to_no_friction(document):
    found = read_friction(document, 0, 0, ([1.02 * SPACING] * DISTANCES, [SPACING] * DISTANCES)).pens[0]
    assert found.drag < 0.01


def test_by_command(document, tmp_path, capsys):
    project, figure = tmp_path / "p.wallwright", tmp_path / "f.wallwright"
    write_project(project, document)
    assert main(["pens", str(project), "--friction-figure", str(figure)]) == 0
    assert read_project(figure).purpose == "pen-friction"
    assert main(["pens", str(project), "--friction", "B=11.5,8.6,11.4,8.5/8.7,11.3", "--write"]) == 0
    assert 0.05 < read_project(project).pens[1].drag < 1.0
    assert main(["pens", str(project), "--friction", "B=11.5;8.6"]) != 0


def test_one_comb_of_the_typical_machine_tells_friction_to_a_twentieth_of_a_newton():
    """Where it is hung as in the demo. A usual marker has 0.2 N (common practice, no source)."""
    read = ([SPACING + 1.0, SPACING - 1.0] * (DISTANCES // 2), [])
    found = read_friction(demo_document(), 0, 0, read).pens[0]
    assert 0.1 < found.drag < 0.3 and found.drag_uncertainty < 0.05
