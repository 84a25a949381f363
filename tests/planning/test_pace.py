"""A pen that all but stands, and a job of months, are bad; and no line of a file is slower than the least speed."""

import dataclasses
import re

import numpy as np
import pytest

from tests.support.jobs import document_of, exported
from tests.support.rough import rough_stroke
from wallwright.document.document import Document
from wallwright.document.edits import set_field
from wallwright.jobs.checks import Verdict
from wallwright.motion.estimate import estimate
from wallwright.motion.path_constraints import LEAST_SPEED
from wallwright.motion.planner import plan_motion
from wallwright.planning.check_context import CheckContext
from wallwright.planning.motion_checks import MOST_HOURS, one_speed, pace
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.pose import inverse_kinematics
from wallwright.strokes.strokes import Strokes

RETRACED = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">'
    b'<path d="M0 0L60 60L59.8 59.8L60 60L60 20L60 20.0001L60 20L20 40L20.001 40L90 10" fill="none" stroke="#202020"'
    b' stroke-width="0.1"/></svg>'
)


def looked_at(document: Document, lengthen=lambda time: time) -> CheckContext:
    place = document.hangings[0]
    rig = CableRobotModel.of(document.machine, place)
    strokes = Strokes.pack([rough_stroke(3), rough_stroke(8)], 0)
    motion = plan_motion(document, 0, rig, strokes)
    motion = dataclasses.replace(motion, time=lengthen(motion.time))
    start_point = inverse_kinematics(rig, np.array([place.start_point]))
    return CheckContext(document, place, rig, start_point, None, None, strokes, motion, estimate(document, motion))


def test_an_ordinary_job_continues_everywhere():
    (check,) = pace(looked_at(Document()))
    assert check.verdict is Verdict.OK


@pytest.mark.parametrize("more", [200.0, 1e8])
def test_a_place_where_the_pen_stands_is_bad_and_is_shown(more):
    at = []

    def lengthen(time):
        at.append(len(time) // 2)
        return time + np.where(np.arange(len(time)) > at[0], more, 0.0)

    looked = looked_at(Document(), lengthen)
    check = pace(looked)[0]
    assert check.verdict is Verdict.ERROR
    np.testing.assert_allclose(check.place[:2], looked.motion.pen_xy[at[0]], atol=5.0)
    assert f"{more:.0f}"[:1] in check.text


def test_a_job_of_months_is_bad():
    looked = looked_at(Document())
    long = dataclasses.replace(looked.estimate, total_s=3601 * MOST_HOURS)
    assert [c.verdict for c in pace(dataclasses.replace(looked, estimate=long))] == [Verdict.ERROR]


def test_a_pen_of_hardly_any_speed_is_bad():
    check, *_ = pace(looked_at(set_field(Document(), "pens.0.speed", 1e-300)))
    assert check.verdict is Verdict.ERROR and "1e-300" in check.text


def test_corners_that_one_speed_cannot_keep_are_a_warning():
    document = set_field(Document(), "machine.controller.pacing", "constant")
    assert one_speed(looked_at(document))[0].verdict is Verdict.OK
    assert (
        one_speed(looked_at(set_field(document, "machine.limits.corner_tolerance", 0.0)))[0].verdict is Verdict.WARNING
    )


@pytest.mark.parametrize("pacing", ["accelerating", "constant"])
@pytest.mark.parametrize("tolerance", [0.1, 0.0])
def test_no_line_of_a_file_is_slower_than_the_least_speed(pacing, tolerance, tmp_path):
    """Plane coordinates are the wall's but for a few parts in a hundred."""
    document = document_of(RETRACED)
    document = set_field(document, "machine.controller.pacing", pacing)
    document = set_field(document, "machine.limits.corner_tolerance", tolerance)
    files, _ = exported(document, tmp_path)
    down, slowest = False, np.inf
    for line in files["plane.ngc"].read_text().splitlines():
        if line.startswith("G0 Z"):
            down = float(line[4:]) <= document.machine.lift.down
        feed = re.search(r" F([0-9.]+)$", line)
        if down and feed:
            slowest = min(slowest, float(feed[1]))
    assert 60 * LEAST_SPEED * 0.9 <= slowest < np.inf
