"""A wall drawn in several hangings: shares, places, what is written. Lengths are judged by shapely."""

import json
import math

import jsonschema
import numpy as np
import pytest
import shapely

from tests.support.experienced import ExperiencedRunner
from tests.support.walls import banner, hung_banner
from wallwright.commands.main import main
from wallwright.document import edits
from wallwright.document.edits_hangings import add_hanging, set_handover_line
from wallwright.document.project import read_project, write_project
from wallwright.document.resources import resource
from wallwright.jobs.hanging_position import anchor_positions
from wallwright.planning.hanging_proposal import propose_beside, propose_covering
from wallwright.planning.outside_zone import points_outside
from wallwright.planning.plan import EVERY, Goal, Request
from wallwright.planning.runner import Runner

pytestmark = pytest.mark.usefixtures("commands_have_planned_before")


@pytest.fixture(scope="module")
def wall():
    return hung_banner(spacing=40.0, width=3000.0)


@pytest.fixture(scope="module")
def preview(wall):
    return ExperiencedRunner().run(Request(1, wall, Goal.PREVIEW)).preview


def total(strokes):
    return shapely.MultiLineString(list(strokes)).length


def test_shares_add_up(wall, preview):
    """All that one hanging alone would be given to draw, once, but for overlaps of a pen's width at each cut."""
    alone = edits.replace(wall, hangings=wall.hangings[:1])
    whole = ExperiencedRunner().run(Request(1, alone, Goal.PREVIEW)).preview.strokes
    parts = [p.strokes for p in preview.by_hanging]
    assert len(parts) == len(wall.hangings) and all(len(p) for p in parts)
    cuts = sum(map(len, parts)) - len(whole)
    assert cuts > 20
    extra = sum(map(total, parts)) - total(whole)
    assert 0 < extra <= 3.0 * (cuts + 4)  # a ring cut twice has one part less
    assert len(preview.strokes) == sum(map(len, parts))


def test_every_point_of_a_share_can_be_drawn_from_its_anchors(wall, preview):
    for number, mine in enumerate(preview.by_hanging):
        lines = [shapely.segmentize(shapely.LineString(s), 1.0) for s in mine.strokes]
        points = shapely.get_coordinates(lines)
        assert not points_outside(wall, wall.hangings[number], points).any()


def test_a_meeting_line_can_be_moved(wall, preview):
    first = wall.from_left[0]
    x = preview.row.lines[0] + 60.0
    moved = ExperiencedRunner().run(Request(1, set_handover_line(wall, first, x), Goal.PREVIEW)).preview
    assert moved.row.lines[0] == x
    ink = [p.by_hanging[first].strokes.lengths().sum() for p in (preview, moved)]
    assert ink[1] > ink[0] + 100
    reach = [p.by_hanging[first].strokes.points[:, 0].max() for p in (preview, moved)]
    assert reach[1] > reach[0]


def test_order_of_the_hangings_does_not_change_what_is_drawn(wall, preview):
    """Only who draws it: the row is from left to right whatever the order."""
    hangings = wall.hangings
    turned = edits.replace(wall, hangings=(hangings[0], *reversed(hangings[1:])))
    other = ExperiencedRunner().run(Request(1, turned, Goal.PREVIEW)).preview
    assert other.row.lines == preview.row.lines
    assert np.array_equal(other.by_hanging[1].strokes.points, preview.by_hanging[-1].strokes.points)


def test_everything_is_exported(wall, tmp_path, capsys):
    project, folder = tmp_path / "wall.wallwright", tmp_path / "out"
    write_project(project, wall)
    assert main(["export", str(project), "--folder", str(folder)]) == 0
    found = json.loads((folder / "wall-report.json").read_text())
    jsonschema.validate(found, json.loads(resource("schemas", "wall-report.schema.json").read_text()))
    schema = json.loads(resource("schemas", "report.schema.json").read_text())
    each = [json.loads((folder / h["report"]).read_text()) for h in found["hangings"]]
    assert len(each) == len(wall.hangings)
    for report in each:
        jsonschema.validate(report, schema)
    assert found["total_s"] == pytest.approx(sum(r["total_s"] for r in each), abs=0.1)
    assert found["ink_m"] == pytest.approx(sum(p["ink_m"] for r in each for p in r["passes"]), abs=1e-3)
    assert found["belt_run_m"][0] == pytest.approx(sum(r["belt_run_m"][0] for r in each), abs=0.01)
    for number, hanging in enumerate(found["hangings"]):
        names = {p.name for p in (folder / hanging["folder"]).iterdir()}
        assert {"belts.ngc", "hanging-sheet.pdf", "report.json"} <= names
        code = (folder / hanging["folder"] / "belts.ngc").read_text()
        own = wall.hangings[number]
        x, y = own.start_point[0] - own.left.x, own.start_point[1] - own.left.y
        assert f"Starting point: pen {x:.1f} mm right of and {y:.1f} mm below the left anchor of {own.name}" in code
    words = capsys.readouterr().out
    assert f"All {len(wall.hangings)} hangings" in words


def test_nothing_is_written_while_one_hanging_is_bad(wall, tmp_path, capsys):
    weak = edits.set_field(wall, "hangings.2.left.rating", 2.0)
    project, folder = tmp_path / "wall.wallwright", tmp_path / "out"
    write_project(project, weak)
    assert main(["export", str(project), "--folder", str(folder)]) == 1
    assert not folder.exists()
    assert main(["export", str(project), "--folder", str(folder), "--hanging", "1"]) == 0
    assert (folder / "belts.ngc").exists()
    assert main(["check", str(project), "--hanging", "9"]) == 2
    assert f"hangings 1 to {len(wall.hangings)}" in capsys.readouterr().err


