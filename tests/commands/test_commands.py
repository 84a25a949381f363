"""The commands, as a person or a script would use them."""

import csv
import io
import json
import shutil
import sys
from pathlib import Path

import numpy as np
import pytest

from tests.support.jobs import SQUARE
from wallwright.commands.check import stage_printer
from wallwright.commands.main import main
from wallwright.document import edits
from wallwright.document.calibration import LEFT, RIGHT
from wallwright.document.project import read_project
from wallwright.planning.demo import ARTWORK
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.controller_kinematics import controller_to_belts
from wallwright.statics.forward_kinematics import forward_kinematics
from wallwright.strokes.order import OrderSaving


@pytest.fixture
def square(tmp_path):
    path = tmp_path / "square.svg"
    path.write_bytes(SQUARE)
    return path


def test_compose_check_export(tmp_path, square, capsys):
    project = tmp_path / "job.wallwright"
    code = main(
        [
            "compose",
            str(project),
            "--wall",
            "3000x2500",
            "--right-anchor",
            "2000,0",
            "--artwork",
            str(square),
            "--width",
            "1000",
            "--at",
            "1000,900",
            "--pen",
            "#202020,1,Fine black",
            "--set",
            "machine.body.mass=0.9",
        ]
    )
    assert code == 0
    document = read_project(project)
    assert document.placements[0].height == 1000 and document.machine.body.mass == 0.9
    assert document.pens[0].name == "Fine black"
    assert main(["check", str(project), "--strokes", str(tmp_path / "strokes.csv")]) == 0
    assert len((tmp_path / "strokes.csv").read_text().splitlines()) > 1
    assert main(["export", str(project), "--folder", str(tmp_path / "out"), "--json"]) == 0
    out = capsys.readouterr().out
    assert json.loads(out[out.index("{") :])["ok"]
    assert {p.name for p in (tmp_path / "out").iterdir()} == {
        "belts.ngc",
        "plane.ngc",
        "corrected.svg",
        "motion.jsonl",
        "hanging-sheet.pdf",
        "report.json",
    }


def test_check_completes_an_interrupted_export_and_knows_the_files(tmp_path, square, capsys):
    project, out = tmp_path / "job.wallwright", tmp_path / "out"
    assert main(["compose", str(project), "--artwork", str(square), "--width", "600"]) == 0
    assert main(["export", str(project), "--folder", str(out)]) == 0
    whole = {file.name: file.read_bytes() for file in out.iterdir()}
    pending = out / "unfinished-export"
    pending.mkdir()
    for name in ("belts.ngc", "report.json"):
        (out / name).rename(pending / name)
    (out / "plane.ngc").write_text("of an older job")
    (out / "plane.ngc").rename(pending / "plane.ngc")
    (pending / "plane.ngc").write_bytes(whole["plane.ngc"])
    manifest = {"new": sorted(whole), "old": []}
    (pending / "files.json").write_text(json.dumps(manifest))
    check = ["check", str(project), "--folder", str(out)]
    assert main(check) == 0 and "interrupted export was completed" in capsys.readouterr().err
    assert {file.name: file.read_bytes() for file in out.iterdir()} == whole
    (out / "belts.ngc").write_text("of another job")
    assert main(check) == 1 and "belts.ngc is not the exported file" in capsys.readouterr().err


def test_coordinates_with_a_minus_need_no_equals_sign(tmp_path):
    project = tmp_path / "job.wallwright"
    corners = ["-300,-200", "-100,-200", "-100,-50"]
    assert main(["compose", str(project), "--wall-corner", "-500,-300", "--keep-out", "Door", *corners]) == 0
    wall = read_project(project).wall
    assert (wall.left, wall.top) == (-500, -300)
    assert [tuple(p) for p in wall.keep_outs[0].outline] == [(-300, -200), (-100, -200), (-100, -50)]


def test_outside_the_zone_is_refused_then_clipped(tmp_path, square, capsys):
    project, folder = tmp_path / "job.wallwright", tmp_path / "out"
    assert main(["compose", str(project), "--artwork", str(square), "--width", "1000", "--at", "1600,900"]) == 0
    assert main(["check", str(project)]) == 1
    assert main(["export", str(project), "--folder", str(folder)]) == 1
    output = capsys.readouterr()
    assert "leave the draw zone" in output.out and "Nothing was written" in output.err
    assert not folder.exists()
    assert main(["export", str(project), "--folder", str(folder), "--outside", "clip"]) == 0
    assert (folder / "belts.ngc").exists()


