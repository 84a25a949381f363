"""wallwright export of the rest of a job."""

import json

import pytest

from tests.jobs.test_continuation_files import LINES
from tests.support.jobs import document_of
from wallwright.commands.main import main
from wallwright.document import edits, edits_hangings
from wallwright.document.continuation import StrokePlace
from wallwright.document.project import read_project, write_project


@pytest.fixture
def project(tmp_path):
    path = tmp_path / "job.wallwright"
    document = document_of(LINES, (100.0, 80.0), width=700.0)
    write_project(path, edits.set_field(document, "settings.order.effort", "quick"))
    return path


def export(project, *more) -> tuple[int, dict]:
    """Exit code and report."""
    folder = project.parent / "out"
    code = main(["export", str(project), "--folder", str(folder), *more])
    reports = sorted(folder.glob("report*.json"), key=lambda p: p.stat().st_mtime_ns) if folder.exists() else []
    return code, json.loads(reports[-1].read_text()) if reports else {}


def test_from_a_stroke_a_time_a_place_a_line_and_what_is_remembered(project, capsys):
    code, whole = export(project)
    assert code == 0 and whole["continued"] is None
    code, report = export(project, "--from-stroke", "3", "--along", "50", "--overlap", "4", "--remember")
    assert code == 0
    assert (report["continued"]["from_stroke"], report["continued"]["from_mm_along"]) == (3, 46.0)
    assert "stroke 3 of 8" in capsys.readouterr().out
    document = read_project(project)
    assert document.stopped.place == StrokePlace(2, 50.0) and document.stopped.of == 8
    assert main(["check", str(project)]) == 0
    assert "2 of 8 strokes are drawn" in capsys.readouterr().out
    code, again = export(project, "--from-stop")
    assert again["continued"]["from_mm_along"] == 48.0
    third = whole["stroke_places"][2]
    minutes = int(third["at_s"] // 60)
    code, report = export(project, "--from-time", f"0:{minutes:02d}:{third['at_s'] - 60 * minutes + 0.1:.2f}")
    assert code == 0 and report["continued"]["from_stroke"] == 3
    code, report = export(project, "--from-place", ",".join(map(str, third["point_mm"])), "--back", "0.2")
    assert code == 0 and report["continued"]["from_stroke"] <= 3
    folder = project.parent / "out"
    for ran in ([], ["--ran", str(folder / "belts.ngc")]):
        code, report = export(project, "--from-line", str(third["lines"]["belts.ngc"]), *ran)
        assert code == 0 and (report["continued"]["from_stroke"], report["continued"]["from_mm_along"]) == (3, 0.0)


def test_where_the_machine_hangs(project, capsys):
    code, report = export(project, "--from-stroke", "2", "--pen-to-anchors", "1280,1270")
    assert code == 0 and report["continued"]["start_known_by"] == "tape"
    assert report["start_point_mm"] == pytest.approx([1006.4, 791.0], abs=0.2)
    assert "The pen is 1006." in capsys.readouterr().err
    code, report = export(project, "--from-stroke", "2", "--pen-at", "900,850", "--uncertainty", "1")
    assert code == 0 and report["start_point_mm"] == [900, 850]
    code, report = export(project, "--from-stroke", "2", "--off", "700,900,1.8,2.6", "--uncertainty", "0.1")
    assert code == 0 and report["continued"]["start_known_by"] == "slip"
    assert "left belt slipped by 16 full steps" in capsys.readouterr().err
    _, free = export(project, "--from-stroke", "2", "--off", "700,900,1.8,2.6", "--uncertainty", "0.1", "--as-measured")
    output = capsys.readouterr().err
    assert "measured value is used" in output and "slipped by" not in output
    assert free["continued"]["lines_up_within_mm"][0] > 0.2 > report["continued"]["lines_up_within_mm"][0]
    # By hand, two straight belts to a point: 3.2 / (2 * 0.781) right, 3.2 / (2 * 0.625) down.
    assert report["start_point_mm"] == pytest.approx([1002.05, 802.56], abs=0.5)


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (["--from-stroke", "9"], "no stroke 9; this job has strokes 1 to 8"),
        (["--from-stroke", "0"], "must be at least 1"),
        (["--from-stroke", "8", "--along", "100000"], "it has no point 100000 mm along it"),
        (["--from-line", "100000"], "line 100000 does not exist"),
        (["--from-time", "5:00"], "that pen is done after"),
        (["--from-time", "0:01", "--pass", "3"], "this job has one pass"),
        (["--from-place", "5,5"], "no stroke is within 20 mm"),
        (["--from-stop"], "has no interruption of this hanging"),
        (["--back", "5"], "--back belongs to --from-stroke"),
        (["--from-stroke", "2", "--pen-to-anchors", "500,700"], "cannot be right"),
        (["--from-stroke", "2", "--off", "700,900,700,0"], "cannot be a slip"),
        (["--from-stroke", "2", "--ran", "x.ngc"], "--ran belongs to --from-line, which is not given"),
        (["--from-stroke", "2", "--as-measured"], "--as-measured belongs to --off"),
        (["--from-line", "2", "--ran", "nowhere.ngc"], "cannot be read"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(project, capsys, more, words):
    assert export(project, *more)[0] == 2
    assert words in capsys.readouterr().err
    assert not (project.parent / "out").exists()


def test_a_drawing_that_was_changed_is_not_taken_for_the_one_that_stopped(project, capsys):
    assert export(project, "--from-stroke", "3", "--remember")[0] == 0
    document = read_project(project)
    write_project(project, edits.set_placement(document, "placement-1", x=1010.0))
    assert export(project, "--from-stop")[0] == 2
    assert "have changed since" in capsys.readouterr().err
    ran = str(project.parent / "out" / "belts-from-stroke-3.ngc")
    assert export(project, "--from-line", "60", "--ran", ran)[0] == 2
    assert "belongs to other strokes" in capsys.readouterr().err
    assert main(["check", str(project)]) == 0
    assert "the strokes have changed since" in capsys.readouterr().out


def test_with_several_hangings_one_of_them_continues(project, capsys):
    document = read_project(project)
    document = edits_hangings.add_hanging(document, (700.0, 0.0), (2700.0, 0.0), (1700.0, 800.0))
    document = edits.set_placement(document, "placement-1", x=1350.0)
    write_project(project, edits.set_field(document, "wall.width", 4000.0))
    assert export(project, "--from-stroke", "2")[0] == 2
    assert "say which hanging to continue" in capsys.readouterr().err
    code, report = export(project, "--hanging", "2", "--from-stroke", "2", "--remember")
    assert code == 0 and report["hanging"] == "Hanging 2" and report["continued"]["from_stroke"] == 2
    assert read_project(project).stopped.hanging == 1
    assert main(["check", str(project)]) == 0
    output = capsys.readouterr().out
    assert "It stopped in Hanging 2, at stroke 2" in output and "1 of" in output.split("Hanging 2:")[1]