def test_a_hanging_that_draws_nothing_is_reported_and_left_out(wall, tmp_path):
    idle = add_hanging(
        wall, (wall.wall.left + 50, 1400.0), (wall.wall.left + 250, 1400.0), (wall.wall.left + 150, 1500.0)
    )
    answer = ExperiencedRunner().run(Request(1, idle, Goal.PLAN, EVERY))
    assert not len(answer.plans[-1].strokes)
    assert any(c.id == "drawable" and c.verdict.value == "warning" for c in answer.plans[-1].checks)


def test_places_are_measured_from_the_anchors_before(wall):
    """Hand-worked: right and below by subtraction, tape by Pythagoras."""
    moved = edits.move_anchor(wall, 1, "left", (wall.hangings[1].left.x, 12.0))
    found = {p.words: p for p in anchor_positions(moved, 1)}
    place = found["Left anchor from the left anchor of Hanging 1"]
    assert (place.across, place.down) == (wall.hangings[1].left.x, 12.0)
    assert (
        f"{math.hypot(place.across, 12):.0f} mm by tape" in place.distance_text and "12 mm lower" in place.distance_text
    )
    near = found["Left anchor from the right anchor of Hanging 1"]
    assert near.across == wall.hangings[1].left.x - wall.hangings[0].right.x < 0 and "to the left" in near.distance_text
    assert anchor_positions(moved, 0) == ()


def test_as_many_hangings_as_it_takes():
    document = banner()
    found = propose_covering(document)
    assert len(found.places) > 2 and not found.warning
    steps = np.diff([place[0][0] for place in found.places])
    assert steps.max() - steps.min() <= 2
    short = edits.set_field(document, "wall.width", 5200.0)
    assert "Part of the artwork" in propose_covering(short).warning
    assert "Add some first" in propose_covering(edits.replace(document, placements=())).warning


def test_beside_there_is_an_overlap_or_a_warning():
    document = banner()
    right = propose_beside(document, True)
    assert not right.warning
    (left, _), _, _ = right.places[0]
    zones = ExperiencedRunner().run(Request(1, add_hanging(document, *right.places[0]), Goal.PREVIEW)).preview
    assert 0 < left < 2000 and zones.row.lines[0] > 1000
    assert "The wall ends there" in propose_beside(document, False).warning  # half a metre is left there
    narrow = edits.set_field(edits.set_field(document, "wall.width", 2100.0), "wall.left", -50.0)
    assert "too short" in propose_beside(narrow, True).warning


def test_project_file_keeps_meeting_lines(wall, tmp_path):
    document = set_handover_line(wall, 0, 1490.5)
    write_project(tmp_path / "a.wallwright", document)
    assert read_project(tmp_path / "a.wallwright") == document


def test_a_search_ended_at_one_hanging_bounds_them_all(wall):
    """The answer is that of the document with the bound, at the hangings planned before it too."""
    wall = edits.replace(wall, hangings=wall.hangings[:2])
    timed = []  # stages told once the first hanging is ordered

    def progress(stage, done, saving=None):
        timed.extend([stage] * (stage == "motion"))

    ended = Runner().run(Request(1, wall, Goal.PLAN, EVERY), progress, enough=lambda: bool(timed))
    assert ended.ended_after > 0
    changed = edits.set_field(wall, "settings.order.tries", ended.ended_after)
    again = Runner().run(Request(2, changed, Goal.PLAN, EVERY))
    assert len(ended.plans) == len(again.plans) > 1 and again.ended_after == 0
    for one, other in zip(ended.plans, again.plans, strict=True):
        np.testing.assert_array_equal(one.strokes.points, other.strokes.points)
        assert one.checks == other.checks


def test_hangings_on_the_command_line(tmp_path, capsys):
    project = tmp_path / "wall.wallwright"
    write_project(project, banner())
    assert main(["compose", str(project), "--from", str(project), "--cover"]) == 0
    assert len(read_project(project).hangings) == 5
    write_project(project, edits.set_field(banner(), "wall.width", 2600.0))
    assert main(["compose", str(project), "--from", str(project), "--add-hanging", "right"]) == 0
    assert len(read_project(project).hangings) == 2
    assert "The wall" in capsys.readouterr().err


def test_the_second_hanging_has_its_own_test_drawing(wall, tmp_path):
    """A project of its own that opens, and whose belts are those of the second hanging."""
    project, test = tmp_path / "wall.wallwright", tmp_path / "test.wallwright"
    write_project(project, edits.set_field(wall, "settings.joining.pen", "red"))
    assert main(["calibrate", str(project), "--hanging", "2", "--figure", "few", "--test", str(test)]) == 0
    figure, own = read_project(test), wall.hangings[1]
    assert len(figure.hangings) == 1 and figure.hangings[0].distance == own.distance
    assert figure.hangings[0].start_point == (own.start_point[0] - own.left.x, own.start_point[1] - own.left.y)
    assert main(["export", str(test), "--folder", str(tmp_path / "out")]) == 0
    marks = read_project(project).hangings[1].survey.marks
    assert marks and all(m.x > own.left.x for m in marks)
