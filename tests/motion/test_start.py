"""Starting points far away: refused at once, or planned as usual; the field's grid stays small whatever box it is given."""

import numpy as np
import pytest

from tests.support.jobs import SQUARE, document_of
from wallwright.document import edits
from wallwright.document.document import Document
from wallwright.document.errors import BadValue
from wallwright.planning.plan import Goal, Request
from wallwright.planning.runner import Runner
from wallwright.statics import belt_field
from wallwright.statics.belt_field import BeltField
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.pose import inverse_kinematics


@pytest.fixture
def grids(monkeypatch) -> list[int]:
    """How many poses each grid of a field had."""
    sizes: list[int] = []
    true = belt_field.inverse_kinematics

    def counted(rig, points):
        sizes.append(len(points))
        return true(rig, points)

    monkeypatch.setattr(belt_field, "inverse_kinematics", counted)
    return sizes


@pytest.mark.parametrize("start_point", [(90_000.0, 90_000.0), (-90_000.0, 500.0), (1000.0, -50_000.0)])
def test_a_starting_point_out_of_reach_is_refused_before_anything_is_computed(start_point, grids):
    document = edits.with_field(document_of(SQUARE, width=20.0), "hangings.0.start_point", start_point)
    with pytest.raises(BadValue, match="Move the artwork or the starting point"):
        Runner().run(Request(1, document, Goal.PLAN))
    assert not grids


def test_a_field_over_a_hundred_metres_has_a_small_grid_and_is_exact(grids):
    rig = CableRobotModel.of(Document().machine, Document().hangings[0])
    points = np.array([[900.0, 800.0], [1100.0, 99_000.0], [-90_000.0, 700.0]])
    found = BeltField(rig, points).belts(points[:2])
    assert grids[0] <= belt_field.MOST_FIRST and max(grids) <= belt_field.MOST_NODES
    np.testing.assert_allclose(found, inverse_kinematics(rig, points[:2]).belts, atol=2 * belt_field.TOLERANCE)


def test_a_start_far_below_is_planned_and_its_check_says_why_not():
    document = edits.with_field(document_of(SQUARE, width=20.0), "hangings.0.start_point", (1000.0, 20_000.0))
    plan = Runner().run(Request(1, document, Goal.PLAN)).plan
    assert {c.id: c.verdict.value for c in plan.checks}["start-point"] == "error"
    assert np.isfinite(plan.motion.time).all()