def test_pose_there_and_back(tmp_path, capsys):
    points = tmp_path / "points.csv"
    points.write_text("x,y\n1000,800\n700,1100\n")
    assert main(["pose", str(points)]) == 0
    rows = list(csv.DictReader(io.StringIO(capsys.readouterr().out)))
    belts = tmp_path / "belts.csv"
    belts.write_text("left_belt,right_belt\n" + "\n".join(f"{r['left_belt']},{r['right_belt']}" for r in rows))
    assert main(["pose", str(belts), "--from-belts", "--json"]) == 0
    back = json.loads(capsys.readouterr().out)
    assert np.allclose([[r["x"], r["y"]] for r in back], [[1000, 800], [700, 1100]], atol=1e-4)
    points.write_text("x,y\n1000,-500\n")
    assert main(["pose", str(points)]) == 1
    assert "unreachable" in capsys.readouterr().out


def test_demo_without_a_window(tmp_path, capsys):
    assert main(["demo", "--folder", str(tmp_path / "demo-job")]) == 0
    assert (tmp_path / "demo-job" / "harbour.wallwright").exists()
    assert "Total" in capsys.readouterr().out


def test_read_paints_and_lists(tmp_path, capsys):
    picture = tmp_path / "p.png"
    assert main(["read", str(ARTWORK), "--picture", str(picture), "--width", "300", "--json"]) == 0
    assert len(json.loads(capsys.readouterr().out)["shapes"]) > 20
    assert picture.read_bytes()[:4] == b"\x89PNG"


def test_read_tells_by_element_what_is_drawn(tmp_path, capsys):
    (tmp_path / "a.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><linearGradient id="g"><stop/></linearGradient><g id="layer">'
        '<rect id="a" width="5" height="5" fill="url(#g)"/><line id="b" x2="9" stroke="#c02020" stroke-width="2"/></g>'
        '<image id="c" href="none.png"/><path id="d" d="M1 1L5 5L x"  stroke="red"/></svg>'
    )
    assert main(["read", str(tmp_path / "a.svg"), "--json"]) == 1
    listed = json.loads(capsys.readouterr().out)
    line = next(s for s in listed["shapes"] if s["element"] == "b")
    assert (line["group"], line["colour"], line["kind"]) == (["layer"], "#c02020", "lines")
    assert line["width_mm"] == pytest.approx(2 * 25.4 / 96)
    drawn = {f["element"]: f["drawn"] for f in listed["findings"]}
    assert (drawn["c"], drawn["d"]) == ("not at all", "in part")


