"""Register marks from the plan to the wall. Judges: MuJoCo hangs the body, the RS-274 reader of the tests follows the files."""

import csv
import io
import json

import numpy as np
import pytest
import shapely
from pypdf import PdfReader

from tests.support import ngc
from tests.support.experienced import ExperiencedRunner
from tests.support.walls import hung_banner
from wallwright.commands.main import main
from wallwright.document import edits
from wallwright.document.edits_register import keep_handover_lines
from wallwright.document.project import read_project, write_project
from wallwright.document.register import Sighting
from wallwright.planning.outside_zone import points_outside
from wallwright.planning.plan import Goal, Request
from wallwright.planning.register_marks import drawn_by, marks_of
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.calibration.register_fit import fit_register_marks
from wallwright.statics.controller_kinematics import belts_to_controller
from wallwright.statics.draw_zone import compute_zone
from wallwright.statics.forward_kinematics import forward_kinematics
from wallwright.statics.pose import inverse_kinematics
from wallwright.strokes.strokes import Strokes

pytestmark = pytest.mark.usefixtures("commands_have_planned_before")


@pytest.fixture(scope="module")
def wall():
    return hung_banner(spacing=40.0, width=3000.0)


@pytest.fixture(scope="module")
def preview(wall):
    return ExperiencedRunner().run(Request(1, wall, Goal.PREVIEW)).preview


def test_marks_lie_where_both_hangings_reach_and_off_the_artwork(wall, preview):
    ink = shapely.MultiLineString(list(preview.strokes))
    arm = wall.settings.joining.arm
    assert sorted(preview.marks) == [1, 2]
    for number, marks in preview.marks.items():
        assert len(marks) == 6
        points = np.array([(m.x, m.y) for m in marks])
        cross = (points[:, None] + arm * np.array([(-1, 0), (1, 0), (0, -1), (0, 1)])).reshape(-1, 2)
        for hanging in (number - 1, number):
            assert not points_outside(wall, wall.hangings[hanging], cross).any()
        for point in points:
            assert ink.distance(shapely.Point(point)) > arm
        assert np.ptp(points[:, 1]) > 300 and np.ptp(points[:, 0]) > 100


def test_marks_keep_off_a_fill_whose_lines_have_their_points_far_away(wall):
    lines = [np.array([(0.0, y), (5000.0, y)]) for y in np.arange(500.0, 1100.0, 4.0)]
    many = edits.set_field(wall, "settings.joining.marks", 6)
    marks = marks_of(many, Strokes.pack(lines, 0), compute_zone)
    at = [m.y for own in marks.values() for m in own]
    assert len(at) == 12 and not [y for y in at if 490 < y < 1107]


def test_the_earlier_hanging_draws_them_last_with_their_pen(wall, preview):
    plan = ExperiencedRunner().run(Request(1, wall, Goal.PLAN, 1)).plan
    black = np.flatnonzero(plan.strokes.pen == 0)
    marks = drawn_by(wall, 1, preview.marks)
    assert {m.name for m in marks} == {"3A", "3B", "3C", "3D", "3E", "3F"}
    own = np.flatnonzero(plan.strokes.source == -1)
    assert own.tolist() == black[-len(own) :].tolist()
    drawn = shapely.MultiLineString([plan.strokes[i] for i in own])
    for mark in marks:
        assert drawn.distance(shapely.Point(mark.x, mark.y)) < 1e-6
    assert not any(m.name.startswith("3") for m in drawn_by(wall, 2, preview.marks))
    red = edits.set_field(wall, "settings.joining.pen", "red")
    plan = ExperiencedRunner().run(Request(1, red, Goal.PLAN, 1)).plan
    assert set(plan.strokes.pen[plan.strokes.source == -1].tolist()) == {1}
    none = edits.set_field(wall, "settings.joining.marks", 0)
    assert (ExperiencedRunner().run(Request(1, none, Goal.PLAN, 1)).plan.strokes.source >= 0).all()


def test_from_the_middle_out_both_neighbours_are_found_by_its_marks(wall):
    """Drawn in the order middle, left, right."""
    hangings = wall.hangings
    first = edits.replace(wall, hangings=(hangings[0], hangings[1], hangings[2]))
    turned = edits.replace(first, hangings=(hangings[1], hangings[0], hangings[2]))
    origin = hangings[1].left
    turned = edits.shift_frame(turned, origin.x, origin.y)
    marks = ExperiencedRunner().run(Request(1, turned, Goal.PREVIEW)).preview.marks
    assert sorted(marks) == [1, 2]
    assert {m.name[0] for m in drawn_by(turned, 0, marks)} == {"2", "3"}


