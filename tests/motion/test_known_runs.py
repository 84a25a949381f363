"""A motion planned with another one known: what did not change is the same, and all limits hold. The judge is the motion
planned from nothing."""

import msgspec
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wallwright.document.document import Document
from wallwright.document.edits import replace, set_field
from wallwright.motion import time_parameterization
from wallwright.motion.estimate import estimate
from wallwright.motion.plan import Motion
from wallwright.motion.planner import plan_motion, time_runs
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.strokes.strokes import Strokes

DOCUMENT = Document()
HANGING = DOCUMENT.hangings[0]
RIG = CableRobotModel.of(DOCUMENT.machine, HANGING)
FIELDS = ("pen_xy", "belts", "speed", "tension")


def strokes(seed: int, count: int) -> list[np.ndarray]:
    random = np.random.default_rng(seed)
    begin = np.array(HANGING.start_point) + random.uniform(-250, 250, (count, 1, 2))
    return list(begin + np.cumsum(random.uniform(-25, 25, (count, 4, 2)), axis=1))


def run_of(motion: Motion, run: int) -> list[np.ndarray]:
    here = slice(motion.runs[run], motion.runs[run + 1])
    return [getattr(motion, field)[here] for field in FIELDS]


def timed(lines: list[np.ndarray], known=None, document: Document = DOCUMENT):
    return time_runs(document, 0, RIG, Strokes.pack(lines, 0), known=known)


@given(st.integers(0, 10_000), st.integers(2, 30), st.integers(0, 4))
@settings(deadline=None, max_examples=6, derandomize=True)
def test_an_edited_drawing_moves_as_one_planned_from_nothing(seed, count, new):
    lines = strokes(seed, count)
    known = timed(lines)
    random = np.random.default_rng(seed)
    kept = np.flatnonzero(random.random(count) < 0.8)
    mixed = [lines[i] for i in kept] + strokes(seed + 1, new)
    mixed = [mixed[i] for i in random.permutation(len(mixed))]
    if not mixed:
        return
    again, fresh = timed(mixed, known).motion, timed(mixed).motion
    np.testing.assert_array_equal(again.runs, fresh.runs)
    np.testing.assert_allclose(again.pen_xy, fresh.pen_xy, atol=1e-9)
    np.testing.assert_allclose(again.belts, fresh.belts, atol=2e-3)  # two fields, each to 0.001 mm
    limits = DOCUMENT.machine.limits
    drawn = np.repeat(again.down, np.diff(again.runs))
    assert again.farthest_swing[drawn].max() <= limits.swing
    totals = [estimate(DOCUMENT, m).total_s for m in (again, fresh)]
    assert totals[0] == pytest.approx(totals[1], rel=0.01)


def test_strokes_that_did_not_change_are_drawn_at_the_same_speed_to_the_bit():
    lines = strokes(3, 40)
    known = timed(lines)
    mixed = [*lines[5:20], *strokes(4, 2), *lines[20:]]
    again = timed(mixed, known).motion
    at = {tuple(line[0]): run for line, run in zip(lines, np.flatnonzero(known.motion.down), strict=True)}
    same = 0
    for line, run in zip(mixed, np.flatnonzero(again.down), strict=True):
        if tuple(line[0]) in at:
            before = run_of(known.motion, at[tuple(line[0])])
            same += all(np.array_equal(a, b) for a, b in zip(run_of(again, run), before, strict=True))
    # All but those that would swing too far after what is new before them.
    assert same >= 33


def test_a_drawing_that_did_not_change_is_not_planned_again(monkeypatch):

    lines = strokes(5, 20)
    known = timed(lines)
    monkeypatch.setattr(time_parameterization, "speed_profile", None)
    again = timed(lines, known)
    for field in (*FIELDS, "time", "vertex", "runs", "down", "stroke"):
        np.testing.assert_array_equal(getattr(again.motion, field), getattr(known.motion, field))
    np.testing.assert_allclose(again.motion.swing, known.motion.swing, atol=1e-5)
    np.testing.assert_array_equal(again.max_acceleration, known.max_acceleration)


def test_a_stroke_drawn_the_other_way_or_with_another_pen_is_another_run():
    lines = strokes(6, 6)
    known = timed(lines)
    turned = [lines[0][::-1], *lines[1:]]
    found = known.find(timed(turned).asked)
    run = np.flatnonzero(timed(turned).motion.down)
    assert found[run[0]] < 0 and (found[run[1:]] >= 0).all()
    pens = (DOCUMENT.pens[0], msgspec.structs.replace(DOCUMENT.pens[0], id="second"))
    other_pen = time_runs(replace(DOCUMENT, pens=pens), 0, RIG, Strokes.pack(lines, 1)).asked
    assert (known.find(other_pen) < 0).all()


def test_travels_in_a_bow_are_kept():
    """Across the middle, with belts that limit the way."""
    x, y = HANGING.start_point
    document = set_field(DOCUMENT, "machine.limits.belt_speed", 50.0)
    lines = [np.array([[x - side * 400.0, y], [x - side * 400.0, y + 40]]) for side in (1, -1)]
    known = timed(lines, document=document)
    between = 2  # the travel from the first stroke to the second
    assert known.is_bent[between]
    more = [*lines, np.array([[x + 200.0, y - 90], [x + 260.0, y - 90]])]
    again = timed(more, known, document).motion
    for a, b in zip(run_of(again, between), run_of(known.motion, between), strict=True):
        np.testing.assert_array_equal(a, b)


@pytest.mark.parametrize("pacing", ["accelerating", "constant", "timed"])
def test_nothing_known_of_nothing_drawn(pacing):
    document = set_field(DOCUMENT, "machine.controller.pacing", pacing)
    none = timed([], document=document)
    assert len(none.motion.time) == 0
    lines = strokes(7, 3)
    again = timed(lines, none, document)
    np.testing.assert_array_equal(again.motion.time, plan_motion(document, 0, RIG, Strokes.pack(lines, 0)).time)
    assert len(timed([], again, document).motion.time) == 0
