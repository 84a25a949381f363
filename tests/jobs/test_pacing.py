"""The exported files take as long as the estimate says, when a controller of the stated kind runs them."""

import numpy as np
import pytest

from tests.support.controller import expected_settings, replay_seconds
from tests.support.jobs import SQUARE, document_of, exported
from wallwright.document.controller import Controller
from wallwright.document.edits import set_field
from wallwright.planning.demo import demo_document


@pytest.mark.parametrize("swing", [1.0, 1000.0])
def test_a_controller_that_plans_itself_takes_as_long_as_estimated(swing, tmp_path):
    """Judge: an own planner model (tests/support/controller.py), set as the file says; within 3 %."""
    document = set_field(demo_document(), "settings.fill.spacing", 12.0)
    files, report = exported(set_field(document, "machine.limits.swing", swing), tmp_path)
    for name in ("belts.ngc", "plane.ngc"):
        text = files[name].read_text()
        push, corner = expected_settings(text)
        assert replay_seconds(text, push, corner) == pytest.approx(report["total_s"], rel=0.03)
        # More push than stated does not make it hurry: the feeds hold it.
        assert replay_seconds(text, 50 * push, corner) > 0.95 * report["total_s"]


def test_a_controller_at_one_speed_takes_as_long_as_estimated(tmp_path):
    """Moves at their feed and dwells, nothing else; within 1 %."""
    document = document_of(SQUARE, controller=Controller(pacing="constant"), fill="hatch")
    files, report = exported(document, tmp_path)
    for name in ("belts.ngc", "plane.ngc"):
        text = files[name].read_text()
        assert "mm/s2" not in text
        assert f"expect {report['corner_mm']:.2f}".rstrip("0") in text and report["corner_mm"] <= 0.1 + 1e-6
        assert replay_seconds(text, 1e12, 1e6) == pytest.approx(report["total_s"], rel=0.01)


def test_a_controller_that_follows_a_table_is_where_the_plan_says(tmp_path):
    """The table's own times are the estimate."""
    files, report = exported(document_of(SQUARE, controller=Controller(pacing="timed")), tmp_path)
    rows = files["motion.jsonl"].read_text().splitlines()[1:]
    last = np.array([float(v) for v in rows[-1].strip("[]").split(",")])
    # The pen is lifted after its last stroke, before the way home: inside the table's time.
    assert last[0] == pytest.approx(report["total_s"], abs=0.01)