def test_fonts_of_a_folder_are_used_and_kept(tmp_path, capsys):
    import matplotlib

    from wallwright.artwork.glyphs.fonts import forget_fonts

    shutil.copy(Path(matplotlib.get_data_path()) / "fonts/ttf/STIXGeneral.ttf", tmp_path / "own.ttf")
    (tmp_path / "a.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 90 30"><text y="20" font-family="STIXGeneral">own</text></svg>'
    )
    assert main(["read", str(tmp_path / "a.svg"), "--fonts", str(tmp_path), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["findings"] == []
    project = tmp_path / "a.wallwright"
    assert main(["compose", str(project), "--artwork", str(tmp_path / "a.svg"), "--fonts", str(tmp_path)]) == 0
    forget_fonts()
    assert b"@font-face" in read_project(project).artworks[0].data


@pytest.mark.parametrize(
    "arguments",
    [
        ["compose", "{t}/a.wallwright", "--artwork", "{t}/missing.svg"],
        ["compose", "{t}/no/such/a.wallwright"],
        ["compose", "{t}/a.wallwright", "--artwork", "{t}/text.svg"],
        ["compose", "{t}/a.wallwright", "--set", "machine.body.mass=heavy"],
        ["compose", "{t}/a.wallwright", "--set", "machine.bodice=1"],
        ["compose", "{t}/a.wallwright", "--set", "machine.body.mass=900"],
        ["compose", "{t}/a.wallwright", "--pen", "#000000,thick"],
        ["compose", "{t}/a.wallwright", "--right-anchor", "10,0"],
        ["check", "{t}/missing.wallwright"],
        ["check", "{t}/text.svg"],
        ["pose", "{t}/text.svg"],
        ["pose", "{t}"],
        ["read", "{t}/text.svg"],
        ["demo", "--folder", "{t}/text.svg"],
    ],
)
def test_wrong_use_gets_a_sentence(arguments, tmp_path, capsys):
    (tmp_path / "text.svg").write_text("only words")
    assert main([a.replace("{t}", str(tmp_path)) for a in arguments]) == 2
    output = capsys.readouterr().err
    assert output.startswith("wallwright ") and "Traceback" not in output and len(output.strip().splitlines()) == 1
    assert "program error" not in output


def test_a_fault_is_logged_and_reported_without_a_traceback(tmp_path, capsys, monkeypatch):
    from wallwright.commands import check
    from wallwright.document.log import log_file

    monkeypatch.setattr(check, "load_project", lambda path: 1 / 0)
    assert main(["check", "x"]) == 2
    output = capsys.readouterr().err
    assert "program error" in output and "Traceback" not in output
    assert "ZeroDivisionError" in log_file().read_text()


def test_help_is_readable(capsys):
    for arguments in (["--help"], ["compose", "--help"], ["pose", "--help"]):
        assert main(arguments) == 0
    assert "degrees" in capsys.readouterr().out
    assert main(["--"]) == 2


def test_without_a_command_the_window_opens(monkeypatch):
    opened = []
    monkeypatch.setattr("wallwright.commands.window.run", lambda args: opened.append(args.project) or 0)
    assert main([]) == 0 and opened == [[]]


def test_calibrate_from_test_drawing_to_profile(tmp_path, square, capsys):
    """A machine whose right anchor really is 8 mm farther out and whose left belt is 5 mm long, read without noise."""
    project, test, listed = (
        tmp_path / "job.wallwright",
        tmp_path / "test.wallwright",
        tmp_path / "readings.csv",
    )
    assert main(["compose", str(project), "--artwork", str(square), "--width", "900", "--at", "1000,900"]) == 0
    assert main(["calibrate", str(project), "--figure", "grid", "--test", str(test), "--list", str(listed)]) == 0
    document = read_project(project)
    marks = document.hangings[0].survey.marks
    assert len(marks) == 9 and len(read_project(test).placements) == 1
    truth = edits.set_field(edits.set_field(document, "hangings.0.right.x", 2008.0), "hangings.0.left_offset", 5.0)
    place = truth.hangings[0]
    counts = np.array([(m.left, m.right) for m in marks])
    pens = forward_kinematics(
        CableRobotModel.of(truth.machine, place), controller_to_belts(truth.machine, place, "belts", counts)
    ).pen
    points = dict(zip([m.name for m in marks], pens, strict=True))
    points |= {LEFT: np.zeros(2), RIGHT: np.array([2008.0, 0.0])}
    rows = list(csv.DictReader(io.StringIO(listed.read_text())))
    for row in rows:
        dx, dy = points[row["to"]] - points[row["from"]]
        row["mm"] = {"distance": np.hypot(dx, dy), "across": dx, "down": dy}[row["kind"]]
    with listed.open("w", newline="") as file:
        writer = csv.DictWriter(file, rows[0])
        writer.writeheader()
        writer.writerows(rows)
    assert main(["calibrate", str(project), "--readings", str(listed), "--write"]) == 0
    found = read_project(project).hangings[0]
    assert found.right.x == pytest.approx(2008.0, abs=1.0) and found.left_offset == pytest.approx(5.0, abs=2.5)
    assert len(found.survey.read) == len(rows)
    capsys.readouterr()
    main(["check", str(project), "--json"])
    checks = {c["id"]: c for c in json.loads(capsys.readouterr().out)["checks"]}
    assert f"Calibrated with {len(rows)} readings" in checks["accuracy"]["text"]


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("distance,A,Q,100,1", "“Q” is not a cross"),
        ("distance,A,B,long,1", "line 2"),
        ("sideways,A,B,100,1", "not distance, across or down"),
        ("distance,A,B,100,0", "uncertainty"),
        ("distance,A,B,100,1", "too few"),
    ],
)
def test_bad_readings_get_a_sentence(tmp_path, capsys, line, words):
    project, listed = tmp_path / "job.wallwright", tmp_path / "readings.csv"
    main(["compose", str(project)])
    main(["calibrate", str(project), "--figure", "square", "--test", str(tmp_path / "test.wallwright")])
    rest = "\ndistance,A,B,700,1" * 3 if "Q" in line else ""
    listed.write_text(f"kind,from,to,mm,uncertainty\n{line}{rest}\n")
    before = project.read_bytes()
    assert main(["calibrate", str(project), "--readings", str(listed), "--write"]) == 2
    assert words in capsys.readouterr().err and project.read_bytes() == before


def test_the_terminal_shows_what_the_search_wins(monkeypatch):
    screen = io.StringIO()
    monkeypatch.setattr(screen, "isatty", lambda: True, raising=False)
    monkeypatch.setattr(sys, "stderr", screen)
    show = stage_printer(quiet=False)
    show("order", 0.1)
    show("order", 0.4, OrderSaving(720.0, 800.0))
    assert screen.getvalue().endswith("\r 40% Ordering: 12 min of travel, 10.0 % less than at first")
    show("motion", 0.0)
    assert screen.getvalue().split("\r")[-1].rstrip() == "  0% Planning the motion"
    assert len(screen.getvalue().split("\r")[-1]) >= len(screen.getvalue().split("\r")[-2].rstrip())