def test_the_visit_stops_at_every_mark_with_the_pen_up(wall, tmp_path):
    answer = ExperiencedRunner().run(Request(1, wall, Goal.EXPORT, 1, str(tmp_path)))
    program = ngc.read_program((tmp_path / "register.ngc").read_text())
    marks = answer.preview.marks[1]
    assert program.stops == len(marks) and not any(down for *_, down in program.moves)
    rig = CableRobotModel.of(wall.machine, wall.hangings[1])
    belts = np.array([move[:2] for move in program.moves])
    passed = forward_kinematics(rig, belts).pen
    for mark in marks:
        assert np.hypot(*(passed - (mark.x, mark.y)).T).min() < 0.01
    assert passed[-1] == pytest.approx(wall.hangings[1].start_point, abs=0.01)
    rows = list(csv.DictReader(io.StringIO((tmp_path / "register.csv").read_text())))
    assert [r["mark"] for r in rows] == [m.name for m in marks] and {r["right"] for r in rows} == {""}
    assert json.loads((tmp_path / "report.json").read_text())["places"]
    pages = [page.extract_text() for page in PdfReader(tmp_path / "hanging-sheet.pdf").pages]
    sheet = " ".join(" ".join(pages).split())
    assert "Hanging 2 of 3" in sheet and "Line it up by the marks on the wall" in sheet and "register.ngc" in sheet
    assert "This hanging draws the marks 3A, 3B, 3C, 3D, 3E, 3F" in sheet and "2A" in pages[0]
    steps = [
        sheet.index(text)
        for text in ("Set both anchors", "line it up by the marks", "With the belts at their starting")
    ]
    assert steps == sorted(steps)
    drawn = sheet[sheet.index("This hanging draws the marks") :]
    for mark in (m for m in answer.preview.marks[2]):
        left = wall.hangings[1].left
        assert f"{mark.name} {mark.x - left.x:.0f} mm right of and {mark.y - left.y:.0f} mm below" in drawn


def test_after_lining_up_the_sheet_leaves_the_belts_alone(wall, preview, tmp_path):
    marks = preview.marks[1]
    found = fit_register_marks(wall.machine, wall.hangings[1], tuple(Sighting(m, 3.0, 2.0) for m in marks))
    lined = edits.with_field(wall, "hangings.1", found.hanging)
    ExperiencedRunner().run(Request(1, lined, Goal.EXPORT, 1, str(tmp_path)))
    pages = [page.extract_text() for page in PdfReader(tmp_path / "hanging-sheet.pdf").pages]
    sheet = " ".join(" ".join(pages).split())
    assert "leave the machine where it hangs and the belts as they are" in sheet
    assert "Set both belts to their starting lengths" not in sheet and "With the belts at their starting" not in sheet


def test_marks_stand_above_and_below_lettering_and_not_in_it(wall):
    """Rings of 200 mm along the strip have room for a cross inside, as the letter O has."""
    turn = np.linspace(0, 2 * np.pi, 60)
    lines = [np.column_stack([x + 100 * np.cos(turn), 850 + 100 * np.sin(turn)]) for x in np.arange(0.0, 3000.0, 230.0)]
    marks = marks_of(wall, Strokes.pack(lines, 0), compute_zone)
    at = [m.y for own in marks.values() for m in own]
    assert at and not [y for y in at if 750 < y < 950]
    assert min(at) < 750 and max(at) > 950


def test_what_another_hanging_drew_stays_right_when_one_is_lined_up(wall, preview):
    """Anchors of hanging 2 found 9 mm off: hanging 1's share is to the bit what it was, and so are all marks."""
    order = wall.from_left
    lines = {order[i]: x for i, x in enumerate(preview.row.lines)}
    kept = keep_handover_lines(wall, lines, preview.marks)
    again = ExperiencedRunner().run(Request(1, kept, Goal.PREVIEW)).preview
    assert np.array_equal(again.strokes.points, preview.strokes.points) and again.marks == preview.marks
    hanging = kept.hangings[1]
    truth = edits.replace(hanging, left=edits.replace(hanging.left, x=hanging.left.x + 9.0))
    marks = np.array([(m.x, m.y) for m in hanging.register.marks])
    seen = forward_kinematics(
        CableRobotModel.of(kept.machine, truth),
        inverse_kinematics(CableRobotModel.of(kept.machine, hanging), marks).belts,
        start=marks,
    ).pen
    sightings = tuple(Sighting(m, *o) for m, o in zip(hanging.register.marks, (seen - marks).tolist(), strict=True))
    found = fit_register_marks(kept.machine, hanging, sightings)
    assert found.hanging.left.x == pytest.approx(truth.left.x, abs=3)
    lined = edits.with_field(kept, "hangings.1", found.hanging)
    after = ExperiencedRunner().run(Request(1, lined, Goal.PREVIEW)).preview
    for one, other in zip(preview.by_hanging, after.by_hanging, strict=True):
        assert np.array_equal(one.strokes.points, other.strokes.points)
    assert after.marks == preview.marks
    checks = ExperiencedRunner().run(Request(1, lined, Goal.PLAN, 1)).plan.checks
    assert any(c.id == "register" and c.verdict.value == "ok" for c in checks)


