"""Keep-outs and bodies of any outline: nothing that was drawn is ignored. Judged by shapely on points and by the plain case."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.jobs import SQUARE, document_of
from wallwright.document import edits
from wallwright.document.document import Document
from wallwright.document.edits_keep_outs import is_simple
from wallwright.document.wall import KeepOut
from wallwright.planning.plan import Goal, Request
from wallwright.planning.runner import Runner
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.limits import Limit, broken
from wallwright.statics.obstacles import LEAST_BODY, body_outline, keep_out_area
from wallwright.statics.pose import inverse_kinematics
from wallwright.statics.swing_modes import inertia_of

POINT = st.tuples(st.integers(-9, 9).map(float), st.integers(-9, 9).map(float))
OUTLINES = st.lists(POINT, min_size=3, max_size=7).map(tuple)
CASES = settings(deadline=None, max_examples=60, derandomize=True)
LINE = ((900.0, 900.0), (1100.0, 900.0), (1000.0, 900.0))
DOT = ((1000.0, 900.0),) * 3
BOW_TIE = ((900.0, 800.0), (1100.0, 1000.0), (1100.0, 800.0), (900.0, 1000.0))
LOOKS = Runner()


def keep_out_bits(document: Document, points: list) -> list[bool]:
    rig = CableRobotModel.of(document.machine, document.hangings[0])
    bits = broken(document.wall, document.machine, rig, inverse_kinematics(rig, np.array(points)))
    return [bool(b & Limit.KEEP_OUT) for b in bits]


def with_keep_out(document: Document, outline) -> Document:
    return edits.with_field(document, "wall.keep_outs", (KeepOut("Door", outline),))


def checks_of(document: Document) -> dict:
    return {c.id: c for c in LOOKS.run(Request(1, document, Goal.PLAN)).plan.checks}


@given(OUTLINES)
@CASES
def test_a_keep_out_is_its_line_and_all_that_it_encloses(outline):
    area = keep_out_area(outline)
    assert area.is_valid and not area.is_empty
    for corner in outline:
        assert area.distance(shapely.Point(corner)) < 1e-9
    ring = shapely.linearrings([*outline, outline[0]])
    assert shapely.difference(ring, area.buffer(1e-6)).length < 1e-3
    enclosed = shapely.polygonize([shapely.union_all(shapely.LineString([*outline, outline[0]]))])
    assert area.area == pytest.approx(shapely.union_all(shapely.get_parts(enclosed)).area, abs=1e-6)


@given(OUTLINES)
@CASES
def test_a_body_is_simple_and_holds_all_its_corners(outline):
    used = body_outline(outline)
    polygon = shapely.Polygon(used)
    assert polygon.is_valid and polygon.area > 0
    assert is_simple(outline) or polygon.area >= LEAST_BODY**2 / 2
    assert all(polygon.distance(shapely.Point(p)) < 1e-6 for p in outline)
    machine = edits.with_field(Document(), "machine.body.outline", outline).machine
    assert np.isfinite(inertia_of(machine.body)) and inertia_of(machine.body) > 0


def test_a_usual_outline_is_taken_as_it_is():
    outline = Document().machine.body.outline
    assert body_outline(outline) == outline


@pytest.mark.parametrize("gap", [0.0, 10.0])
@pytest.mark.parametrize("outline", [LINE, DOT, BOW_TIE])
def test_the_body_keeps_off_a_keep_out_without_area(outline, gap):
    document = with_keep_out(edits.with_field(Document(), "machine.limits.edge_gap", gap), outline)
    on, off = (1000.0, 930.0), (1000.0, 1200.0)
    assert keep_out_bits(document, [on, off]) == [True, False]


def test_both_halves_of_a_bow_tie_are_kept_off():
    document = with_keep_out(Document(), BOW_TIE)
    document = edits.with_field(document, "machine.body.outline", ((-6.0, -6.0), (6.0, -6.0), (6.0, 6.0), (-6.0, 6.0)))
    assert keep_out_bits(document, [(920.0, 900.0), (1080.0, 900.0), (1000.0, 840.0)]) == [True, True, False]


def test_a_pen_outside_the_outline_stays_on_the_wall_too():
    document = edits.with_field(
        Document(), "machine.body.outline", ((20.0, -9.0), (40.0, -9.0), (40.0, 9.0), (20.0, 9.0))
    )
    rig = CableRobotModel.of(document.machine, document.hangings[0])
    document = edits.with_field(document, "wall.left", 995.0)
    bits = broken(
        document.wall,
        document.machine,
        rig,
        inverse_kinematics(rig, np.array([(1000.0, 900.0), (1006.0, 900.0)])),
    )
    assert [bool(b & Limit.EDGE) for b in bits] == [True, False]


SMALL = document_of(SQUARE, centre=(1000.0, 900.0), width=20.0)


def test_a_keep_out_across_the_drawing_stops_the_job_and_is_named():
    checks = checks_of(with_keep_out(SMALL, LINE))
    assert checks["zone"].verdict.value == "error" and "keep-out" in checks["zone"].text
    assert "“Door” has no area" in checks["keep-out"].text
    assert not is_simple(LINE)


@pytest.mark.parametrize(
    "path, value, check, says",
    [
        ("machine.body.outline", ((0.0, 0.0), (50.0, 50.0), (20.0, 20.0)), "body", "an area of 0.0 mm²"),
        ("machine.body.outline", ((0.0, 0.0),) * 3, "body", "0 by 0 mm"),
        ("machine.body.outline", ((0.0, 0.0), (1e-6, 0.0), (0.0, 1e-6)), "body", "at least 10 mm"),
        ("machine.body.centre", (0.0, 1000.0), "mass-centre", "920 mm outside the body"),
        ("machine.lift.up", 0.0, "lift", "Up must be higher than down"),
        ("machine.lift.up", -1.0, "lift", "up at Z −1 and down at Z 0"),
    ],
)
def test_values_that_do_not_go_together_are_an_error(path, value, check, says):
    found = checks_of(edits.with_field(SMALL, path, value))[check]
    assert found.verdict.value == "error" and says in found.text


def test_a_crossing_body_is_a_warning_and_its_hull_counts():
    crossing = ((-90.0, -70.0), (90.0, 80.0), (90.0, -70.0), (-90.0, 80.0))
    found = checks_of(edits.with_field(SMALL, "machine.body.outline", crossing))["body"]
    assert found.verdict.value == "warning" and "cross" in found.text
    hull = shapely.Polygon(body_outline(crossing))
    assert hull.equals(shapely.box(-90, -70, 90, 80))


def test_a_spindle_word_may_be_lower_up_than_down_but_not_zero():
    lift = edits.replace(SMALL.machine.lift, kind="spindle", up=0.0, down=700.0)
    assert "lift" not in checks_of(edits.with_field(SMALL, "machine.lift", lift))
    zero = edits.replace(lift, down=0.0)
    assert checks_of(edits.with_field(SMALL, "machine.lift", zero))["lift"].verdict.value == "error"
