"""A machine that takes drawings, by command: composing, what to type, the proof drawing."""

import json

import pytest

from tests.support.jobs import SQUARE
from wallwright.commands.main import main
from wallwright.document.project import read_project


@pytest.fixture
def project(tmp_path):
    art, path = tmp_path / "square.svg", tmp_path / "job.wallwright"
    art.write_bytes(SQUARE)
    assert (
        main(
            [
                "compose",
                str(path),
                "--artwork",
                str(art),
                "--width",
                "600",
                "--at",
                "1000,900",
                "--pen",
                "#202020,1,Black",
                "--takes",
                "drawing",
                "--page",
                "asks=distance,left,top",
                "--page",
                "switch_off=fill",
            ]
        )
        == 0
    )
    return path


def test_what_to_type_is_reported_by_check_export_and_report_alike(project, tmp_path, capsys):
    controller = read_project(project).machine.controller
    assert (controller.takes, controller.pacing) == ("drawing", "constant")
    assert (controller.page.asks, controller.page.switch_off) == (("distance", "left", "top"), ("fill",))
    assert main(["check", str(project)]) == 0
    checked = capsys.readouterr().out
    assert main(["export", str(project), "--folder", str(tmp_path / "out")]) == 0
    exported = capsys.readouterr().out
    printed = exported[exported.index("What to type") : exported.index("Written: ")]
    assert printed.strip() in checked
    assert "Distance between the anchors: 2000 mm" in printed and "1. 1-black.svg" in printed
    assert not any(name in exported for name in ("RS-274", ".ngc"))
    assert main(["export", str(project), "--folder", str(tmp_path / "out"), "--json"]) == 0
    output = json.loads(capsys.readouterr().out)["what_to_type"]
    assert output == json.loads((tmp_path / "out" / "report.json").read_text())["what_to_type"]


def test_wrong_words_are_explained(project, tmp_path, capsys):
    again = ["compose", str(tmp_path / "other.wallwright"), "--from", str(project)]
    assert main([*again, "--page", "asks=distance,wide"]) == 2
    assert "“wide” is none of distance, width" in capsys.readouterr().err
    assert main(["compose", str(tmp_path / "other.wallwright"), "--page", "unit=px"]) == 2
    assert "add --takes drawing" in capsys.readouterr().err
    assert main([*again, "--page", "asks=none"]) == 0
    assert read_project(tmp_path / "other.wallwright").machine.controller.page.asks == ()


def test_the_proof_drawing_by_command(project, tmp_path, capsys):
    proof = tmp_path / "proof.wallwright"
    assert main(["calibrate", str(project), "--proof", "--test", str(proof)]) == 0
    assert main(["export", str(proof), "--folder", str(tmp_path / "proof")]) == 0
    assert (tmp_path / "proof" / "1-black.svg").exists()
    # Crosses where they were meant: 850, 700 and 1150, 900 from the left anchor; anchors 2 m apart.
    tape = "1101.1,1346.3,1460.3,1237.9"
    capsys.readouterr()
    assert main(["calibrate", str(project), "--proof-tape", tape, "--write"]) == 0
    out = capsys.readouterr().out
    assert "The size is as it was meant" in out and "directions are as they were meant" in out
    assert main(["calibrate", str(project), "--proof-tape", "10,10,10,10"]) == 2
    assert "Measure again" in capsys.readouterr().err
    assert main(["calibrate", str(project), "--write"]) == 2