def test_kept_marks_go_with_the_frame_and_the_file(wall, preview, tmp_path):
    kept = keep_handover_lines(wall, {0: 1500.0}, preview.marks)
    write_project(tmp_path / "a.wallwright", kept)
    assert read_project(tmp_path / "a.wallwright") == kept
    moved = edits.shift_frame(kept, 100.0, -7.0)
    mark, old = moved.hangings[1].register.marks[0], kept.hangings[1].register.marks[0]
    assert (mark.x, mark.y) == (old.x - 100, old.y + 7)


def test_on_the_command_line(wall, tmp_path, capsys):
    """Exported, hung 8 mm off, seen, lined up: the pen then comes to the marks."""
    project, folder = tmp_path / "wall.wallwright", tmp_path / "out"
    write_project(project, wall)
    assert main(["export", str(project), "--folder", str(folder)]) == 0
    kept = read_project(project)
    assert all(h.register.marks for h in kept.hangings[1:]) and kept.hangings[0].handover is not None
    own = kept.hangings[1]
    truth = edits.replace(own, right=edits.replace(own.right, x=own.right.x - 8.0, y=own.right.y + 5.0))
    rows = list(csv.DictReader(io.StringIO((folder / "hanging-2" / "register.csv").read_text())))
    marks = np.array([(float(r["wall_x"]), float(r["wall_y"])) for r in rows])
    seen = (
        forward_kinematics(
            CableRobotModel.of(kept.machine, truth),
            inverse_kinematics(CableRobotModel.of(kept.machine, own), marks).belts,
            start=marks,
        ).pen
        - marks
    )
    text = "mark,wall_x,wall_y,right,down\n" + "".join(
        f"{r['mark']},{r['wall_x']},{r['wall_y']},{dx:.2f},{dy:.2f}\n" for r, (dx, dy) in zip(rows, seen, strict=True)
    )
    (tmp_path / "seen.csv").write_text(text)
    command = ["line-up", str(project), "--hanging", "2", "--readings", str(tmp_path / "seen.csv")]
    assert main(command) == 0 and read_project(project) == kept
    assert main([*command, "--write"]) == 0
    assert "Parts then meet to within about" in capsys.readouterr().out
    lined = read_project(project).hangings[1]
    again = forward_kinematics(
        CableRobotModel.of(kept.machine, truth),
        belts_to_controller(
            kept.machine, lined, "belts", inverse_kinematics(CableRobotModel.of(kept.machine, lined), marks).belts
        ),
        start=marks,
    ).pen
    assert np.hypot(*(again - marks).T).max() < 0.5
    capsys.readouterr()
    assert main([*command, "--write"]) == 2 and "corrected by these readings already" in capsys.readouterr().err
    wrong = text.splitlines()[0] + "".join(f"\n{r['mark']},{r['wall_x']},{r['wall_y']},60,80" for r in rows)
    (tmp_path / "wrong.csv").write_text(wrong)
    doubtful = ["line-up", str(project), "--hanging", "2", "--readings", str(tmp_path / "wrong.csv")]
    assert main(doubtful) == 0
    said = capsys.readouterr().out
    assert "would move by" in said.splitlines()[0]
    assert main([*doubtful, "--write"]) == 2 and "--anyway" in capsys.readouterr().err
    assert read_project(project).hangings[1] == lined
    assert main([*doubtful, "--write", "--anyway"]) == 0 and read_project(project).hangings[1] != lined
    assert main(["line-up", str(project), "--hanging", "1", "--readings", str(tmp_path / "seen.csv")]) == 2
    (tmp_path / "seen.csv").write_text("mark,wall_x,wall_y,right,down\n2A,1,2,3,\n")
    assert main(command) == 2
    assert "line 2" in capsys.readouterr().err
